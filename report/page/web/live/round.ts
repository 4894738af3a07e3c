// The bore while it is welded: seen from the torch side, and in depth.
import type { Live } from "../base/api";
import { fill, h, s } from "../base/dom";
import { arc, at, graduation, sector, wrap } from "../base/draw";
import { isNumber } from "../base/gauge";
import { hatches } from "../base/hatch";
import { ruler } from "../base/ruler";
import { signGroup } from "../base/state";
import { digits, figure, unitFor, withUnit } from "../base/units";
import { text } from "./values";

const middle = 210;
const wall = 168; // the ring of the layer lies inside it
const bead = 132;

export interface Picture {
  round: HTMLElement;
  depth: HTMLElement;
  set(live: Live, heard: boolean): void;
}

export function livePicture(): Picture {
  const cells = s("g", {});
  const gaps = s("g", {});
  const tags = s("g", {});
  const late = s("path", { class: "r-late" });
  const star = s("path", { class: "r-arc", d: "M0-15 4-5 14-8 7 0l7 8-10-3-4 10-4-10-10 3 7-8-7-8 10 3z" });
  const torch = s("g", { class: "r-torch" },
    s("path", { d: `M${middle - 8} ${middle - 86}v-28l4-10h8l4 10v28z` }),
    s("g", { transform: `translate(${middle} ${middle - bead + 2})` }, star));
  const angle = s("text", { x: middle, y: middle + 14, class: "r-angle", "text-anchor": "middle" });
  const above = s("text", { x: middle, y: middle - 46, class: "r-words", "text-anchor": "middle" });
  const below = s("text", { x: middle, y: middle + 44, class: "r-words", "text-anchor": "middle" });
  const sure = s("text", { x: middle, y: middle + 72, class: "r-words", "text-anchor": "middle" });
  const svg = s("svg", { viewBox: "-38 12 496 410", class: "round", role: "img" }, hatches("ring"),
    s("path", { d: sector(middle, middle, wall, wall + 9, 0, 359.99), class: "d-steel" }),
    s("circle", { cx: middle, cy: middle, r: wall, class: "r-wall" }),
    cells, gaps, graduation(middle, middle, wall + 9), late, tags, torch, above, angle, below, sure);
  const rests = h("p", { class: "muted" });
  const strip = depthStrip();
  const ring = ringOf(cells);
  let gapKey = "";
  let tagKey = "";
  const way = wayOf();
  return {
    round: h("figure", { class: "round-box" }, svg, h("figcaption", { class: "unseen" }, "Seen from the torch side: the mark at the top, angles clockwise."), rests),
    depth: strip.element,
    set: (live, heard) => {
      ring(live.ring);
      const key = JSON.stringify(live.gaps ?? []);
      if (key !== gapKey) {
        gapKey = key;
        fill(gaps, (live.gaps ?? []).map((g) => s("path", { d: sector(middle, middle, bead, wall, wrap(g.from_deg), wrap(g.from_deg) + wrap(g.to_deg - g.from_deg)), class: "r-gap", fill: "url(#ring-gap)" })));
      }
      const place = live.place;
      const known = isNumber(place?.angle_deg);
      torch.toggleAttribute("hidden", !known);
      torch.setAttribute("transform", `rotate(${known ? place.angle_deg!.toFixed(1) : 0} ${middle} ${middle})`);
      star.toggleAttribute("hidden", !(live.arc_on && heard));
      text(angle, known ? `${digits(place.angle_deg!, 0)}°` : "—");
      text(above, isNumber(place?.layer) ? `layer ${place.layer}${isNumber(place.layers) ? ` of ${place.layers}` : ""}` : "layer —");
      text(below, isNumber(place?.turn) ? `turn ${place.turn}${isNumber(live.pass?.planned_turns) ? ` of ${digits(live.pass.planned_turns, 0)}` : ""}` : "turn —");
      text(sure, !known ? "" : isNumber(place.angle_uncertainty_deg) ? `± ${digits(place.angle_uncertainty_deg, place.angle_uncertainty_deg < 10 ? 1 : 0)}°` : "± not known");
      const by = known && place.angle_by ? `Angle ${place.angle_by}.` : "";
      if (rests.textContent !== by) {
        rests.textContent = by;
      }
      lateArc(late, live, way(place?.angle_deg));
      const told = JSON.stringify([live.last_findings, live.counts.findings]);
      if (told !== tagKey) {
        tagKey = told;
        fill(tags, findingTags(live));
      }
      const words = pictureWords(live);
      if (svg.getAttribute("aria-label") !== words) {
        svg.setAttribute("aria-label", words);
      }
      strip.set(live);
    },
  };
}

// ringOf draws the cells of a layer, and afterwards only those that changed.
function ringOf(group: SVGGElement): (cells: Live["ring"]) => void {
  let paths: SVGPathElement[] = [];
  let shown: string[] = [];
  let grid = "";
  return (cells) => {
    const now = cells.map((c) => `${c.from_deg} ${c.to_deg}`).join();
    if (now !== grid) {
      grid = now;
      paths = cells.map((c) => s("path", { d: sector(middle, middle, bead, wall, c.from_deg, c.to_deg) }));
      shown = [];
      fill(group, paths);
    }
    cells.forEach((c, k) => {
      const look = !isNumber(c.arc) || c.arc === 0 ? "bare" : c.state === "not judged" ? "unjudged" : c.state ?? "unjudged";
      const key = look + (c.finding ? "!" : "");
      if (shown[k] !== key) {
        shown[k] = key;
        paths[k]!.setAttribute("class", `r-cell r-${look}${c.finding ? " r-found" : ""}`);
        if (look === "bare" || look === "within") {
          paths[k]!.removeAttribute("fill");
        } else {
          paths[k]!.setAttribute("fill", `url(#ring-${look})`);
        }
      }
    });
  };
}

// wayOf finds out which way the torch goes: 1 is clockwise.
function wayOf(): (angle: number | null | undefined) => number {
  let last: number | null = null;
  let way = 1;
  return (angle) => {
    if (isNumber(angle)) {
      const step = last === null ? 0 : wrap(angle - last + 180) - 180;
      if (Math.abs(step) > 0.05 && Math.abs(step) < 120) {
        way = Math.sign(step);
      }
      last = angle;
    }
    return way;
  };
}

// lateArc draws how far the torch has come since the longest deviation in progress began.
function lateArc(path: SVGPathElement, live: Live, way: number): void {
  const lasted = Math.max(0, ...live.deviations.map((d) => d.lasted_s));
  const rpm = live.channels.find((c) => c.name === "rotation")?.value;
  const angle = live.place?.angle_deg;
  const seen = lasted > 0 && isNumber(rpm) && isNumber(angle);
  path.toggleAttribute("hidden", !seen);
  if (seen) {
    const swept = Math.min(359, Math.max(1.5, lasted * Math.abs(rpm) * 6)); // deg: 1 rpm is 6 deg/s
    path.setAttribute("d", way > 0 ? arc(middle, middle, wall + 5, angle - swept, angle) : arc(middle, middle, wall + 5, angle, angle + swept));
  }
}

// findingTags hang the newest findings on their places, by the number in which they came.
function findingTags(live: Live): SVGElement[] {
  return (live.last_findings ?? []).flatMap((f, k) => {
    if (!isNumber(f.angle_deg)) {
      return [];
    }
    const [x, y] = at(middle, middle, bead - 17, f.angle_deg);
    return [s("g", {}, signGroup("open", x, y, 34), s("text", { x, y: y + 3, class: "r-tag", "text-anchor": "middle" }, String(live.counts.findings - k)))];
  });
}

function pictureWords(live: Live): string {
  const cells = live.ring.filter((c) => isNumber(c.arc) && c.arc > 0);
  const count = (state: string) => cells.filter((c) => c.state === state).length;
  const [near, outside] = [count("near"), count("outside")];
  return `The bore from the torch side, mark at the top. ${cells.length === 0 ? "Nothing laid in this turn." : near + outside === 0 ? "The turn is within the window as far as it is laid." : `${near} parts near a limit, ${outside} outside.`} ` +
    `${live.counts.findings} findings.`;
}

const top = 34;
const bottom = 376;

// depthStrip is the wall in depth: the entry face at the top, the end below.
function depthStrip(): { element: HTMLElement; set(live: Live): void } {
  const ticks = s("g", {});
  const laid = s("rect", { x: 62, y: top, width: 34, height: 0, class: "r-laid" });
  const hand = s("g", { class: "r-hand" }, s("path", { d: "M58 0h42" }), s("path", { d: "M112-9v18l-13-9z" }));
  const number = s("text", { x: 116, y: 0, class: "r-depth" });
  const svg = s("svg", { viewBox: "10 0 226 410", class: "depth", role: "img", "aria-label": "Depth" },
    s("text", { x: 62, y: 20, class: "r-words" }, "entry face"), ticks,
    s("rect", { x: 62, y: top, width: 34, height: bottom - top, class: "r-side" }), laid, hand, number);
  let key = "";
  return {
    element: h("figure", { class: "depth-box" }, svg),
    set: (live) => {
      const length = live.bore?.length_mm;
      const depth = live.place?.depth_mm;
      const now = `${length} ${unitFor("mm")}`;
      if (now !== key) {
        key = now;
        fill(ticks, isNumber(length) ? depthTicks(length) : s("text", { x: 62, y: 402, class: "r-words" }, "length not known"));
      }
      const y = isNumber(length) && isNumber(depth) ? top + (bottom - top) * Math.min(1, Math.max(0, depth / length)) : null;
      hand.toggleAttribute("hidden", y === null);
      hand.setAttribute("transform", `translate(0 ${(y ?? 0).toFixed(1)})`);
      laid.setAttribute("height", ((y ?? top) - top).toFixed(1));
      number.setAttribute("y", ((y ?? (top + bottom) / 2) + 9).toFixed(1));
      text(number, isNumber(depth) ? figure(depth, "mm") : "—");
      const words = `Depth ${withUnit(depth, "mm")} of ${withUnit(length, "mm")} from the entry face`;
      if (svg.getAttribute("aria-label") !== words) {
        svg.setAttribute("aria-label", words);
      }
    },
  };
}

function depthTicks(length: number): SVGElement[] {
  return [...ruler(length, 7).flatMap((tick) => {
    const y = top + ((bottom - top) * tick.mm) / length;
    return [s("line", { x1: 52, x2: 62, y1: y, y2: y, class: "d-tick" }), s("text", { x: 46, y: y + 6, "text-anchor": "end", class: "r-words" }, tick.text)];
  }), s("text", { x: 62, y: 402, class: "r-words" }, `end, ${withUnit(length, "mm")}`)];
}
