// Values of a form: as texts of a file, and as numbers for drawings, the text "3.622 in" as millimetres.
import type { Gap } from "../base/draw";
import { numberOf as typedNumber, splitQuantity } from "../base/number";
import { convert } from "../base/units";

export type Values = Record<string, string>;

// differ tells whether two sets of values say different things; an empty text is no value.
export function differ(a: Values, b: Values): boolean {
  return [...new Set([...Object.keys(a), ...Object.keys(b)])].some((k) => (a[k] ?? "") !== (b[k] ?? ""));
}

// numberOf is a value in a unit; null where it is not there, or not a number with its unit.
export function numberOf(values: Values, key: string, unit: string): number | null {
  const text = values[key];
  if (!text) {
    return null;
  }
  const [digits, own] = splitQuantity(text);
  const number = typedNumber(digits);
  return number === null ? null : convert(number, own, unit);
}

export interface Shape {
  worn: number | null;
  finish: number | null;
  weldTo: number | null;
  length: number | null; // all mm
  pitch: number | null;
  pattern: string;
  start: number; // deg
  gaps: Gap[];
}

// shapeOf is the bore as far as the values tell it.
export function shapeOf(values: Values): Shape {
  const mm = (key: string) => numberOf(values, key, "mm");
  const gaps: Gap[] = [];
  for (let k = 0; `deposit.gaps.${k}.from` in values; k++) {
    const from = numberOf(values, `deposit.gaps.${k}.from`, "deg");
    const to = numberOf(values, `deposit.gaps.${k}.to`, "deg");
    if (from !== null && to !== null) {
      gaps.push({ from, to });
    }
  }
  return {
    worn: mm("bore.worn_diameter"), finish: mm("bore.finish_diameter"), weldTo: mm("bore.weld_to_diameter"), length: mm("bore.length"),
    pitch: mm("deposit.pitch"), pattern: values["deposit.pattern"] ?? "", start: numberOf(values, "rotation.start_angle", "deg") ?? 0, gaps,
  };
}
