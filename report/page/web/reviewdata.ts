// What a review says, in a form that pages can use: limits as numbers, cells by column and row, passes of a layer.
import type { PassRow, Reviewed, Schemas } from "./api";
import { isNumber } from "./gauge";

export type Review = Schemas["Review"];
export type WallMap = Schemas["WallMap"];
export type Cell = WallMap["cells"][number];

export interface Limits {
  low: number | null;
  high: number | null;
  unit: string;
}

const none: Limits = { low: null, high: null, unit: "" };

// limitsOf reads a line of the procedure's window: "16.5 to 19.0 V", "at most 250 degC". A text that is none of these has no limits.
export function limitsOf(review: Review, quantity: RegExp): Limits {
  const row = review.window?.find((one) => quantity.test(String(one["quantity"] ?? "")));
  const words = String(row?.["window"] ?? "").replace("−", "-");
  const number = "(-?\\d+(?:\\.\\d+)?)";
  const both = new RegExp(`^${number} to ${number} (\\S+)$`).exec(words);
  if (both) {
    return { low: Number(both[1]), high: Number(both[2]), unit: both[3]! };
  }
  const most = new RegExp(`^at most ${number} (\\S+)$`).exec(words);
  if (most) {
    return { low: null, high: Number(most[1]), unit: most[2]! };
  }
  const least = new RegExp(`^at least ${number} (\\S+)$`).exec(words);
  return least ? { low: Number(least[1]), high: null, unit: least[2]! } : none;
}

// energyRules tells whether the limits are about the arc energy; else about the heat input.
export function energyRules(review: Review): boolean {
  return review.window?.some((row) => /^Arc energy/.test(String(row["quantity"] ?? ""))) ?? false;
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

// passesAt are the passes that may have laid a place: one of every layer, where its pattern tells it; else all of the layer.
export function passesAt(review: Review, depth: number): PassRow[] {
  const length = review.map ? lengthOf(review.map) : null;
  const layers = new Map<number, PassRow[]>();
  for (const pass of review.passes.passes) {
    const layer = pass.layer ?? 0;
    layers.set(layer, [...(layers.get(layer) ?? []), pass]);
  }
  return [...layers.values()].flatMap((passes) => {
    if (length !== null && passes.length > 1 && passes.every((pass) => pass.pattern === "rings")) {
      return [passes[Math.min(passes.length - 1, Math.floor((depth / length) * passes.length))]!];
    }
    return passes;
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
