// The table of passes.
import type { PassRow } from "../base/api";
import { h, type Child } from "../base/dom";
import { gauge, isNumber } from "../base/gauge";
import { signWords, stateMark, stateSign } from "../base/state";
import { lasting } from "../base/time";
import { digits, figure, unitFor } from "../base/units";
import { doubtOf, energyRules, judgedOf, limitsOf, type Review } from "./data";
import { passLink } from "./passlink";

export function passTable(record: string, review: Review): HTMLElement {
  const energy = energyRules(review);
  const limits = limitsOf(review, energy ? /^Arc energy/ : /^Heat input/);
  const heads: Child[] = ["Pass", "Layer", "Verdict", "Findings", [`${energy ? "Arc energy" : "Heat input"} ± U`, h("div", {}, unitFor("kJ/mm"))],
    "Arc", ["On / plan", h("div", {}, "%")], ["Voltage", h("div", {}, "V")], ["Current", h("div", {}, "A")], ["Travel", h("div", {}, unitFor("mm/min"))]];
  return h("div", { class: "scroll pass-table", tabindex: "0", role: "region", "aria-label": "Passes, table" },
    h("table", {}, h("caption", { class: "unseen" }, "Passes"),
      h("thead", {}, h("tr", {}, heads.map((head, k) => h("th", { scope: "col", class: k === 2 ? "words" : "" }, head)))),
      h("tbody", {}, review.passes.passes.map((pass) => row(record, pass, energy, limits)))),
    angleLines(review.passes.passes).map((line) => h("p", { class: "muted" }, line)));
}

// angleLines say what the angles rest on, a line for each basis, and how well the worst of them is known.
function angleLines(passes: PassRow[]): string[] {
  const bases = [...new Set(passes.map((pass) => pass.angle_by).filter((by) => by !== null))];
  return bases.map((by) => {
    const of = passes.filter((pass) => pass.angle_by === by);
    const worst = of.reduce<number | null>((most, pass) => (most === null || !isNumber(pass.angle_uncertainty_deg) ? null : Math.max(most, pass.angle_uncertainty_deg)), 0);
    const within = worst === null ? "" : `, ± ${digits(worst, worst < 10 ? 1 : 0)}°`;
    const which = of.length === passes.length ? "" : ` (pass ${of.map((pass) => pass.number).join(", ")})`;
    return `Angle ${by}${within}${which}.`;
  });
}

function row(record: string, pass: PassRow, energy: boolean, limits: { low: number | null; high: number | null }): HTMLElement {
  const sign = stateSign(pass.verdict);
  const value = judgedOf(pass, energy);
  const doubt = doubtOf(pass);
  const bar = gauge(false);
  bar.set({ value, low: limits.low, high: limits.high, state: sign === "nearout" ? "outside" : sign, unit: "kJ/mm", doubt });
  const href = passLink(record, pass.number);
  const open = (event: MouseEvent) => {
    if (!(event.target instanceof HTMLAnchorElement)) {
      location.hash = href;
    }
  };
  const percent = (share: number | null | undefined) => (isNumber(share) ? digits(100 * share, 1) : "—");
  return h("tr", { onclick: open, "data-pass": pass.number },
    h("th", { scope: "row" }, h("a", { class: "pass-link", href, "aria-label": `Pass ${pass.number}` }, String(pass.number))),
    h("td", {}, isNumber(pass.layer) ? String(pass.layer) : "—"),
    h("td", { class: "words" }, stateMark(sign, signWords[sign])),
    h("td", {}, pass.findings === 0 ? "0" : stateMark("open", String(pass.findings))),
    h("td", {}, h("div", { class: "heat" }, h("span", {}, `${figure(value, "kJ/mm")} ± ${figure(doubt, "kJ/mm")}`), bar.element)),
    h("td", {}, lasting(pass.arc_time_s)),
    h("td", {}, `${percent(pass.arc_on_ratio)} / ${percent(pass.planned_arc_on_ratio)}`),
    h("td", {}, figure(pass.voltage_mean_v, "V")),
    h("td", {}, figure(pass.current_mean_a, "A")),
    h("td", {}, figure(pass.travel_speed_mm_min, "mm/min"), isNumber(pass.travel_speed_mm_min) && pass.travel_basis && pass.travel_basis !== "measured" ? h("div", { class: "muted" }, pass.travel_basis) : null));
}
