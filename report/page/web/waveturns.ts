// Where the torch was at a time of a pass, and when it was at a place. Read from the turn counter where there is one;
// else the pass is taken to have turned evenly, and what comes of that is said to be about.
import type { FindingRow, PassRow, Schemas } from "./api";
import { wrap } from "./draw";
import { isNumber } from "./gauge";
import { lengthOf, plannedTurns, type WallMap } from "./reviewdata";

type Line = Schemas["Trace"]["lines"][number];

export interface Turning {
  counted: boolean; // by the turn counter
  known: boolean; // anything is known of the rotation
  turns(tick: number): number | null; // since the pass began
  angle(tick: number): number | null; // deg
  whenTurned(turns: number): number | null; // tick
  whenAt(angle: number, depth: number | null): number | null; // tick
}

// turningOf makes it of a pass, and of the line of its turn counter if that was read.
export function turningOf(pass: PassRow, line: Line | null, from: number, findings: FindingRow[], map: WallMap | null): Turning {
  const start = pass.start_tick_ns ?? 0;
  const end = pass.end_tick_ns ?? start;
  let ticks: number[] = [];
  let counts: number[] = [];
  line?.at_ns.forEach((at, k) => {
    const value = line.value[k];
    if (isNumber(value)) {
      ticks.push(from + at);
      counts.push(value);
    }
  });
  const counted = ticks.length > 1;
  if (!counted) {
    [ticks, counts] = isNumber(pass.turns) && end > start ? [[start, end], [0, pass.turns]] : [[], []];
  }
  const known = ticks.length > 1;
  const read = (tick: number) => between(ticks, counts, tick);
  const zero = known ? read(start) ?? counts[0]! : 0;
  const phase = phaseOf(findings, read);
  const angleOf = (count: number) => wrap(360 * count + phase);
  const depthAt = (count: number) => {
    const planned = plannedTurns(pass);
    return map && isNumber(planned) && planned > 0 && pass.pattern === "helix" ? (lengthOf(map) * Math.abs(count - zero)) / planned : null;
  };
  return {
    counted,
    known,
    turns: (tick) => {
      const count = known ? read(tick) : null;
      return count === null ? null : Math.abs(count - zero);
    },
    angle: (tick) => {
      const count = known ? read(tick) : null;
      return count === null ? null : angleOf(count);
    },
    whenTurned: (turns) => crossings(ticks, counts, (a, b) => [zero + turns, zero - turns].filter((c) => inside(c, a, b)))[0]?.tick ?? null,
    whenAt: (angle, depth) => {
      const found = crossings(ticks, counts, (a, b) => countsAt(angle, phase, a, b)).filter((c) => c.tick >= start && c.tick <= end);
      const near = (count: number) => {
        const there = depthAt(count);
        return there === null || depth === null ? 0 : Math.abs(there - depth);
      };
      found.sort((a, b) => near(a.count) - near(b.count) || a.tick - b.tick);
      return found[0]?.tick ?? null;
    },
  };
}

// phaseOf is what to add to the counter: a finding knows its angle and its tick. Without one the counter begins at the mark.
function phaseOf(findings: FindingRow[], read: (tick: number) => number | null): number {
  for (const f of findings) {
    const count = read(f.tick_ns);
    if (isNumber(f.angle_deg) && count !== null) {
      return wrap(f.angle_deg - 360 * count);
    }
  }
  return 0;
}

function between(xs: number[], ys: number[], x: number): number | null {
  if (xs.length === 0) {
    return null;
  }
  let [low, high] = [0, xs.length - 1];
  if (x <= xs[0]!) {
    return ys[0]!;
  }
  if (x >= xs[high]!) {
    return ys[high]!;
  }
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (xs[middle]! <= x) {
      low = middle;
    } else {
      high = middle;
    }
  }
  const span = xs[high]! - xs[low]!;
  return ys[low]! + (span > 0 ? ((x - xs[low]!) / span) * (ys[high]! - ys[low]!) : 0);
}

const inside = (c: number, a: number, b: number) => c >= Math.min(a, b) && c <= Math.max(a, b);

// countsAt are the counts between a and b at which the torch stands at an angle.
function countsAt(angle: number, phase: number, a: number, b: number): number[] {
  const part = wrap(angle - phase) / 360;
  const found: number[] = [];
  for (let n = Math.floor(Math.min(a, b)) - 1; n <= Math.max(a, b) && found.length < 4; n++) {
    if (inside(n + part, a, b)) {
      found.push(n + part);
    }
  }
  return found;
}

function crossings(ticks: number[], counts: number[], at: (a: number, b: number) => number[]): { tick: number; count: number }[] {
  const found: { tick: number; count: number }[] = [];
  for (let k = 0; k + 1 < ticks.length; k++) {
    const [a, b] = [counts[k]!, counts[k + 1]!];
    if (a === b) {
      continue;
    }
    for (const count of at(a, b)) {
      found.push({ count, tick: ticks[k]! + ((count - a) / (b - a)) * (ticks[k + 1]! - ticks[k]!) });
    }
  }
  return found;
}
