#!/usr/bin/env python3
"""Reads a weld record without any code of the program that wrote it.

Written from ../FORMAT.md alone, with Python's standard library and the command
zstd. It recomputes the chain, unpacks every sample and sums up the energy of the
arc; tests hold what it prints, a JSON object by record, against the program's own
reader.

    python3 read.py RECORD...

With --verify it prints of each record what is wrong with it, or null.

    python3 read.py --verify RECORD...
"""

import calendar
import functools
import hashlib
import itertools
import json
import os
import re
import sqlite3
import struct
import subprocess
import sys
import tempfile
import time

APPLICATION = 0x61726374
IDS_PER_COMMIT = 1_000_000

# FORMAT.md, Tables: the version that a table came with, its columns, in the order in
# which the chain takes them, and the letters of their types.
TABLES = [
    ("about", 1, "topic text", "tt"),
    ("meta", 1, "key value", "tt"),
    ("documents", 1, "name text", "tt"),
    ("sources", 1, "epoch tick description", "iit"),
    ("channels", 1, "source channel name unit scale offset bits basis", "iittrrit"),
    ("calibrations", 1, "epoch tick channel gain offset relative date due certificate", "iitrrrttt"),
    ("clock", 1, "epoch tick wall slope arrival", "iiiri"),
    ("events", 1, "kind epoch tick until count text", "tiiiit"),
    ("chunks", 1, "chunk kind part epoch tick step n break codec payload", "ittiiiiiib"),
    ("seconds", 1, "channel epoch second min max sum count", "iiirrri"),
    ("entries", 2, "kind at by text", "titt"),
    ("photographs", 2, "sha256 type size part payload", "ttiib"),
    ("digests", 4, "level epoch since through first_tick last_tick codec payload", "iiiiiiib"),
    ("seals", 4, "text signature", "tb"),
]
LATEST = 4
TYPES = {"i": "INTEGER", "r": "REAL", "t": "TEXT", "b": "BLOB"}

# FORMAT.md, The file: what is made beside the tables above.
COMMITS = """CREATE TABLE commits (number INTEGER PRIMARY KEY, wall INTEGER, epoch INTEGER, first_tick INTEGER, last_tick INTEGER,
  samples INTEGER, sources INTEGER, events INTEGER, rows INTEGER, hash BLOB)"""
INDEXES = [
    ("commits_by_tick", "commits", 1, "(epoch, last_tick)"),
    ("seconds_by_place", "seconds", 1, "(channel, epoch, second)"),
    ("photographs_by_content", "photographs", 2, "(sha256, part)"),
    ("commits_by_epoch", "commits", 4, "(epoch)"),
    ("digests_by_group", "digests", 4, "(epoch, level, through) WHERE level > 0"),
]
COMMIT = "number wall epoch first_tick last_tick samples sources events rows"


class Text(bytes):
    """A text as SQLite keeps it; it need not be valid UTF-8."""


def columns(names):
    return ", ".join(f'"{name}"' for name in names.split())


# ---- the chain ----------------------------------------------------------------


def value(v):
    """FORMAT.md, The chain: a letter, and what stands behind it."""
    if v is None:
        return b"n"
    if isinstance(v, int):
        return b"i" + struct.pack("<q", v)
    if isinstance(v, float):
        return b"r" + struct.pack("<d", v if v != 0 else 0.0)
    letter = b"t" if isinstance(v, Text) else b"b"
    return letter + struct.pack("<q", len(v)) + bytes(v)


def chain(db, version, path):
    """Recomputes the hash of every group and returns how many there are and the last one."""
    head, number, seals = bytes(32), 0, Seals(path)
    for row in db.execute(f"SELECT {columns(COMMIT)}, hash FROM commits ORDER BY number"):
        number += 1
        if row[0] != number:
            raise SystemExit(f"{path}: commit {number} is missing")
        group, rows = hashlib.sha256(head), 0
        for table, since, names, _ in TABLES:
            if since > version:
                continue
            query = f"SELECT id, {columns(names)} FROM {table} WHERE id >= ? AND id < ? ORDER BY id"
            for values in db.execute(query, (number * IDS_PER_COMMIT, (number + 1) * IDS_PER_COMMIT)):
                seals.take(table, values)
                group.update(value(Text(table.encode())) + b"".join(map(value, values)))
                rows += 1
        group.update(b"".join(map(value, row[:-1])))
        former, head = head, group.digest()
        if rows != row[8] or head != row[9]:
            raise SystemExit(f"{path}: commit {number} is not as it was written")
        seals.group(number, former, head, row)
    return number, head, seals.found


# ---- the seals ----------------------------------------------------------------

# Ed25519 from RFC 8032, section 5.1: the field, the curve and the base point.
P = 2**255 - 19
ORDER = 2**252 + 27742317777372353535851937790883648493
D = -121665 * pow(121666, -1, P) % P
ROOT = pow(2, (P - 1) // 4, P)


def add(a, b):
    """The sum of two points (x, y) of the curve."""
    (x1, y1), (x2, y2) = a, b
    t = D * x1 * x2 * y1 * y2 % P
    return (x1 * y2 + x2 * y1) * pow(1 + t, -1, P) % P, (y1 * y2 + x1 * x2) * pow(1 - t, -1, P) % P


def times(n, point):
    total = (0, 1)
    while n:
        if n & 1:
            total = add(total, point)
        point, n = add(point, point), n >> 1
    return total


def point(raw):
    """The point that 32 bytes stand for; None where they stand for none."""
    y = int.from_bytes(raw, "little")
    sign, y = y >> 255, y & (1 << 255) - 1
    square = (y * y - 1) * pow(D * y * y + 1, -1, P) % P
    x = pow(square, (P + 3) // 8, P)
    if x * x % P != square:
        x = x * ROOT % P
    if y >= P or x * x % P != square or x == 0 and sign:
        return None
    return (P - x if x & 1 != sign else x), y


@functools.cache
def is_signed(key, message, signature):
    a, r, s = point(key), point(signature[:32]), int.from_bytes(signature[32:], "little")
    if a is None or r is None or s >= ORDER or times(8, a) == (0, 1):
        return False
    k = int.from_bytes(hashlib.sha512(signature[:32] + key + message).digest(), "little") % ORDER
    return times(s, BASE) == add(r, times(k, a))


BASE = point((4 * pow(5, -1, P) % P).to_bytes(32, "little"))


def field(raw):
    return struct.pack(">I", len(raw)) + raw


class Seals:
    """FORMAT.md, Seals: those of a record, held against its chain group by group."""

    def __init__(self, path):
        self.path, self.record, self.found = path, None, []
        self.rows, self.by, self.before, self.entries = [], [], [], 0

    def take(self, table, values):
        if table == "seals":
            self.rows.append(values)
        elif table == "entries":
            self.by.append(values[3])

    def group(self, number, former, head, commit):
        self.record = self.record or head
        for _, text, signature in self.rows:
            wrong = self.wrong(number, former, commit, text, signature)
            if wrong:
                raise SystemExit(f"{self.path}: commit {number}: a seal in it {wrong}")
        self.entries += len(self.before)
        self.rows, self.before, self.by = [], self.by, []

    def wrong(self, number, former, commit, text, signature):
        """What is wrong with a seal; None is nothing."""
        said = re.fullmatch(
            r"arctally seal 1\nrecord: ([0-9a-f]{64})\ngroup: (0|[1-9][0-9]{0,17})\nhead: ([0-9a-f]{64})\nat: ([-0-9T:.]+Z)\n"
            r"mark: (start|minute|entry|end)\n(machine|person): ([^\n]+)\n(?:entries: ((?:0|-?[1-9][0-9]{0,17})(?: (?:0|-?[1-9][0-9]{0,17}))*)\n)?",
            (text if isinstance(text, Text) else b"").decode("utf-8", "replace"),
        )
        if not said or not is_name(said[7]) or not nanoseconds(said[4]):
            return "is no seal"
        record, group, sealed, at, mark, whose, by, numbers = said.groups()
        signature = signature if isinstance(signature, bytes) and not isinstance(signature, Text) else b""
        key = signature[33:65]
        lead = b"SSHSIG" + struct.pack(">I", 1) + field(field(b"ssh-ed25519") + field(key))
        names = field(b"seal@arctally") + field(b"") + field(b"sha512")
        message = b"SSHSIG" + names + field(hashlib.sha512(text).digest())
        if signature != lead + names + field(field(b"ssh-ed25519") + field(signature[-64:])):
            return "has a signature of another kind"
        if not is_signed(key, message, signature[-64:]):
            return "has the signature of another text"
        if record != self.record.hex():
            return "is of another record"
        if int(group) != number - 1 or sealed != former.hex():
            return "is of another group"
        if nanoseconds(at) != commit[1]:
            return "was set at another time"
        if mark in ("entry", "end") and list(commit[2:9]) != [0, None, None, 0, 0, 0, len(self.rows)]:
            return "is not alone"
        vouched = [int(n) for n in (numbers or "").split()]
        if (mark == "entry") != bool(vouched):
            return "is no seal"
        for n in vouched:
            k = n - self.entries - 1
            if not 0 <= k < len(self.before) or whose == "person" and self.before[k] != by.encode():
                return "vouches for what is not there"
        self.found.append(f"{mark} {group} {whose} {by}")
        return None


def is_name(name):
    """FORMAT.md, Seals: what a signer may be called."""
    return len(name.encode()) <= 100 and name.strip() == name and name.isprintable() and not set(name) & set('",*?!#\\')


def nanoseconds(at):
    """Unix time of an RFC 3339 time in UTC; None where it is not written in the one form."""
    found = re.fullmatch(r"([0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-5][0-9])(?:[.]([0-9]{0,8}[1-9]))?Z", at)
    try:
        return found and calendar.timegm(time.strptime(found[1], "%Y-%m-%dT%H:%M:%S")) * 10**9 + int((found[2] or "").ljust(9, "0"))
    except ValueError:
        return None


# ---- the payloads -------------------------------------------------------------


def open_frames(payloads):
    """Opens zstd frames, many with one call of the command."""
    opened = []
    for first in range(0, len(payloads), 500):
        with tempfile.TemporaryDirectory() as folder:
            names = []
            for k, payload in enumerate(payloads[first : first + 500]):
                names.append(os.path.join(folder, f"{k}.zst"))
                with open(names[-1], "wb") as f:
                    f.write(payload)
            subprocess.run(["zstd", "-d", "-q", *names], check=True)
            for name in names:
                with open(name[: -len(".zst")], "rb") as f:
                    opened.append(f.read())
    return opened


def unzigzag(z):
    return z >> 1 if z & 1 == 0 else -(z >> 1) - 1


def wrap(x, bits):
    """Keeps an integer within so many bits, two's complement."""
    x &= (1 << bits) - 1
    return x - (1 << bits) if x >> (bits - 1) else x


def planes(raw, n, count):
    """n numbers in byte planes, the lowest byte of all of them first."""
    if len(raw) != n * count:
        raise SystemExit(f"{len(raw)} bytes are not {n} numbers in {count} planes")
    return [sum(raw[plane * n + k] << (8 * plane) for plane in range(count)) for k in range(n)]


def codes(raw, width):
    code = struct.unpack_from("<i", raw)[0]
    found = [code]
    for z in planes(raw[4:], (len(raw) - 4) // width, width):
        code = wrap(code + unzigzag(z), 32)
        found.append(code)
    return found


def numbers(raw):
    number, step = struct.unpack_from("<q", raw)[0], 0
    found = [number]
    for z in planes(raw[8:], len(raw) // 8 - 1, 8):
        step = wrap(step + unzigzag(z), 64)
        number = wrap(number + step, 64)
        found.append(number)
    return found


def floats(raw):
    bits, found = 0, []
    for x in planes(raw, len(raw) // 8, 8):
        bits ^= x
        found.append(struct.pack("<Q", bits))
    return found


def lowest_byte_first(raw, n):
    """n codes by their differences of some order."""
    order, size, form, code, m = struct.unpack_from("<BBBiI", raw)
    low, rest, step, found = raw[11 : 11 + n], raw[11 + n :], 0, []
    if form == 1:
        differences = planes(low + rest, n, size)
    else:
        whole = iter(planes(rest, m, size))
        differences = [next(whole) if z == 255 else z for z in low]
        if next(whole, None) is not None:
            raise SystemExit(f"more than {low.count(255)} codes stand elsewhere")
    for z in differences:
        x = unzigzag(z)
        if order == 0:
            found.append(wrap(code + x, 8 * size))
            continue
        step = step + x if order == 2 else x
        code += step
        found.append(wrap(code, 8 * size))
    return found


WINDOW = struct.Struct("<I q q q h h h h I I I")  # codec 7


def unpack(codec, raw, n):
    """FORMAT.md, Codecs."""
    if codec == 1:
        return codes(raw, 2)
    if codec == 2:
        return codes(raw, 4)
    if codec == 3:
        return numbers(raw)
    if codec == 4:
        return floats(raw)
    if codec == 5:
        return [raw[k // 8] >> (k % 8) & 1 for k in range(n)]
    if codec == 6:
        return list(raw)
    if codec == 7:
        return [raw[k : k + WINDOW.size] for k in range(0, len(raw), WINDOW.size)]
    if codec == 8:
        return lowest_byte_first(raw, n)
    raise SystemExit(f"there is no codec {codec}")


COLUMNS = (None, "voltage", "current", "flag", "sums", "channel", "value", "count", "ticks", "runs", "starts")


def joined(raw):
    """Name, codec and content of every column of a chunk."""
    count, found = raw[0], []
    at = 1 + 6 * count
    for k in range(count):
        which, codec, length = struct.unpack_from("<BBI", raw, 1 + 6 * k)
        found.append((COLUMNS[which], codec, raw[at : at + length]))
        at += length
    if at != len(raw):
        raise SystemExit(f"{len(raw)} bytes where the columns of a chunk have {at}")
    return found


# ---- the samples --------------------------------------------------------------


class Chunk:
    """A chunk with its parts opened."""

    def __init__(self, group, kind, epoch, tick, step, n, broken):
        self.group, self.kind, self.epoch, self.tick, self.step, self.n, self.broken = group, kind, epoch, tick, step, n, broken
        self.parts = {}

    def ticks(self):
        if "ticks" in self.parts:
            return self.parts["ticks"]
        runs = self.parts.get("runs", [self.n])
        starts = self.parts.get("starts", [self.tick])
        return [start + k * self.step for run, start in zip(runs, starts) for k in range(run)]


def read_chunks(db):
    """All chunks, in the order of their ids."""
    rows = db.execute(f"SELECT id, {columns(dict((t, c) for t, _, c, _ in TABLES)['chunks'])} FROM chunks ORDER BY id").fetchall()
    opened = open_frames([row[10] for row in rows])
    chunks, last = [], None
    for row, raw in zip(rows, opened):
        ident, chunk, kind, part, epoch, tick, step, n, broken, codec, _ = row
        group = ident // IDS_PER_COMMIT
        if last != (group, chunk):
            last = (group, chunk)
            chunks.append(Chunk(group, kind.decode(), epoch, tick, step, n, broken))
        for name, codec, content in joined(raw) if codec == 9 else [(part.decode(), codec, raw)]:
            column = unpack(codec, content, n)
            if name not in ("runs", "starts") and len(column) != n:
                raise SystemExit(f"row {ident}: {len(column)} samples where there are {n}")
            chunks[-1].parts[name] = column
    return chunks


class Kind:
    """What one kind of block comes to: a number of samples, and a hash of all of them."""

    def __init__(self):
        self.samples, self.hash = 0, hashlib.sha256()

    def add(self, chunk):
        for k, tick in enumerate(chunk.ticks()):
            self.hash.update(struct.pack("<qqB", chunk.epoch, tick, chunk.broken if k == 0 else 0) + self.sample(chunk.parts, k))
            self.samples += 1

    @staticmethod
    def sample(parts, k):
        if "voltage" in parts:
            flag = parts["flag"][k] if "flag" in parts else -1
            return struct.pack("<iib", parts["voltage"][k], parts["current"][k], flag)
        if "sums" in parts:
            return parts["sums"][k]
        if "value" in parts:
            return struct.pack("<B", parts["channel"][k]) + parts["value"][k]
        return struct.pack("<q", parts["count"][k])


# ---- the digests --------------------------------------------------------------


def bits(x):
    return struct.unpack("<Q", struct.pack("<d", x))[0]


def binary64(x):
    return struct.unpack("<d", struct.pack("<Q", x))[0]


class Cell:
    """FORMAT.md, Digests."""

    def __init__(self, count, breaks, low, high, total=0, product=0):
        self.count, self.breaks, self.low, self.high, self.total, self.product = count, breaks, low, high, total, product

    def join(self, other):
        self.count, self.breaks = self.count + other.count, self.breaks + other.breaks
        self.low, self.high = min(self.low, other.low), max(self.high, other.high)
        self.total, self.product = self.total + other.total, self.product + other.product

    def all(self, sums):
        return self.count, self.breaks, bits(self.low), bits(self.high), wrap(self.total, 64) if sums else 0, wrap(self.product, 64) if sums else 0


def packed_digest(raw):
    """The cells of a digest, by channel and index."""
    found, at = {}, 0
    while at < len(raw):
        channel, form, n, index = struct.unpack_from("<BBIq", raw, at)
        at, columns = at + 14, []
        for _ in range(5 + bool(form & 2) + bool(form & 4)):
            width = raw[at]
            columns.append(planes(raw[at + 1 : at + 1 + width * n], n, width))
            at += 1 + width * n
        count, low, product = 0, 0, 0
        index -= 1
        for k in range(n):
            numbers = [column[k] for column in columns]
            index, count = index + 1 + numbers[0], count + unzigzag(numbers[1])
            if form & 1:
                low ^= numbers[3]
                ends = binary64(low), binary64(low ^ numbers[4])
            else:
                low += unzigzag(numbers[3])
                ends = float(low), float(low + numbers[4])
            total = unzigzag(numbers[5]) + (0 if form & 1 else count * low) if form & 2 else 0
            product = wrap(product + unzigzag(numbers[-1]), 64) if form & 4 else 0
            found[channel, index] = Cell(count, numbers[2], *ends, total, product)
    return found


class Gatherer:
    """Makes the cells of level 0 of the chunks of one epoch, group by group."""

    def __init__(self):
        self.last = {}

    def group(self, chunks, longest):
        self.cells, self.slow, self.told = {}, False, set()
        for chunk in chunks:
            ticks = chunk.ticks()
            most = longest or chunk.step + chunk.step // 2
            for k, tick in enumerate(ticks):
                said = bool(chunk.broken) and k == 0
                if chunk.kind == "slow":
                    self.value(chunk, k, tick, said)
                elif chunk.kind == "arc":
                    v, i = chunk.parts["voltage"][k], chunk.parts["current"][k]
                    broken = self.follows("arc", tick, most, said)
                    self.last["arc"] = tick
                    self.add(0, tick, Cell(1, broken, float(v), float(v), v, v * i))
                    self.add(1, tick, Cell(1, broken, float(i), float(i), i))
                elif chunk.kind == "sums":
                    self.window(chunk, k, tick, most, said)
        return self.cells

    def follows(self, kind, tick, most, said):
        return int(said or most > 0 and kind in self.last and tick - self.last[kind] > most)

    def window(self, chunk, k, tick, most, said):
        count, v, i, vi, vmin, vmax, imin, imax, *_ = WINDOW.unpack(chunk.parts["sums"][k])
        if count == 0:
            return
        broken = self.follows("sums", tick, most, said)
        self.last["sums"] = tick + (count - 1) * chunk.step
        for channel, low, high, total, product in ((0, vmin, vmax, v, vi), (1, imin, imax, i, 0)):
            if low > high:
                low = high = float(total) / count
            self.add(channel, tick, Cell(count, broken, float(low), float(high), total, product))

    def value(self, chunk, k, tick, said):
        if said:
            self.slow, self.told = True, set()
        channel, value = chunk.parts["channel"][k], struct.unpack("<d", chunk.parts["value"][k])[0]
        if channel < 2 or value != value or value in (float("inf"), float("-inf")):
            return
        broken = self.slow and channel not in self.told
        self.told.add(channel)
        self.add(channel, tick, Cell(1, int(broken), value, value))

    def add(self, channel, tick, cell):
        place = channel, tick // 10_000_000
        if place in self.cells:
            self.cells[place].join(cell)
        else:
            self.cells[place] = cell


def check_digests(db, chunks, boxes, path):
    """Makes every digest anew from its samples and returns how many there are."""
    sources = [(row[0] // IDS_PER_COMMIT, json.loads(row[1])) for row in db.execute("SELECT id, description FROM sources ORDER BY id").fetchall()]
    groups, gatherers = {}, {}
    for number, chunked in itertools.groupby(chunks, key=lambda chunk: chunk.group):
        chunked = list(chunked)
        epoch = chunked[0].epoch
        own = [text for first, text in sources if first <= number and text.get("box", 0) == boxes.get(epoch, 0)]
        gatherer = gatherers.setdefault(epoch, Gatherer())
        groups[number] = epoch, gatherer.group(chunked, own[-1].get("max_step_ns", 0) if own else 0)
    extents = {row[0]: row[1:] for row in db.execute("SELECT number, epoch, first_tick, last_tick FROM commits WHERE first_tick IS NOT NULL")}
    rows = db.execute("SELECT id, level, epoch, since, through, first_tick, last_tick, payload FROM digests ORDER BY id").fetchall()
    reached = {}
    for (ident, level, epoch, since, through, first, last, _), raw in zip(rows, open_frames([row[7] for row in rows])):
        within = [n for n in range(since, through + 1) if n in extents and extents[n][0] == epoch]
        while within and not groups[within[0]][1]:  # turns of the torch alone, before any sample
            del within[0]
        about = [extents[n][1:] for n in within]
        ticks = (min(a for a, _ in about), max(b for _, b in about)) if about else None
        if not reached.get((epoch, level), 0) < since <= through <= ident // IDS_PER_COMMIT or ticks != (first, last):
            raise SystemExit(f"{path}: a digest of groups {since} to {through} is about others")
        reached[epoch, level] = through
        want = {}
        for number in range(since, through + 1):
            if number not in groups or groups[number][0] != epoch:
                continue
            for (channel, index), cell in groups[number][1].items():
                place = channel, index // 10**level
                if level == 0 and channel > 1:
                    continue
                if place in want:
                    want[place].join(cell)
                else:
                    want[place] = Cell(*vars(cell).values())
        got = packed_digest(raw)
        if {at: cell.all(level > 0) for at, cell in want.items()} != {at: cell.all(True) for at, cell in got.items()}:
            raise SystemExit(f"{path}: a digest of groups {since} to {through} is not what their samples come to")
    return len(rows)


# ---- the energy ---------------------------------------------------------------

FOREVER = 1 << 63


def companions(db):
    """Which box the epochs of companions are of; all others are of box 0, which tells the arc."""
    rows = db.execute("SELECT epoch, description FROM sources ORDER BY id").fetchall()
    return {epoch: box for epoch, box in ((row[0], json.loads(row[1]).get("box", 0)) for row in rows) if box > 0}


class Instruments:
    """What the record says of the box that tells the arc and of calibrations, as it holds at a place."""

    def __init__(self, db):
        rows = db.execute("SELECT id, description FROM sources ORDER BY id").fetchall()
        self.sources = [(ident, text) for ident, text in ((row[0], json.loads(row[1])) for row in rows) if text.get("box", 0) == 0]
        own = {ident for ident, _ in self.sources}
        rows = db.execute('SELECT source, channel, name, scale, "offset" FROM channels ORDER BY id').fetchall()
        self.channels = [row for row in rows if row[0] in own]
        rows = db.execute('SELECT channel, epoch, tick, gain, "offset" FROM calibrations ORDER BY id').fetchall()
        self.calibrations = sorted(rows, key=lambda row: (row[1], row[2]))

    def source(self, group):
        """The description in force in a group; None before the first one."""
        return next((text for ident, text in reversed(self.sources) if ident // IDS_PER_COMMIT <= group), None)

    def line(self, channel, group, epoch, tick):
        """Scale and offset of channel 0 or 1, corrected."""
        name, scale, offset = [row[2:] for row in self.channels if row[1] == channel and row[0] // IDS_PER_COMMIT <= group][-1]
        line = scale, offset
        for calibrated, from_epoch, from_tick, gain, shift in self.calibrations:
            if calibrated == name and gain != 0 and (from_epoch, from_tick) <= (epoch, tick):
                line = scale * gain, offset * gain + shift
        return line

    def lines(self, group, epoch, ticks):
        """The lines of voltage and current for each of some rising ticks."""
        changes = sorted(tick for _, from_epoch, tick, _, _ in self.calibrations if from_epoch == epoch)
        until = -FOREVER
        for tick in ticks:
            if tick >= until:
                now = [self.line(channel, group, epoch, tick) for channel in (0, 1)]
                until = next((change for change in changes if change > tick), FOREVER)
            yield now


class Sample:
    """Voltage and current at a tick; longest is the longest step that may lead to it."""

    def __init__(self, tick, v, i, flag, longest, source):
        self.tick, self.v, self.i, self.flag, self.longest = tick, v, i, flag, longest
        self.held, self.held_after, self.held_arc = False, source.get("held_after_ns", 0), source.get("held_arc_ns", 0)


class Energy:
    """FORMAT.md, The energy of the arc."""

    def __init__(self, procedure, instruments):
        def limit(name, unit, default):
            found = re.search(rf"\b{name}:\s*([0-9.]+)\s*{unit}\b", procedure)
            return float(found[1]) if found else default

        self.amperes, self.volts, self.hold = limit("arc_current", "A", 15), limit("arc_voltage", "V", 8), limit("hold", "s", 0.3) * 1e9
        self.instruments = instruments
        self.joules, self.nanoseconds = 0.0, 0

    def of(self, chunks):
        """Sums up the chunks of one epoch."""
        samples = []
        for chunk in chunks:
            source = self.instruments.source(chunk.group)
            if source is not None and chunk.kind == "sums":
                self.windows(chunk)
            if source is not None and chunk.kind == "arc":
                samples += self.samples(chunk, source)
        mark_held(samples)
        self.steps(samples)

    def windows(self, chunk):
        ticks = chunk.ticks()
        for raw, ((a, b), (c, d)) in zip(chunk.parts["sums"], self.instruments.lines(chunk.group, chunk.epoch, ticks)):
            count, v, i, vi, *_, arc_on, _, _ = WINDOW.unpack(raw)
            if arc_on > 0:
                self.joules += (a * c * vi + a * d * v + b * c * i + count * b * d) * chunk.step * 1e-9
                self.nanoseconds += arc_on * chunk.step

    def samples(self, chunk, source):
        longest = source.get("max_step_ns", FOREVER)
        if "ticks" not in chunk.parts and chunk.step > 0:
            longest = min(longest, chunk.step * 3 // 2)
        ticks, found = chunk.ticks(), []
        flags = chunk.parts.get("flag", [None] * chunk.n)
        lines = self.instruments.lines(chunk.group, chunk.epoch, ticks)
        for tick, v, i, flag, ((a, b), (c, d)) in zip(ticks, chunk.parts["voltage"], chunk.parts["current"], flags, lines):
            found.append(Sample(tick, v * a + b, i * c + d, flag, longest, source))
        if chunk.broken:
            found[0].longest = -1
        return found

    def steps(self, samples):
        before, burning = None, False
        for s in samples:
            if before is None:
                before, burning = s, self.in_arc(s, False)
                continue
            step = s.tick - before.tick
            if step < 0:
                continue
            arc = self.in_arc(s, burning and step <= self.hold)
            if arc and burning and step <= s.longest:
                self.joules += (before.v * before.i + s.v * s.i) / 2 * step * 1e-9
                self.nanoseconds += step
            before, burning = s, arc

    def in_arc(self, s, burning):
        if s.flag is not None:
            return bool(s.flag)
        return not s.held and s.i >= self.amperes and (burning or s.v >= self.volts)


def mark_held(samples):
    """Marks where a source, instead of measuring, repeats its last values."""
    watched = [s for s in samples if s.held_after > 0 and s.flag is None]
    for _, run in itertools.groupby(watched, key=lambda s: (s.v, s.i)):
        run = list(run)
        if run[-1].tick - run[0].tick <= run[0].held_after:
            continue
        for s in run:
            s.held = run[0] is watched[0] or s.tick - run[0].tick > s.held_arc


# ---- the whole ----------------------------------------------------------------


def opened(path):
    """The record, after a look at its shape: nothing else may be asked of it before."""
    with open(path, "rb") as f:
        head = f.read(100)
    finished = not os.path.exists(path + "-wal") or os.path.getsize(path + "-wal") == 0
    if finished and os.path.getsize(path) < int.from_bytes(head[28:32], "big") * (int.from_bytes(head[16:18], "big") % 65535 or 65536):
        raise SystemExit(f"{path} is cut short")
    db = sqlite3.connect(f"file:{path}?mode=ro" + ("&immutable=1" if finished else ""), uri=True)
    db.text_factory = Text
    application, version = (db.execute(f"PRAGMA {name}").fetchone()[0] for name in ("application_id", "user_version"))
    if application != APPLICATION or not 1 <= version <= LATEST:
        raise SystemExit(f"{path} is no record of a version from 1 through {LATEST}")
    check_shape(db, version, path)
    return db, version


def shape(version):
    """FORMAT.md, The file, Its shape: the tables and indexes of a version, with their statements."""
    found = {("table", "commits", "commits", COMMITS)}
    for name, since, names, types in TABLES:
        if since <= version:
            lines = "".join(f'  "{column}" {TYPES[letter]},\n' for column, letter in zip(names.split(), types))
            made = f"CREATE TABLE {name} (id INTEGER PRIMARY KEY,\n{lines}  commit_number INTEGER GENERATED ALWAYS AS (id / 1000000) VIRTUAL)"
            found.add(("table", name, name, made))
    return found | {("index", name, table, f"CREATE INDEX {name} ON {table} {rest}") for name, table, since, rest in INDEXES if since <= version}


def check_shape(db, version, path):
    rows = db.execute("SELECT type, name, tbl_name, sql, rootpage FROM main.sqlite_master").fetchall()
    held = [tuple(text.decode() if text is not None else None for text in row[:4]) for row in rows]
    roots = {row[4] for row in rows}
    settings = [db.execute(f"PRAGMA {name}").fetchone()[0] for name in ("encoding", "auto_vacuum")]
    if settings != [b"UTF-8", 0] or len(held) != len(shape(version)) or set(held) != shape(version) or len(roots) != len(rows) or min(roots) < 2:
        raise SystemExit(f"{path} has not the shape of version {version}")
    first, last = db.execute("SELECT min(number), max(number) FROM commits").fetchone()
    if first != 1:
        raise SystemExit(f"{path}: commits are numbered from {first}")
    for name, since, _, _ in TABLES:
        if since <= version:
            low, high = db.execute(f"SELECT min(id), max(id) FROM {name}").fetchone()
            if low is not None and (low <= IDS_PER_COMMIT or high // IDS_PER_COMMIT > last):
                raise SystemExit(f"{path}: rows of {name} belong to no commit")


def wrong(path):
    """What is wrong with a record; None is nothing."""
    try:
        db, version = opened(path)
        found = db.execute("PRAGMA integrity_check(1)").fetchone()[0]
        if found != b"ok":
            return found.decode()
        groups, _, _ = chain(db, version, path)
        chunks, boxes = read_chunks(db), companions(db)
        if version < 3 and boxes:
            return f"{path}: version {version}, where a later one was written"
        if version >= 4:
            check_digests(db, chunks, boxes, path)
        return None
    except (Exception, SystemExit) as refused:  # whatever a forger brings about is no record
        return f"{type(refused).__name__}: {refused}"


def read(path):
    db, version = opened(path)
    groups, head, seals = chain(db, version, path)
    chunks = read_chunks(db)
    procedure = db.execute("SELECT text FROM documents WHERE name = ?", ("procedure.yaml",)).fetchone()
    energy = Energy(procedure[0].decode() if procedure else "", Instruments(db))
    boxes = companions(db)
    arc = [chunk for chunk in chunks if chunk.epoch not in boxes]
    for _, epoch in itertools.groupby(arc, key=lambda chunk: chunk.epoch):
        energy.of(epoch)
    kinds = {name: Kind() for name in ("arc", "sums", "slow", "turn")}
    for chunk in chunks:
        kinds[chunk.kind].add(chunk)
    return {
        "version": version,
        "digests": check_digests(db, chunks, boxes, path) if version >= 4 else 0,
        "groups": groups,
        "seals": seals,
        "boxes": {str(chunk.epoch): boxes.get(chunk.epoch, 0) for chunk in chunks},
        "head": head.hex(),
        "samples": {name: kind.samples for name, kind in kinds.items()},
        "sha256": {name: kind.hash.hexdigest() for name, kind in kinds.items()},
        "sum_of_codes": {part: sum(sum(chunk.parts.get(part, [])) for chunk in chunks) for part in ("voltage", "current")},
        "arc_energy_j": energy.joules,
        "arc_time_ns": energy.nanoseconds,
    }


if __name__ == "__main__":
    does, paths = (wrong, sys.argv[2:]) if sys.argv[1:2] == ["--verify"] else (read, sys.argv[1:])
    json.dump({path: does(path) for path in paths}, sys.stdout, indent=1)
    print()
