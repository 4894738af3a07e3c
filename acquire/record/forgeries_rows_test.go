package record

import (
	"database/sql"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/record/codec"
	"arctally/acquire/record/digest"
	"arctally/acquire/seal"
)

// anEvent is one more event in the group of that number.
func anEvent(group int) string {
	return fmt.Sprintf(`INSERT INTO events (id, kind, epoch, tick, until, "count", text) VALUES (%d000001, 'remark', 0, 0, 0, 0, 'x')`, group)
}

// swapped are two groups of samples in one another's place.
const swapped = `UPDATE chunks SET tick = CASE commit_number WHEN 20 THEN 19 ELSE 18 END * 1000000000 WHERE commit_number IN (20, 21)`

// edits are the changes of rows, by name.
var edits = [][2]string{
	{"a sample edited", `UPDATE chunks SET payload = substr(payload, 1, 8) || x'5a' || substr(payload, 10) WHERE commit_number = 30 AND kind = 'arc'`},
	{"a row edited", "UPDATE chunks SET tick = tick + 1 WHERE commit_number = 30"},
	{"a row deleted", "DELETE FROM chunks WHERE commit_number = 30"},
	{"rows swapped", swapped},
	{"a row inserted", anEvent(100)},
	{"a calibration edited", "UPDATE calibrations SET gain = 0.9"},
	{"a second calibration", `INSERT INTO calibrations (id, epoch, tick, channel, gain, "offset", relative, date, due, certificate) VALUES (2000002, 0, 0, 'voltage', 0.9, 0, 0, '', '', '')`},
	{"the description of the box edited", "UPDATE sources SET description = replace(description, '0.01', '0.02')"},
	{"the job edited", "UPDATE meta SET value = 'k' WHERE key = 'job'"},
	{"the job file edited", "UPDATE documents SET text = 'job: k' || char(10)"},
	{"an entry edited", `UPDATE entries SET text = '{"a":1}' WHERE commit_number = 132`},
	{"an entry with a key twice", `UPDATE entries SET text = '{"a":1,"a":2}' WHERE commit_number = 134`},
	{"an entry that is no UTF-8", `UPDATE entries SET text = CAST(x'7b22c328227d' AS TEXT) WHERE commit_number = 134`},
	{"a name below an entry edited", `UPDATE entries SET "by" = 'Inspector 2' WHERE commit_number = 132`},
	{"an entry deleted", "DELETE FROM entries WHERE commit_number = 134"},
	{"the time of a commit", "UPDATE commits SET wall = wall + 1 WHERE number = 30"},
	{"a commit of other samples", "UPDATE commits SET samples = samples + 1 WHERE number = 30"},
	{"a digest edited", "UPDATE digests SET first_tick = first_tick + 1 WHERE id = (SELECT min(id) FROM digests)"},
	{"a digest deleted", "DELETE FROM digests WHERE id = (SELECT min(id) FROM digests)"},
}

func ofRows() (all []forgery) {
	for _, e := range edits {
		all = append(all, forgery{e[0], sealedRecord, does(e[1]), false})
	}
	return append(all,
		forgery{"a hash edited", sealedRecord, does("UPDATE commits SET hash = zeroblob(32) WHERE number = 30"), false},
		forgery{"a commit deleted", sealedRecord, does(cut(30, 31)), false},
		forgery{"commits swapped", sealedRecord, does("UPDATE commits SET number = -1 WHERE number = 30; UPDATE commits SET number = 30 WHERE number = 31; UPDATE commits SET number = 31 WHERE number = -1"), false},
	)
}

func ofTheChain() (all []forgery) {
	for _, e := range edits {
		all = append(all, forgery{e[0], sealedRecord, doesAndRebuilds(e[1]), false})
	}
	return append(all,
		forgery{"a commit cut from the middle", sealedRecord, doesAndRebuilds(closedUp(30)), false},
		forgery{"a digest that lies about its samples", sealedRecord, func(t *testing.T, path string) {
			lie(t, path)
			rebuild(t, path)
		}, false},
		forgery{"a digest that lies about its samples, all seals taken away", sealedRecord, func(t *testing.T, path string) {
			lie(t, path)
			doesAndRebuilds("DELETE FROM seals")(t, path)
		}, false},
		forgery{"a digest of groups that another is about, all seals taken away", sealedRecord, doesAndRebuilds("DELETE FROM seals; UPDATE digests SET since = since - 1 WHERE id = (SELECT max(id) FROM digests)"), false},
		forgery{"a digest of other ticks, all seals taken away", sealedRecord, doesAndRebuilds("DELETE FROM seals; UPDATE digests SET last_tick = last_tick - 1 WHERE id = (SELECT max(id) FROM digests)"), false},
		forgery{"a calibration edited in a record that nobody sealed", everyUnsealed, doesAndRebuilds("UPDATE calibrations SET gain = 0.9"), true},
		forgery{"a calibration edited in a record of version 1", oldRecord, func(t *testing.T, path string) {
			does("UPDATE calibrations SET gain = 0.9")(t, path)
			forge(t, path, 1, int64(len(heads(t, path))), make([]byte, 32))
		}, true},
	)
}

// closedUp takes a group away and moves all behind it up.
func closedUp(group int64) string {
	statements := cut(group, group+1) + fmt.Sprintf("UPDATE commits SET number = -number WHERE number > %[1]d; UPDATE commits SET number = -number - 1 WHERE number < 0;", group)
	for _, table := range tablesOf(latestVersion) {
		statements += fmt.Sprintf("UPDATE %[1]s SET id = -id WHERE id > %[2]d; UPDATE %[1]s SET id = -id - 1000000 WHERE id < 0;", table.name, group*idsPerCommit)
	}
	return statements
}

// lie has a digest say that the highest sample was higher.
func lie(t *testing.T, path string) {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	var row storedDigest
	require.NoError(t, r.each("SELECT id, codec, payload FROM digests WHERE level = 1 ORDER BY id LIMIT 1", nil, func(scan func(...any) error) error {
		return scan(&row.id, &row.how, &row.payload)
	}))
	d, err := r.unpack(&row, new(digest.Decoder), all)
	require.NoError(t, err)
	require.NoError(t, r.Close())
	d[0].Cells[0].High++
	_, payload := codec.NewPacker().Content(nil, d.Append(nil, true))
	meddle(t, path, func(db *sql.DB) {
		_, err := db.Exec("UPDATE digests SET payload = ? WHERE id = ?", payload, row.id)
		require.NoError(t, err)
	})
}

func ofSeals() []forgery {
	seals := func(name, statements string) forgery {
		return forgery{name, sealedRecord, doesAndRebuilds(statements), false}
	}
	return []forgery{
		seals("the text of a seal", "UPDATE seals SET text = replace(text, 'mark: start', 'mark: minute') WHERE commit_number = 2"),
		seals("a text that is no seal", "UPDATE seals SET text = 'sealed' WHERE commit_number = 136"),
		seals("a text in another form", "UPDATE seals SET text = replace(text, 'group: 135', 'group: 0135') WHERE commit_number = 136"),
		seals("no text", "UPDATE seals SET text = NULL, signature = NULL WHERE commit_number = 136"),
		seals("no signature", "UPDATE seals SET signature = NULL WHERE commit_number = 2"),
		seals("a signature that is a text", "UPDATE seals SET signature = CAST(signature AS TEXT) WHERE commit_number = 2"),
		seals("the signature of another seal", "UPDATE seals SET signature = (SELECT signature FROM seals WHERE commit_number = 62) WHERE commit_number = 2"),
		seals("a person's seal as that of a machine", "UPDATE seals SET text = replace(text, 'person', 'machine') WHERE commit_number = 133"),
		seals("a seal in the middle deleted", "DELETE FROM seals WHERE commit_number = 62"),
		seals("a seal moved to another group", "UPDATE seals SET id = 63000001 WHERE commit_number = 62"),
		seals("a seal copied to the end", cut(100, 137)+copied(100, "commit_number = 62")),
		seals("the end mark copied", copied(137, "commit_number = 136")),
		seals("the end mark moved", cut(131, 136)+"UPDATE commits SET number = 131 WHERE number = 136; UPDATE seals SET id = 131000001 WHERE id = 136000001"),
		seals("a row behind the end mark, in its group", anEvent(136)),
		seals("samples of the end mark", "UPDATE commits SET samples = 5 WHERE number = 136"),
		seals("ticks of the end mark", "UPDATE commits SET first_tick = 0, last_tick = 5 WHERE number = 136"),
		seals("the time of the end mark", "UPDATE commits SET wall = wall + 1 WHERE number = 136"),
		{"seals of another record, which the same machine made at the same place", sealedRecord, ofAnotherRecord, false},
		{"a key with which anybody signs", sealedRecord, func(t *testing.T, path string) {
			sealedAnew(t, path, func(s *seal.Statement) []byte { return weakly() })
		}, false},
		{"all sealed anew by another key that calls itself by the machine's name", sealedRecord, func(t *testing.T, path string) {
			_, _, other := keysOf(t)
			does("UPDATE calibrations SET gain = 0.9")(t, path)
			sealedAnew(t, path, func(s *seal.Statement) []byte { return other.Sign([]byte(s.Text())) })
		}, true},
		{"an entry sealed anew by another key that calls itself by its person's name", sealedRecord, func(t *testing.T, path string) {
			machine, _, other := keysOf(t)
			does(`UPDATE entries SET text = '{"a":1}' WHERE commit_number = 132`)(t, path)
			sealedAnew(t, path, func(s *seal.Statement) []byte {
				if s.Person {
					return other.Sign([]byte(s.Text()))
				}
				return machine.Sign([]byte(s.Text())) // who does this has the machine's key
			})
		}, true},
		{"the machine's key swapped for another while the record was closed", sealedRecord, func(t *testing.T, path string) {
			_, _, other := keysOf(t)
			swappedKey := *other
			machine, _, _ := keysOf(t)
			swappedKey.Name, swappedKey.Person = machine.Name, false
			h := newHand()
			h.at = h.at.Add(time.Hour)
			w, err := appendTo(path, h.options())
			require.NoError(t, err)
			w.SealWith(&swappedKey)
			require.NoError(t, w.Close())
		}, true},
	}
}

// ofAnotherRecord puts the seals of another record in the place of a record's own.
func ofAnotherRecord(t *testing.T, path string) {
	machine, _, _ := keysOf(t)
	write := func(at time.Time) string {
		h := &hand{at}
		path := beside(t, "forged.arc")
		w, err := create(path, Meta{Job: "j"}, h.options())
		require.NoError(t, err)
		w.SealWith(machine)
		goOn(t, w, h, 0, 3)
		require.NoError(t, w.Close())
		return path
	}
	own, other := write(newHand().at), write(newHand().at.Add(time.Hour))
	alterSchema(t, own, fmt.Sprintf("ATTACH '%s' AS other; UPDATE seals SET (text, signature) = (SELECT text, signature FROM other.seals o WHERE o.id = seals.id)", other))
	putFile(t, path, fileOf(t, own))
	rebuild(t, path)
}

// sealedAnew makes the chain and all seals anew, group by group, as who has a key can.
func sealedAnew(t *testing.T, path string, sign func(*seal.Statement) []byte) {
	t.Helper()
	var sealed []int64
	r, err := Open(path)
	require.NoError(t, err)
	require.NoError(t, r.each("SELECT id FROM seals ORDER BY id", nil, func(scan func(...any) error) error {
		var id int64
		err := scan(&id)
		sealed = append(sealed, id)
		return err
	}))
	require.NoError(t, r.Close())
	for _, id := range sealed {
		rebuild(t, path)
		hashes := storedHashes(t, path)
		meddle(t, path, func(db *sql.DB) {
			var text string
			require.NoError(t, db.QueryRow("SELECT text FROM seals WHERE id = ?", id).Scan(&text))
			s, err := seal.Parse(text)
			require.NoError(t, err)
			s.Record, s.Head = hashes[1], hashes[s.Group]
			_, err = db.Exec("UPDATE seals SET text = ?, signature = ? WHERE id = ?", s.Text(), sign(s), id)
			require.NoError(t, err)
		})
	}
	rebuild(t, path)
}

// storedHashes are the hashes of all groups, in hexadecimal digits.
func storedHashes(t *testing.T, path string) map[int64]string {
	t.Helper()
	found := map[int64]string{}
	for k, head := range heads(t, path) {
		found[int64(k+1)] = fmt.Sprintf("%x", head)
	}
	return found
}

// weakly is the signature that fits every text, by a key of small order.
func weakly() []byte {
	field := func(b []byte) []byte { return append([]byte{0, 0, 0, byte(len(b))}, b...) }
	one := make([]byte, 32)
	one[0] = 1
	b := append([]byte("SSHSIG"), 0, 0, 0, 1)
	kind := field([]byte("ssh-ed25519"))
	b = append(b, field(append(append([]byte(nil), kind...), field(one)...))...)
	for _, word := range []string{seal.Namespace, "", "sha512"} {
		b = append(b, field([]byte(word))...)
	}
	return append(b, field(append(append([]byte(nil), kind...), field(append(one, make([]byte, 32)...))...))...)
}
