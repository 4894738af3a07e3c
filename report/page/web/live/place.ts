// Where the torch is: a dial as it is seen from the torch side, and angle, depth, layer and turn in figures.
import { h, s } from "../base/dom";
import { graduation, sector } from "../base/draw";
import { fitFigure } from "./fit";
import type { Said } from "./say";
import { text } from "./values";

export interface PlaceBox {
  element: HTMLElement;
  set(said: Said): void;
}

const middle = 50;
const rim = 40;

export function livePlace(): PlaceBox {
  const doubt = s("path", { class: "p-doubt" });
  const hand = s("path", { class: "p-hand", d: `M${middle} ${middle}V${middle - rim + 8}` });
  const burn = s("circle", { class: "p-burn", cx: middle, cy: middle - rim + 8, r: 7 });
  const turning = s("g", {}, doubt, hand, burn);
  const dial = s("svg", { viewBox: "0 0 100 100", class: "dial", "aria-hidden": "true" },
    s("circle", { cx: middle, cy: middle, r: rim, class: "p-wall" }), ticks(), turning);
  const parts = [0, 1, 2, 3].map((k) => {
    const figure = h("strong", { class: k === 0 ? "r-angle" : "" });
    const label = h("span", {});
    const more = h("span", {});
    return { element: h("div", { class: "place-part" }, figure, h("span", { class: "place-words" }, label, more)), figure, label, more };
  });
  const whole = h("span", { class: "unseen" });
  const element = h("section", { class: "place-box", "aria-label": "Place of the torch" }, dial, h("div", { class: "place-parts", "aria-hidden": "true" }, parts.map((p) => p.element)), whole);
  return {
    element,
    set: ({ place }) => {
      [place.angle, place.depth, place.layer, place.turn].forEach((told, k) => {
        fitFigure(parts[k]!.figure, told.figure);
        text(parts[k]!.label, told.label);
        text(parts[k]!.more, told.more);
      });
      text(whole, `${place.whole} ${place.by}`);
      element.dataset["age"] = place.age;
      turning.toggleAttribute("hidden", place.deg === null);
      turning.setAttribute("transform", `rotate(${(place.deg ?? 0).toFixed(1)} ${middle} ${middle})`);
      burn.toggleAttribute("hidden", !place.burning);
      const half = Math.min(179.9, place.doubtDeg ?? 0);
      doubt.setAttribute("d", half > 0.5 ? sector(middle, middle, 6, rim, -half, half) : "");
    },
  };
}

// ticks are every 30 degrees, with the mark at the top; at this size figures cannot be read.
function ticks(): SVGElement {
  const g = graduation(middle, middle, rim + 1);
  g.querySelectorAll("text").forEach((one) => one.remove());
  return g;
}
