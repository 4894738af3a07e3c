// Drawings of a bore: seen from the torch side with the mark at the top and angles clockwise, and its wall unrolled.
import { s } from "./dom";

export const full = 360;

// at is the point of a circle at an angle, clockwise from the top.
export function at(cx: number, cy: number, r: number, deg: number): [number, number] {
  const a = (deg * Math.PI) / 180;
  return [cx + r * Math.sin(a), cy - r * Math.cos(a)];
}

const two = (n: number) => n.toFixed(2);

// arc is the path of an arc from one angle clockwise to another; the whole circle where they are 360 apart.
export function arc(cx: number, cy: number, r: number, from: number, to: number): string {
  const sweep = Math.min(to - from, full);
  if (sweep >= full - 1e-6) {
    return `${arc(cx, cy, r, from, from + full / 2)} ${arc(cx, cy, r, from + full / 2, from + full - 0.001)}`;
  }
  const [x0, y0] = at(cx, cy, r, from);
  const [x1, y1] = at(cx, cy, r, to);
  return `M${two(x0)} ${two(y0)}A${two(r)} ${two(r)} 0 ${sweep > 180 ? 1 : 0} 1 ${two(x1)} ${two(y1)}`;
}

// sector is the closed piece of a ring between two radii and two angles.
export function sector(cx: number, cy: number, inner: number, outer: number, from: number, to: number): string {
  const large = to - from > 180 ? 1 : 0;
  const points = [at(cx, cy, outer, from), at(cx, cy, outer, to), at(cx, cy, inner, to), at(cx, cy, inner, from)].map(([x, y]) => `${two(x)} ${two(y)}`);
  return `M${points[0]}A${two(outer)} ${two(outer)} 0 ${large} 1 ${points[1]}L${points[2]}A${two(inner)} ${two(inner)} 0 ${large} 0 ${points[3]}Z`;
}

export interface Gap {
  from: number;
  to: number;
}

// laid are the angles between the gaps, where metal is laid; each from lower to higher, the last may go beyond 360.
export function laid(gaps: Gap[]): Gap[] {
  const sorted = gaps.map((gap) => ({ from: wrap(gap.from), to: wrap(gap.from) + wrap(gap.to - gap.from) })).sort((a, b) => a.from - b.from);
  if (sorted.length === 0) {
    return [{ from: 0, to: full }];
  }
  return sorted.map((gap, k) => ({ from: gap.to, to: k + 1 < sorted.length ? sorted[k + 1]!.from : sorted[0]!.from + full }));
}

export function wrap(deg: number): number {
  return ((deg % full) + full) % full;
}

// graduation draws the protractor around a circle: the mark at the top, ticks every 10 and figures every 90 degrees.
export function graduation(cx: number, cy: number, r: number): SVGGElement {
  const g = s("g");
  for (let deg = 0; deg < full; deg += 10) {
    const long = deg % 90 === 0 ? 11 : deg % 30 === 0 ? 8 : 5;
    const [x0, y0] = at(cx, cy, r, deg);
    const [x1, y1] = at(cx, cy, r + long, deg);
    g.append(s("line", { x1: two(x0), y1: two(y0), x2: two(x1), y2: two(y1), class: "d-tick" }));
  }
  for (const deg of [90, 180, 270]) {
    const [x, y] = at(cx, cy, r + 22, deg);
    g.append(s("text", { x: two(x), y: two(y + 5), "text-anchor": deg === 90 ? "start" : deg === 270 ? "end" : "middle", class: "quiet" }, `${deg}°`));
  }
  g.append(s("path", { d: `M${cx} ${cy - r - 2}l-8 -15h16z`, class: "d-mark" }));
  return g;
}
