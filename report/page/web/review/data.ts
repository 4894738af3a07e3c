// What a review says, in a form that pages can use: limits as numbers, findings by their causes.
import type { FindingRow, PassAlone, PassRow, Reviewed, Schemas } from "../base/api";
import { wrap } from "../base/draw";
import { isNumber } from "../base/gauge";

export type Review = Schemas["Review"];
export type WallMap = Schemas["WallMap"];
export type Cell = Schemas["MapCell"];

export interface Limits {
  low: number | null;
  high: number | null;
  unit: string;
}

const none: Limits = { low: null, high: null, unit: "" };

// limitsOf are the limits of a line of the procedure's window; a line without limits has none.
export function limitsOf(review: Review, quantity: RegExp): Limits {
  const row = review.window?.find((one) => quantity.test(one.quantity));
  return row?.unit ? { low: row.low, high: row.high, unit: row.unit } : none;
}

// energyRules tells whether the limits are about the arc energy; else about the heat input.
export function energyRules(review: Review): boolean {
  return review.window?.some((row) => /^Arc energy/.test(row.quantity)) ?? false;
}

// judgedOf is what a pass is judged by, in kJ/mm.
export function judgedOf(pass: PassRow, byEnergy: boolean): number | null {
  return (byEnergy ? pass.arc_energy_kj_per_mm : pass.heat_input_kj_per_mm) ?? null;
}

// doubtOf is the expanded uncertainty of what a pass is judged by.
export function doubtOf(pass: PassRow): number | null {
  const whole = pass["uncertainty"] as { expanded_uncertainty_kj_per_mm?: number | null } | null | undefined;
  return whole?.expanded_uncertainty_kj_per_mm ?? pass.heat_input_expanded_uncertainty_kj_per_mm ?? null;
}

export function plannedTurns(pass: PassRow): number | null {
  const course = pass["course"] as { planned_turns?: number | null } | null | undefined;
  return course?.planned_turns ?? null;
}

export function lengthOf(map: WallMap): number {
  return map.rows * map.depth_step_mm;
}

// turnedBy is how far the torch turned in a pass, clockwise above 0: which way is told by where it began and ended. Null is not known.
export function turnedBy(pass: PassRow): number | null {
  const { turns, start_angle_deg: from, end_angle_deg: to } = pass;
  if (!isNumber(turns)) {
    return null;
  }
  if (!isNumber(from) || !isNumber(to)) {
    return turns;
  }
  const off = (way: number) => Math.abs(wrap(from + way * 360 * turns - to + 180) - 180);
  return off(-1) < off(1) - 1 ? -turns : turns;
}

// startedAt is the wall time of a tick in ms; null where the clock of the box was never dated.
export function startedAt(reviewed: Reviewed, pass: PassRow, tick: number): number | null {
  const parsed = pass.start ? Date.parse(pass.start) : NaN;
  if (!Number.isNaN(parsed) && isNumber(pass.start_tick_ns)) {
    return parsed + (tick - pass.start_tick_ns) / 1e6;
  }
  const epoch = reviewed.epochs.find((one) => one.epoch === pass.epoch);
  return epoch?.started ? Date.parse(epoch.started) + (tick - epoch.first_tick_ns) / 1e6 : null;
}

// Cause is an event with those of its findings that are shown, the one that tells the cause first.
export interface Cause {
  number: number;
  words: string;
  findings: FindingRow[];
}

// causesOf groups findings, which stand in the order in which they began, by their events.
export function causesOf({ events, findings }: Pick<PassAlone, "events" | "findings">): Cause[] {
  const causes = new Map<number, Cause>();
  for (const f of findings) {
    const event = events.find((one) => one.number === f.event);
    const number = event?.number ?? 0;
    const cause = causes.get(number) ?? { number, words: event?.cause ?? "", findings: [] };
    cause.findings = f.number === event?.lead ? [f, ...cause.findings] : [...cause.findings, f];
    causes.set(number, cause);
  }
  return [...causes.values()];
}
