// The two drawings of a plan: the bore in rings from its end, and its wall unrolled.
import type { Plan } from "../base/api";
import { h, s } from "../base/dom";
import { arc, graduation, laid, sector, wrap } from "../base/draw";
import { digits, unitFor, withUnit } from "../base/units";
import type { Shape } from "./values";

const cx = 200;
const cy = 190;
const outer = 128; // where the worn wall is drawn

// endView draws the wall many times thicker than it is, since layers of millimetres would not be seen in a bore; it says so.
export function endView(shape: Shape, plan: Plan | null): HTMLElement | null {
  const worn = shape.worn;
  if (worn === null || worn <= 0) {
    return null;
  }
  const inside = insides(shape, plan);
  const least = Math.min(...inside, worn * 0.999);
  const inner = 62;
  const times = (outer - inner) / ((worn - least) / 2) / (outer / (worn / 2));
  const radius = (diameter: number) => outer - ((worn - diameter) / (worn - least)) * (outer - inner);
  const svg = s("svg", { viewBox: "0 0 400 372", class: "drawing", role: "img", "aria-label": endWords(shape, plan) },
    s("path", { d: sector(cx, cy, outer, outer + 16, 0, 359.99), class: "d-steel" }),
    layerRings(shape, plan, radius),
    shape.gaps.map((gap) => s("path", { d: sector(cx, cy, radius(least), outer, wrap(gap.from), wrap(gap.from) + wrap(gap.to - gap.from)), class: "d-gap" })),
    s("circle", { cx, cy, r: outer, class: "d-worn" }),
    lined(shape.weldTo, radius, "d-weldto"),
    lined(shape.finish, radius, "d-finish"),
    graduation(cx, cy, outer + 16),
    s("text", { x: cx, y: cy - 3, "text-anchor": "middle" }, "from the"),
    s("text", { x: cx, y: cy + 16, "text-anchor": "middle" }, "torch side"));
  return h("figure", {}, svg, legend(shape, plan), h("figcaption", {}, `${Math.round(times) > 1 ? `The wall is drawn ${Math.round(times)} times as thick as it is. ` : ""}The mark is at the top; angles run clockwise.`));
}

// lined is a circle on a ground of its own, so that it is seen on metal too.
function lined(diameter: number | null, radius: (diameter: number) => number, className: string): SVGElement[] {
  return diameter === null ? [] : ["d-halo", className].map((c) => s("circle", { cx, cy, r: radius(diameter), class: c }));
}

function insides(shape: Shape, plan: Plan | null): number[] {
  return [shape.finish, shape.weldTo, plan?.final_diameter_mm ?? null].filter((d): d is number => d !== null && d > 0);
}

// layerRings are the layers between the diameters that each begins on.
function layerRings(shape: Shape, plan: Plan | null, radius: (diameter: number) => number): SVGElement[] {
  const layers = plan?.layers ?? [];
  return layers.flatMap((layer, k) => {
    const begin = layer.diameter_mm;
    const end = layers[k + 1]?.diameter_mm ?? plan?.final_diameter_mm;
    if (begin === null || begin === undefined || end === null || end === undefined) {
      return [];
    }
    const [a, b] = [radius(begin), radius(end)];
    return laid(shape.gaps).map((span) => s("path", {
      d: arc(cx, cy, (a + b) / 2, span.from, span.to), class: k % 2 ? "d-layer even" : "d-layer", "stroke-width": Math.max(1.5, a - b - 2),
    }));
  });
}

function endWords(shape: Shape, plan: Plan | null): string {
  return `End view: worn ${withUnit(shape.worn, "mm")}, finish ${withUnit(shape.finish, "mm")}, weld to ${withUnit(shape.weldTo, "mm")}, ` +
    `${plan?.layers.length ?? "no"} layers, ${shape.gaps.length} gaps`;
}

function legend(shape: Shape, plan: Plan | null): HTMLElement {
  const line = (className: string) => s("svg", { viewBox: "0 0 40 14", class: "key", "aria-hidden": "true" }, s("path", { d: "M2 7h36", class: className, "stroke-width": className === "d-layer" ? 9 : null }));
  const row = (className: string, words: string, value: number | null | undefined) =>
    value === null || value === undefined ? null : h("li", {}, line(className), ` ${words} ${withUnit(value, "mm")}`);
  return h("ul", { class: "legend" },
    row("d-worn", "worn", shape.worn), row("d-finish", "finish", shape.finish), row("d-weldto", "weld to", shape.weldTo),
    row("d-layer", `${plan?.layers.length === 1 ? "1 layer" : `${plan?.layers.length ?? 0} layers`}, then`, plan?.final_diameter_mm));
}

const left = 46;
const right = 392;
const top = 26;

// unrolled draws the wall flat: angle across, depth down, beads as the pattern lays them.
export function unrolled(shape: Shape): HTMLElement | null {
  const { worn, length, pitch } = shape;
  if (worn === null || length === null || worn <= 0 || length <= 0) {
    return null;
  }
  const scale = (right - left) / (Math.PI * worn); // the same for both directions: it is to scale
  const height = Math.min(420, Math.max(40, length * scale));
  const y = (depth: number) => top + (depth / length) * height;
  const x = (deg: number) => left + (deg / 360) * (right - left);
  const clip = "unrolled-clip";
  const svg = s("svg", { viewBox: `0 0 410 ${height + 60}`, class: "drawing", role: "img", "aria-label": `Unrolled wall: ${withUnit(length, "mm")} deep, pattern ${shape.pattern || "not said"}, pitch ${withUnit(pitch, "mm")}` },
    s("clipPath", { id: clip }, s("rect", { x: left, y: top, width: right - left, height })),
    s("g", { "clip-path": `url(#${clip})` },
      beads(shape, length, x, y, (pitch ?? 0) * scale),
      shape.gaps.flatMap((gap) => gapBands(gap, x, height))),
    s("rect", { x: left, y: top, width: right - left, height, class: "d-edge" }),
    [0, 90, 180, 270, 360].map((deg) => s("g", {},
      s("line", { x1: x(deg), x2: x(deg), y1: top - 7, y2: top, class: "d-tick" }),
      s("text", { x: x(deg), y: top - 11, "text-anchor": "middle", class: "quiet" }, `${deg}°`))),
    s("text", { x: left - 6, y: top + 6, "text-anchor": "end", class: "quiet" }, "0"),
    s("text", { x: left - 6, y: top + height, "text-anchor": "end", class: "quiet" }, digits(depthShown(length), 1)),
    s("text", { x: left, y: top + height + 20, class: "quiet" }, `depth from the entry face, ${unitFor("mm")}`));
  return h("figure", {}, svg, h("figcaption", {}, `The wall unrolled${height === length * scale ? ", to scale" : ""}: ${shape.pattern || "pattern not said"}${pitch ? `, pitch ${withUnit(pitch, "mm")}` : ""}.`));
}

function depthShown(mm: number): number {
  return Number(withUnit(mm, "mm").split(" ")[0]);
}

function gapBands(gap: { from: number; to: number }, x: (deg: number) => number, height: number): SVGElement[] {
  const from = wrap(gap.from);
  const to = from + wrap(gap.to - gap.from);
  return [0, -360].filter((shift) => to + shift > 0 && from + shift < 360)
    .map((shift) => s("rect", { x: x(from + shift), y: top, width: x(to) - x(from), height, class: "d-gap" }));
}

// beads are sloping lines for a helix and level ones for rings and strokes.
function beads(shape: Shape, length: number, x: (deg: number) => number, y: (mm: number) => number, width: number): SVGElement[] {
  const { pitch } = shape;
  if (pitch === null || pitch <= 0 || length / pitch > 400 || shape.pattern === "straight") {
    return [];
  }
  const lines: SVGElement[] = [];
  const thick = Math.max(1, width * 0.7);
  const slope = shape.pattern === "helix" ? pitch : 0;
  for (let k = shape.pattern === "helix" ? -1 : 0; k * pitch < length; k++) {
    const depth = (k + (slope ? -shape.start / 360 + 0.5 : 0.5)) * pitch;
    lines.push(s("line", { x1: x(0), y1: y(depth), x2: x(360), y2: y(depth + slope), class: "d-bead", "stroke-width": thick.toFixed(2) }));
  }
  return lines;
}
