// The graduation of a rule along the depth of a bore, in the units that the person reads.
import { digits, shown } from "./units";

export interface Tick {
  mm: number;
  text: string;
}

const steps: Record<string, number[]> = { mm: [1, 2, 5, 10, 20, 50, 100, 200, 500], in: [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20] };

// ruler has no more than so many parts.
export function ruler(length: number, parts: number): Tick[] {
  const { unit, value } = shown(1, "mm");
  const perUnit = 1 / (value ?? 1); // mm
  const list = steps[unit] ?? steps["mm"]!;
  const step = list.find((one) => length / (one * perUnit) <= parts) ?? list[list.length - 1]!;
  const ticks: Tick[] = [];
  for (let k = 0; k * step * perUnit <= length + 1e-9; k++) {
    ticks.push({ mm: k * step * perUnit, text: digits(k * step, step < 0.1 ? 2 : step < 1 ? 1 : 0) });
  }
  return ticks;
}
