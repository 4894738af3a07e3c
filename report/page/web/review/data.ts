// What a review says, in a form that pages can use: limits as numbers, cells by column and row, passes of a layer.
import type { FindingRow, PassRow, Reviewed, Schemas } from "../base/api";
import { wrap } from "../base/draw";
import { isNumber } from "../base/gauge";

export type Review = Schemas["Review"];
export type WallMap = Schemas["WallMap"];
export type Cell = WallMap["cells"][number];

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

// crosses tells whether the torch came over an angle in a pass, give or take slack in degrees; where that is not known it may have.
export function crosses(pass: PassRow, angle: number, slack: number): boolean {
  const turned = turnedBy(pass);
  if (turned === null || !isNumber(pass.start_angle_deg)) {
    return true;
  }
  const ahead = wrap(Math.sign(turned) * (angle - pass.start_angle_deg) + slack);
  return ahead <= 360 * Math.abs(turned) + 2 * slack;
}

// passesAt are the passes that may have laid a place, layer by layer: those that came over its angle, and of these the one that began
// deepest without beginning below it. A pass of which no place is known may always have.
export function passesAt(review: Review, angle: number, depth: number): PassRow[] {
  const slack = (review.map?.angle_step_deg ?? 0) / 2;
  const layers = new Map<number, PassRow[]>();
  for (const pass of review.passes.passes.filter((one) => crosses(one, angle, slack))) {
    const layer = pass.layer ?? 0;
    layers.set(layer, [...(layers.get(layer) ?? []), pass]);
  }
  return [...layers.values()].flatMap((passes) => {
    const depths = passes.map((pass) => pass.start_depth_mm).filter(isNumber).filter((start) => start <= depth);
    const deepest = Math.max(...depths);
    return passes.filter((pass) => !isNumber(pass.start_depth_mm) || Math.abs(pass.start_depth_mm - deepest) < 1e-3);
  });
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

// causesOf groups findings by their events, in the order in which these began.
export function causesOf(review: Review, findings: FindingRow[]): Cause[] {
  const causes = new Map<number, Cause>();
  for (const f of [...findings].sort((a, b) => a.tick_ns - b.tick_ns)) {
    const event = review.findings.events.find((one) => one.number === f.event);
    const number = event?.number ?? 0;
    const cause = causes.get(number) ?? { number, words: event?.cause ?? "", findings: [] };
    cause.findings = f.number === event?.lead ? [f, ...cause.findings] : [...cause.findings, f];
    causes.set(number, cause);
  }
  return [...causes.values()];
}
