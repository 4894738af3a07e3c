// The heat input of the pass with its window: what is judged so far, where it will end, and how long that takes.
import { h } from "../base/dom";
import { gauge } from "../base/gauge";
import { fitFigure } from "./fit";
import type { Said } from "./say";
import { mark, text } from "./values";

export interface HeatBox {
  element: HTMLElement;
  set(said: Said): void;
}

export function liveHeat(): HeatBox {
  const title = h("h2", { id: "live-heat" });
  const number = h("output", { class: "heat-number", "aria-live": "off" });
  const doubt = h("span", { class: "heat-doubt" });
  const state = h("span", { class: "state" });
  const ends = h("span", { class: "state" });
  const remains = h("span", { class: "heat-remains" });
  const g = gauge();
  g.element.classList.add("gauge-wide");
  const element = h("section", { class: "heat-box", "aria-labelledby": "live-heat" }, title, remains, number,
    h("div", { class: "heat-side" }, doubt, state, ends), g.element);
  return {
    element,
    set: ({ heat }) => {
      text(title, heat.title);
      fitFigure(number, heat.figure);
      text(doubt, heat.doubt);
      mark(state, heat.sign, heat.mark);
      mark(ends, heat.endsSign, heat.ends);
      text(remains, heat.remains);
      element.dataset["age"] = heat.age;
      element.dataset["state"] = heat.reading.state;
      g.set(heat.reading);
    },
  };
}
