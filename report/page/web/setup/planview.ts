// The plan of a job, as tables and drawings: beside the form, on its own page, before the start.
import type { Plan, PlanLayer } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { icon } from "../base/state";
import { lasting } from "../base/time";
import { digits, figure, range, unitFor, withUnit } from "../base/units";
import { endView, unrolled } from "./boredraw";
import type { Shape } from "./values";

// planDrawings are both drawings, with words in their place where values are missing.
export function planDrawings(shape: Shape, plan: Plan | null): Child {
  const end = endView(shape, plan);
  return [
    end ?? h("p", { class: "muted" }, "With a worn diameter the bore is drawn here."),
    unrolled(shape) ?? (end ? h("p", { class: "muted" }, "With a length the wall is unrolled here.") : null),
  ];
}

// planTotals are what the whole job takes.
export function planTotals(plan: Plan): HTMLElement {
  const rows: [string, string][] = [
    ["Layers", String(plan.layers.length)],
    ["Arc", lasting(plan.arc_time_s)],
    ["All in all", lasting(plan.elapsed_s)],
    ["Wire", withUnit(plan.wire_m, "m", 1)],
    ["Mass of it", withUnit(plan.wire_kg, "kg")],
    ["Metal laid", withUnit(plan.deposit_kg, "kg")],
    ["Gas", withUnit(plan.gas_l, "L")],
    ["Preheat", plan.preheat_c === null || plan.preheat_c === undefined ? plan.preheat_basis : withUnit(plan.preheat_c, "degC")],
    ["Bore after it", withUnit(plan.final_diameter_mm, "mm", 2)],
    ["Stock to machine, radial", withUnit(plan.machining_allowance_mm, "mm", 2)],
  ];
  return h("dl", { class: "numbers" }, rows.map(([what, value]) => h("div", {}, h("dt", {}, what), h("dd", {}, value))));
}

export function planWarnings(plan: Plan): Child {
  return plan.warnings.length === 0 ? null : h("ul", { class: "warnings", "aria-label": "Warnings of the plan" },
    plan.warnings.map((warning) => h("li", { class: "box" }, icon("caution"),
      h("div", {}, h("p", {}, warning.layer === null || warning.layer === undefined ? null : h("strong", {}, `Layer ${warning.layer}: `), warning.text)))));
}

const columns: [string, (layer: PlanLayer) => string, string?][] = [
  ["Layer", (l) => String(l.layer)],
  ["Bore", (l) => figure(l.diameter_mm, "mm", 2), "mm"],
  ["Thick", (l) => figure(l.thickness_mm, "mm", 2), "mm"],
  ["Turn at", (l) => (num(l.speed_rpm) ? digits(l.speed_rpm!, 3) : "—"), "rpm"],
  ["Window", (l) => (num(l.speed_low_rpm) && num(l.speed_high_rpm) ? `${digits(l.speed_low_rpm!, 3)} to ${digits(l.speed_high_rpm!, 3)}` : "—"), "rpm"],
  ["Travel", (l) => figure(l.travel_speed_mm_min, "mm/min"), "mm/min"],
  ["Turns", (l) => (num(l.turns) ? digits(l.turns!, 2) : "—")],
  ["Arc", (l) => lasting(l.arc_time_s)],
  ["All", (l) => lasting(l.elapsed_s)],
  ["E", (l) => figure(l.arc_energy_kj_per_mm, "kJ/mm"), "kJ/mm"],
  ["Q", (l) => figure(l.heat_input_kj_per_mm, "kJ/mm"), "kJ/mm"],
  ["t8/5", (l) => (num(l.t85_s) ? `${digits(l.t85_s!, 1)} ${l.t85_regime ?? ""}`.trim() : "—"), "s"],
];

const num = (value: number | null | undefined) => value !== null && value !== undefined;

// layerTable is the plan layer by layer.
export function layerTable(plan: Plan): HTMLElement {
  return h("div", {}, h("p", { class: "muted" }, `E is the arc energy per length, Q the heat input k·E; t8/5 the time from ${figure(800, "degC")} to ${withUnit(500, "degC")} and the kind of heat flow.`),
    h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Layers, table" }, h("table", { "aria-label": "Layers" },
      h("thead", {}, h("tr", {}, columns.map(([head, , unit]) => h("th", { scope: "col" }, head, unit ? h("div", {}, unitFor(unit)) : null)))),
      h("tbody", {}, plan.layers.map((layer) => h("tr", {}, columns.map(([, cell], k) => (k === 0 ? h("th", { scope: "row" }, cell(layer)) : h("td", {}, cell(layer))))))))));
}

// rpmChooser says what a layer should turn at: the question at the machine between two layers.
export function rpmChooser(plan: Plan, first: number): HTMLElement {
  const answer = h("div", { class: "rpm", role: "status" });
  const buttons = plan.layers.map((layer) => h("button", { type: "button", "aria-pressed": "false", onclick: () => choose(layer) }, `Layer ${layer.layer}`));
  const choose = (layer: PlanLayer) => {
    buttons.forEach((button, k) => {
      const on = plan.layers[k] === layer;
      button.setAttribute("aria-pressed", String(on));
      button.classList.toggle("go", on);
    });
    fill(answer, h("p", {}, h("span", { class: "huge" }, num(layer.speed_rpm) ? digits(layer.speed_rpm!, 3) : "—"), " rpm"),
      h("p", { class: "muted" }, `bore ${withUnit(layer.diameter_mm, "mm", 2)}; the procedure's travel window allows ${range(layer.speed_low_rpm, layer.speed_high_rpm, "rpm")}`));
  };
  const start = plan.layers.find((layer) => layer.layer === first) ?? plan.layers[0];
  if (start) {
    choose(start);
  }
  return h("section", { class: "plate", "aria-labelledby": "rpm-head" }, h("h2", { id: "rpm-head" }, "What the torch should turn at"), answer,
    h("div", { class: "buttons", role: "group", "aria-label": "Layer" }, buttons));
}
