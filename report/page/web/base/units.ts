// Units. The program speaks metric; a person may read US units. All conversions of the pages are here.
//
// Factors are exact by definition: 1 in = 25.4 mm, 1 ft = 12 in, 1 lb = 453.59237 g (international yard and pound),
// 1 oz = 1/16 lb, degF = 9/5 degC + 32. A unit of length in a denominator divides by the same factor.
import { prefs } from "./prefs";

const inch = 25.4; // mm
const foot = 12 * inch;
const cubicFoot = (foot / 100) ** 3; // L
const pound = 453.59237; // g

interface Unit {
  family: string;
  factor: number; // to the first unit of its family
  zero?: number; // of the scale, in this unit
  decimals: number; // that a person can use
}

// The first of a family has the factor 1.
const units: Record<string, Unit> = {
  V: { family: "voltage", factor: 1, decimals: 1 },
  A: { family: "current", factor: 1, decimals: 0 },
  W: { family: "power", factor: 1, decimals: 0 },
  kW: { family: "power", factor: 1000, decimals: 2 },
  J: { family: "energy", factor: 1, decimals: 0 },
  kJ: { family: "energy", factor: 1000, decimals: 1 },
  s: { family: "time", factor: 1, decimals: 1 },
  ms: { family: "time", factor: 1e-3, decimals: 0 },
  min: { family: "time", factor: 60, decimals: 1 },
  h: { family: "time", factor: 3600, decimals: 2 },
  rpm: { family: "rotation", factor: 1, decimals: 3 },
  deg: { family: "angle", factor: 1, decimals: 0 },
  mm: { family: "length", factor: 1, decimals: 1 },
  um: { family: "length", factor: 1e-3, decimals: 0 },
  cm: { family: "length", factor: 10, decimals: 2 },
  m: { family: "length", factor: 1000, decimals: 2 },
  in: { family: "length", factor: inch, decimals: 3 },
  ft: { family: "length", factor: foot, decimals: 2 },
  mm2: { family: "area", factor: 1, decimals: 1 },
  in2: { family: "area", factor: inch * inch, decimals: 4 },
  "mm/min": { family: "speed", factor: 1, decimals: 0 },
  "cm/min": { family: "speed", factor: 10, decimals: 1 },
  "m/min": { family: "speed", factor: 1000, decimals: 2 },
  "mm/s": { family: "speed", factor: 60, decimals: 2 },
  "m/s": { family: "speed", factor: 60000, decimals: 4 },
  "in/min": { family: "speed", factor: inch, decimals: 1 },
  "kJ/mm": { family: "energy per length", factor: 1, decimals: 3 },
  "kJ/cm": { family: "energy per length", factor: 1 / 10, decimals: 2 },
  "J/mm": { family: "energy per length", factor: 1 / 1000, decimals: 0 },
  "kJ/in": { family: "energy per length", factor: 1 / inch, decimals: 1 },
  "J/in": { family: "energy per length", factor: 1 / 1000 / inch, decimals: 0 },
  "L/min": { family: "flow", factor: 1, decimals: 1 },
  "ft3/h": { family: "flow", factor: cubicFoot / 60, decimals: 0 },
  "ft3/min": { family: "flow", factor: cubicFoot, decimals: 2 },
  L: { family: "volume", factor: 1, decimals: 0 },
  ft3: { family: "volume", factor: cubicFoot, decimals: 1 },
  g: { family: "mass", factor: 1, decimals: 0 },
  kg: { family: "mass", factor: 1000, decimals: 3 },
  oz: { family: "mass", factor: pound / 16, decimals: 1 },
  lb: { family: "mass", factor: pound, decimals: 2 },
  degC: { family: "temperature", factor: 1, zero: 0, decimals: 0 },
  degF: { family: "temperature", factor: 5 / 9, zero: 32, decimals: 0 },
  K: { family: "temperature", factor: 1, zero: 273.15, decimals: 0 },
};

// What stands in the place of a metric unit for those who read US units; others stay as they are.
const us: Record<string, string> = {
  mm: "in", m: "ft", mm2: "in2", "mm/min": "in/min", "m/min": "in/min", "kJ/mm": "kJ/in", "L/min": "ft3/h", L: "ft3", g: "oz", kg: "lb", degC: "degF",
};
const metric: Record<string, string> = {
  in: "mm", ft: "m", in2: "mm2", "in/min": "mm/min", "kJ/in": "kJ/mm", "J/in": "J/mm", "ft3/h": "L/min", "ft3/min": "L/min", ft3: "L", oz: "g", lb: "kg", degF: "degC",
};

// convert takes a value from one unit to another of the same family; null where there is no way.
export function convert(value: number, from: string, to: string): number | null {
  const a = units[from];
  const b = units[to];
  if (from === to) {
    return value;
  }
  if (!a || !b || a.family !== b.family) {
    return null;
  }
  return ((value - (a.zero ?? 0)) * a.factor) / b.factor + (b.zero ?? 0);
}

export interface Shown {
  value: number | null;
  unit: string;
  decimals: number;
}

// shown is a metric value in the units that the person reads. A difference of temperatures is no temperature: difference says so.
export function shown(value: number | null | undefined, unit: string, difference = false): Shown {
  const to = prefs.units === "us" ? (us[unit] ?? unit) : unit;
  let there = value === null || value === undefined ? null : convert(value, unit, to);
  if (difference && there !== null) {
    there -= convert(0, unit, to) ?? 0;
  }
  return { value: there, unit: to, decimals: units[to]?.decimals ?? 2 };
}

// figure is the digits alone; a dash is not known.
export function figure(value: number | null | undefined, unit: string, decimals?: number): string {
  const s = shown(value, unit);
  return s.value === null ? "—" : digits(s.value, decimalsIn(s, unit, decimals));
}

// withUnit is digits and unit: 92.0 mm, 3.622 in; a dash is not known.
export function withUnit(value: number | null | undefined, unit: string, decimals?: number): string {
  const s = shown(value, unit);
  return s.value === null ? "—" : `${digits(s.value, decimalsIn(s, unit, decimals))} ${unitText(s.unit)}`.trim();
}

// counted says how many there are of what.
export function counted(n: number, one: string, many: string): string {
  return `${n} ${n === 1 ? one : many}`;
}

// against writes a value and the limit that it is held against, with as many decimals as it takes to tell them apart:
// printed alike, a sentence that calls one out of the other contradicts itself.
export function against(value: number, limit: number, unit: string): [string, string] {
  const [a, b] = [shown(value, unit), shown(limit, unit)];
  const withName = (text: string) => (unit === "1" ? text : `${text} ${unitText(a.unit)}`.trim());
  for (let decimals = a.decimals; decimals <= a.decimals + 6; decimals++) {
    const [said, held] = [digits(a.value ?? 0, decimals), digits(b.value ?? 0, decimals)];
    if (said !== held) {
      return [withName(said), withName(held)];
    }
  }
  const held = withName(digits(b.value ?? 0, b.decimals));
  return [value === limit ? held : `just ${value > limit ? "above" : "below"} ${held}`, held];
}

// unitFor is how a metric unit is written for the person: the head of a column.
export function unitFor(unit: string): string {
  return unitText(shown(0, unit).unit);
}

// decimalsIn gives decimals that were asked for in the metric unit as many more or fewer in the US unit as the tables differ.
function decimalsIn(s: Shown, unit: string, decimals?: number): number {
  if (decimals === undefined) {
    return s.decimals;
  }
  return Math.max(0, decimals + s.decimals - (units[unit]?.decimals ?? 2));
}

export function digits(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  return (/^-0(\.0*)?$/.test(text) ? text.slice(1) : text).replace("-", "−");
}

// range writes a window as a person reads it: 16.5 to 19.0 V, at most 250 °C.
export function range(low: number | null | undefined, high: number | null | undefined, unit: string, decimals?: number): string {
  if (low === null || low === undefined) {
    return high === null || high === undefined ? "—" : `at most ${withUnit(high, unit, decimals)}`;
  }
  return high === null || high === undefined ? `at least ${withUnit(low, unit, decimals)}` : `${figure(low, unit, decimals)} to ${withUnit(high, unit, decimals)}`;
}

// unitText is a unit as it is read; files keep the plain letters.
export function unitText(unit: string): string {
  return ({ degC: "°C", degF: "°F", deg: "°", ft3: "ft³", "ft3/h": "ft³/h", "ft3/min": "ft³/min", mm2: "mm²", in2: "in²", um: "µm" } as Record<string, string>)[unit] ?? unit;
}

// otherSystem says a typed value in the other system, for a person to check it by; null where there is nothing to say.
export function otherSystem(value: number, unit: string): string | null {
  const to = us[unit] ?? metric[unit];
  const there = to === undefined ? null : convert(value, unit, to);
  if (to === undefined || there === null) {
    return null;
  }
  return `${digits(there, units[to]?.decimals ?? 2)} ${unitText(to)}`;
}

// placeWords says a place for protractor and rule, in the person's units; the sentences of the program stay as they are.
export function placeWords(angle: number | null | undefined, depth: number | null | undefined): string {
  if ((angle === null || angle === undefined) && (depth === null || depth === undefined)) {
    return "place not known";
  }
  const round = angle === null || angle === undefined ? "angle not known" : `${digits(angle, 0)}° clockwise from the mark, seen from the torch side`;
  const deep = depth === null || depth === undefined ? "depth not known" : `${withUnit(depth, "mm")} from the entry face`;
  return `${round}; ${deep}`;
}
