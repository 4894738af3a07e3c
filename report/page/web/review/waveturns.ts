// Where the torch was at a time of a pass, and when it was at a place. Read from the turn counter where there is one;
// else the pass is taken to have turned evenly, and what comes of that is said to be about.
import type { PassRow, Schemas } from "../base/api";
import { wrap } from "../base/draw";
import { isNumber } from "../base/gauge";
import { lengthOf, plannedTurns, turnedBy, type WallMap } from "./data";

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
export function turningOf(pass: PassRow, line: Line | null, from: number, map: WallMap | null): Turning {
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
    const turned = turnedBy(pass);
    [ticks, counts] = turned !== null && end > start ? [[start, end], [0, turned]] : [[], []];
  }
  const known = ticks.length > 1;
  const read = (tick: number) => between(ticks, counts, tick);
  const zero = known ? read(start) ?? counts[0]! : 0;
  // What to add to the counter; where it is not known where the pass began, no angle is.
  const phase = isNumber(pass.start_angle_deg) ? wrap(pass.start_angle_deg - 360 * zero) : null;
  const depthAt = (count: number) => {
    const planned = plannedTurns(pass);
    const began = pass.start_depth_mm;
    return map && isNumber(began) && isNumber(planned) && planned > 0 && pass.pattern === "helix" ? began + ((lengthOf(map) - began) * Math.abs(count - zero)) / planned : null;
  };
  // nearestEnd is for an angle just beside a stroke: its end that is nearer, if it is near.
  const nearestEnd = (angle: number) => {
    const off = (at: number | null | undefined) => (isNumber(at) ? Math.abs(wrap(at - angle + 180) - 180) : 360);
    const [a, b] = [off(pass.start_angle_deg), off(pass.end_angle_deg)];
    return Math.min(a, b) > 15 ? null : a <= b ? start : end;
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
      return count === null || phase === null ? null : wrap(360 * count + phase);
    },
    whenTurned: (turns) => crossings(ticks, counts, (a, b) => [zero + turns, zero - turns].filter((c) => inside(c, a, b)))[0]?.tick ?? null,
    whenAt: (angle, depth) => {
      if (phase === null) {
        return null;
      }
      const found = crossings(ticks, counts, (a, b) => countsAt(angle, phase, a, b)).filter((c) => c.tick >= start && c.tick <= end);
      const near = (count: number) => {
        const there = depthAt(count);
        return there === null || depth === null ? 0 : Math.abs(there - depth);
      };
      found.sort((a, b) => near(a.count) - near(b.count) || a.tick - b.tick);
      return found[0]?.tick ?? (known ? nearestEnd(angle) : null);
    },
  };
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
