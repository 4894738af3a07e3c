// How the unrolled wall is coloured: like temper colours, from pale straw to dark blue, darker for more. Printed in grey it reads the same.
import { isNumber } from "../base/gauge";
import type { Limits, Review, Cell } from "./data";
import { energyRules, limitsOf } from "./data";

export type Mode = "heat" | "arc" | "height" | "findings";

export interface Look {
  mode: Mode;
  name: string; // on its button
  words: string;
  unit: string;
  decimals: number;
  value(cell: Cell): number | null;
  limits: Limits;
}

const open: Limits = { low: null, high: null, unit: "" };

export function looksOf(review: Review): Look[] {
  const energy = energyRules(review);
  const stock = review.map?.cells.some((cell) => isNumber(cell.stock_mm)) ?? false;
  return [
    { mode: "heat", name: energy ? "Arc energy" : "Heat input", words: `${energy ? "Arc energy" : "Heat input"} of the cell`, unit: "kJ/mm", decimals: 3,
      value: (cell) => (energy ? cell.arc_energy_kj_per_mm : cell.heat_input_kj_per_mm) ?? null, limits: limitsOf(review, energy ? /^Arc energy/ : /^Heat input/) },
    { mode: "arc", name: "Arc time", words: "Time that the arc burned over the cell, all layers", unit: "s", decimals: 1, value: (cell) => cell.arc_time_s ?? null, limits: open },
    { mode: "height", name: "Build-up", words: stock ? "Metal above the finish diameter, radial" : "Height of what was laid", unit: "mm", decimals: 1,
      value: (cell) => (stock ? cell.stock_mm : cell.height_mm) ?? null, limits: stock ? { low: 0, high: null, unit: "mm" } : open },
    { mode: "findings", name: "Findings", words: "Where findings are", unit: "", decimals: 0, value: (cell) => cell.findings ?? 0, limits: open },
  ];
}

// Stops of the scale: sRGB, of a luminance that falls from step to step.
const stops: [number, number, number][] = [[251, 240, 200], [240, 201, 107], [214, 141, 66], [167, 82, 74], [103, 50, 105], [38, 32, 92]];

// shade is the colour of a share from 0 to 1.
export function shade(share: number): string {
  const at = Math.min(1, Math.max(0, share)) * (stops.length - 1);
  const k = Math.min(stops.length - 2, Math.floor(at));
  const mix = stops[k]!.map((from, i) => Math.round(from + (stops[k + 1]![i]! - from) * (at - k)));
  return `rgb(${mix.join(" ")})`;
}

export interface Domain {
  min: number;
  max: number;
}

// domainOf is what the scale spans: nearly all values, and never so little that noise looks like a difference.
export function domainOf(look: Look, cells: Cell[]): Domain | null {
  const values = cells.filter((cell) => (cell.planned_share ?? 1) >= 0.5).map((cell) => look.value(cell)).filter(isNumber).sort((a, b) => a - b);
  if (values.length === 0) {
    return null;
  }
  const at = (share: number) => values[Math.round(share * (values.length - 1))]!;
  const middle = at(0.5);
  const half = Math.max(0.05 * Math.abs(middle), 1e-9);
  return { min: Math.min(at(0.02), middle - half), max: Math.max(at(0.98), middle + half) };
}

// flagged tells whether a cell is beyond the limits. Beside a planned gap the build-up is not judged: the metal there ends.
export function flagged(look: Look, cell: Cell): boolean {
  const value = look.value(cell);
  const { low, high } = look.limits;
  return isNumber(value) && !(look.mode === "height" && cell["beside_gap"] === true) && ((low !== null && value < low) || (high !== null && value > high));
}
