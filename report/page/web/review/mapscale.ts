// How the unrolled wall is coloured: by the class that the program gave each cell. A value without limits has a step of temper colours, from
// pale straw to dark blue, darker for more. Every class has a hatching or a shade of its own: printed in grey it reads the same.
import { hatchIn, type Hatch } from "../base/hatch";
import { prefs } from "../base/prefs";
import type { WallMap } from "./data";

export type View = WallMap["views"][number];

export interface Look {
  fill: string; // a colour of the theme, or of the scale
  tint?: number; // how much of it lies over the plate
  hatch?: Hatch;
  line?: string; // a colour of the theme
}

const looks: Record<string, Look> = {
  w: { fill: "within", tint: 0.3 },
  n: { fill: "near", tint: 0.22, hatch: "falling", line: "near" },
  l: { fill: "outside", tint: 0.3, hatch: "cross", line: "outside" },
  h: { fill: "outside", tint: 0.65, hatch: "rising", line: "ink" },
  "?": { fill: "hollow", hatch: "dots", line: "line-strong" },
  b: { fill: "hollow" },
  ".": { fill: "plate-2", hatch: "level", line: "line-strong" },
  f: { fill: "plate-2", hatch: "cross", line: "open" }, // with findings
  p: { fill: "plate-2" }, // without
};

// Steps of the scale: sRGB, of a luminance that falls from step to step.
const steps = ["rgb(251 240 200)", "rgb(240 201 107)", "rgb(214 141 66)", "rgb(167 82 74)", "rgb(103 50 105)"];

// lookOf is what a class looks like.
export function lookOf(letter: string): Look {
  return looks[letter] ?? { fill: steps[Number(letter)] ?? steps[0]! };
}

// paintClass fills a rectangle of a canvas by a class; colour reads a colour of the theme.
export function paintClass(c: CanvasRenderingContext2D, letter: string, x: number, y: number, w: number, h: number, colour: (name: string) => string): void {
  const look = lookOf(letter);
  c.fillStyle = colour("plate");
  c.fillRect(x, y, w, h);
  c.globalAlpha = look.tint ?? 1;
  c.fillStyle = look.fill.startsWith("rgb") ? look.fill : colour(look.fill);
  c.fillRect(x, y, w, h);
  c.globalAlpha = 1;
  if (look.hatch && look.line) {
    hatchIn(c, look.hatch, x, y, w, h, colour(look.line), look.hatch === "rising" ? 7 : 5);
  }
}

// layersOf are the numbers of the layers of which there is a view of its own.
export function layersOf(views: View[], of: string): number[] {
  return views.filter((view) => view.of === of).map((view) => view.layer).filter((layer): layer is number => layer !== null);
}

// viewOf finds a view; where there is none of that layer, that of all.
export function viewOf(views: View[], of: string, layer: number | null): View | null {
  return views.find((view) => view.of === of && view.layer === layer) ?? views.find((view) => view.of === of && view.layer === null) ?? null;
}

// classWords says a class of a view in the units of the person.
export function classWords(view: View, letter: string): string {
  const key = view.keys.find((one) => one.class === letter);
  return key ? key[prefs.units] : "";
}
