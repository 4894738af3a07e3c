// The four values that a welder looks up for, each with its window.
import type { Schemas } from "../base/api";
import { fill, h } from "../base/dom";
import { besideLimits, gauge, type Gauge, type Reading } from "../base/gauge";
import { icon, stateSign } from "../base/state";
import { digits, figure, shown, unitFor, withUnit } from "../base/units";

type Channel = Schemas["LiveChannel"];

const four: [string, string, string][] = [["voltage", "Voltage", "V"], ["current", "Current", "A"], ["wire_speed", "Wire speed", "m/min"], ["travel_speed", "Travel", "mm/min"]];
const others: Record<string, string> = { rotation: "Rotation", gas_flow: "Gas flow", temperature: "Temperature" };

interface Box {
  name: string;
  unit: string;
  element: HTMLElement;
  number: HTMLElement;
  unitBox: HTMLElement;
  raw: HTMLElement;
  basis: HTMLElement;
  state: HTMLElement;
  gauge: Gauge;
}

export interface Values {
  main: HTMLElement;
  more: HTMLElement; // rotation, gas, temperature
  set(channels: Channel[], raw: Schemas["Live"]["raw"]): void;
}

export function liveValues(): Values {
  const boxes = four.map(([name, words, unit]) => box(name, words, unit));
  const more = h("ul", { class: "more-values", "aria-label": "Other values" });
  return {
    main: h("section", { class: "readings", "aria-label": "Voltage, current, wire speed and travel" }, boxes.map((b) => b.element)),
    more,
    set: (channels, raw) => {
      for (const b of boxes) {
        show(b, channels.find((c) => c.name === b.name), rawWords(b.name, raw));
      }
      const rows = channels.filter((c) => c.name in others);
      while (more.children.length < rows.length) {
        more.append(h("li", {}));
      }
      rows.forEach((c, k) => otherRow(more.children[k]!, c));
    },
  };
}

function box(name: string, words: string, unit: string): Box {
  const number = h("output", { class: "reading-number", "aria-live": "off" }, "—");
  const unitBox = h("span", { class: "reading-unit" }, unitFor(unit));
  const raw = h("span", { class: "reading-raw" });
  const state = h("span", { class: "state" });
  const basis = h("span", { class: "reading-basis" });
  const g = gauge();
  const element = h("div", { class: "reading", "data-channel": name, role: "group", "aria-label": words },
    h("div", { class: "reading-head" }, h("span", { class: "reading-name" }, words), basis, state),
    h("div", { class: "reading-now" }, number, unitBox, raw), g.element);
  return { name, unit, element, number, unitBox, raw, basis, state, gauge: g };
}

// rawWords is what the box reads of a channel, before anything is made of it.
function rawWords(name: string, raw: Schemas["Live"]["raw"]): string {
  switch (raw && name) {
    case "voltage": return `box\n${withUnit(raw!.voltage_v, "V")}`;
    case "current": return `box\n${withUnit(raw!.current_a, "A")}`;
    default: return "";
  }
}

function show(b: Box, c: Channel | undefined, raw: string): void {
  const reading: Reading = { value: c?.value, low: c?.low, high: c?.high, state: c?.state ?? "not judged", unit: c?.unit ?? b.unit };
  const there = shown(reading.value, reading.unit);
  text(b.number, there.value === null ? "—" : digits(there.value, Math.abs(there.value) >= 100 ? 0 : there.decimals)); // three figures are read at a glance
  text(b.unitBox, unitFor(reading.unit));
  text(b.basis, c?.basis && c.basis !== "measured" ? c.basis : "");
  text(b.raw, raw);
  b.element.dataset["state"] = reading.state;
  mark(b.state, reading.state, c ? besideLimits(reading) : "no sensor");
  b.gauge.set(reading);
}

function otherRow(row: Element, c: Channel): void {
  const words = `${others[c.name]} ${figure(c.value, c.unit)} ${unitFor(c.unit)}`;
  const state = besideLimits({ ...c });
  if (row instanceof HTMLElement && row.dataset["words"] !== words + state) {
    row.dataset["words"] = words + state;
    fill(row, h("span", {}, others[c.name], " "), h("strong", {}, figure(c.value, c.unit)), ` ${unitFor(c.unit)} `,
      h("span", { class: `state sign-${stateSign(c.state)}` }, icon(stateSign(c.state)), h("span", {}, state)));
  }
}

// text changes a text only where it differs: ten times a second, most do not.
export function text(element: Element, words: string): void {
  if (element.textContent !== words) {
    element.textContent = words;
  }
}

// mark shows shape and word of a state; words are those of the page.
export function mark(element: HTMLElement, state: string | null | undefined, words: string): void {
  const sign = stateSign(state);
  if (element.dataset["words"] !== sign + words) {
    element.dataset["words"] = sign + words;
    element.className = `state sign-${sign}`;
    fill(element, icon(sign), h("span", {}, words));
  }
}
