// Where to put rule and protractor: the bore from its end with a ray at the angle, and the depth along its wall.
import { h, s } from "../base/dom";
import { arc, at, graduation } from "../base/draw";
import { signGroup, type Sign } from "../base/state";
import { digits, placeWords, withUnit } from "../base/units";

// placeDrawing shows angle and depth of a spot; length is that of the bore in mm, null where it is not known.
export function placeDrawing(angle: number | null, depth: number | null, length: number | null, sign: Sign): HTMLElement {
  const cx = 142;
  const cy = 124;
  const r = 72;
  const svg = s("svg", { viewBox: "0 0 480 252", class: "drawing place", role: "img", "aria-label": placeWords(angle, depth) });
  svg.append(s("circle", { cx, cy, r: r + 7, class: "d-ring" }), graduation(cx, cy, r + 14), s("circle", { cx, cy, r: 3, class: "d-mark" }));
  if (angle !== null) {
    const [x, y] = at(cx, cy, r, angle);
    svg.append(s("path", { d: `M${cx} ${cy}V${cy - 40}`, class: "d-tick" }));
    if (angle > 0.5) {
      svg.append(s("path", { d: arc(cx, cy, 34, 0, angle), class: "d-sweep" }));
    }
    svg.append(s("path", { d: `M${cx} ${cy}L${x} ${y}`, class: "d-ray" }), signGroup(sign, x, y, 30));
    svg.append(s("text", { x: cx, y: cy + (angle > 120 && angle < 240 ? -12 : 26), "text-anchor": "middle", class: "d-figure" }, `${digits(angle, 0)}°`));
  }
  svg.append(depthView(depth, length, sign));
  return h("figure", { class: "place-figure" }, svg);
}

// depthView is the wall cut along its axis, the entry face at its left.
function depthView(depth: number | null, length: number | null, sign: Sign): SVGGElement {
  const left = 306;
  const right = 468;
  const y = 150;
  const g = s("g", {},
    s("rect", { x: left, y, width: right - left, height: 34, class: "d-steel" }),
    s("path", { d: `M${left} ${y}H${right}`, class: "d-worn" }),
    s("path", { d: `M${left} ${y - 62}V${y + 46}`, class: "d-face" }),
    s("text", { x: left, y: y + 64, class: "quiet" }, "entry face"),
    length === null ? null : s("text", { x: right - 8, y: y + 24, "text-anchor": "end", class: "quiet" }, withUnit(length, "mm")));
  if (depth !== null) {
    const known = length !== null && length > 0;
    const x = known ? left + Math.max(0, Math.min(1, depth / length)) * (right - left) : (left + right) / 2;
    g.append(s("path", { d: `M${left} ${y - 30}H${x}M${x} ${y - 40}V${y}`, class: "d-ray" }), signGroup(sign, x, y, 30));
    g.append(s("text", { x: x > left + 70 ? (left + x) / 2 : x + 14, y: y - 38, "text-anchor": x > left + 70 ? "middle" : "start", class: "d-figure" }, withUnit(depth, "mm")));
  }
  return g;
}
