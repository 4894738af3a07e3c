// The values that a welder looks up for, each with its window; every part of each has a place of its own that no word changes.
import { fill, h } from "../base/dom";
import { gauge, type Gauge } from "../base/gauge";
import { icon, type Sign } from "../base/state";
import { fitFigure } from "./fit";
import type { Said } from "./say";
import type { Value } from "./sayterms";

interface Box {
  element: HTMLElement;
  set(value: Value): void;
}

export interface Values {
  main: HTMLElement; // voltage, current, wire speed, travel
  more: HTMLElement; // rotation, gas, temperature
  set(said: Said): void;
}

export function liveValues(said: Said): Values {
  const boxes = said.values.map(box);
  const rows = said.more.map(row);
  return {
    main: h("section", { class: "readings", "aria-label": "Voltage, current, wire speed and travel" }, boxes.map((b) => b.element)),
    more: h("ul", { class: "more-values", "aria-label": "Other values" }, rows.map((b) => b.element)),
    set: (now) => {
      boxes.forEach((b, k) => b.set(now.values[k]!));
      rows.forEach((b, k) => b.set(now.more[k]!));
    },
  };
}

function box(first: Value): Box {
  const number = h("output", { class: "reading-number", "aria-live": "off" });
  const unit = h("span", { class: "reading-unit" });
  const beside = h("span", { class: "reading-raw" });
  const state = h("span", { class: "state" });
  const g: Gauge = gauge();
  const element = h("div", { class: "reading", "data-channel": first.name, role: "group", "aria-label": first.label },
    h("span", { class: "reading-name" }, first.label), state, number, h("span", { class: "reading-side" }, unit, beside), g.element);
  return {
    element,
    set: (v) => {
      fitFigure(number, v.figure);
      text(unit, v.unit);
      text(beside, v.raw || v.basis);
      aged(element, v);
      mark(state, v.sign, v.mark);
      g.set(v.reading);
    },
  };
}

function row(first: Value): Box {
  const number = h("strong", {});
  const state = h("span", { class: "state" });
  const unit = h("span", {});
  const element = h("li", { "data-channel": first.name }, h("span", {}, first.label), number, unit, state);
  return {
    element,
    set: (v) => {
      text(number, v.figure);
      text(unit, v.unit);
      aged(element, v);
      mark(state, v.sign, v.mark);
    },
  };
}

// aged shows by the look of a value whether it is of now.
function aged(element: HTMLElement, v: Value): void {
  element.dataset["age"] = v.age;
  element.dataset["state"] = v.reading.state;
}

// text changes a text only where it differs: ten times a second, most do not.
export function text(element: Element, words: string): void {
  if (element.textContent !== words) {
    element.textContent = words;
  }
}

// mark shows shape and word of a state.
export function mark(element: HTMLElement, sign: Sign, words: string): void {
  const key = sign + words;
  if (element.dataset["words"] !== key) {
    element.dataset["words"] = key;
    element.className = `state sign-${sign}`;
    fill(element, words === "" ? null : [icon(sign), h("span", {}, words)]);
  }
}
