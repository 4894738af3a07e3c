// The table of passes.
import { aborted, api, newest, troubleOf, type PassLine, type PassPage } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { gauge, isNumber } from "../base/gauge";
import { troubleBox } from "../base/notice";
import { signWords, stateMark, stateSign } from "../base/state";
import { lasting } from "../base/time";
import { digits, figure, unitFor } from "../base/units";
import { energyRules, limitsOf, type Review } from "./data";
import { passLink } from "./passlink";

const passesPerPage = 100; // as many as the program sends

// passTable shows the passes of one page after the other; turned is told which it shows now.
export function passTable(record: string, review: Review, first: PassPage, turned: (part: PassPage) => void, signal: AbortSignal): HTMLElement {
  const energy = energyRules(review);
  const limits = limitsOf(review, energy ? /^Arc energy/ : /^Heat input/);
  const heads: Child[] = ["Pass", "Layer", "Verdict", "Findings", [`${energy ? "Arc energy" : "Heat input"} ± U`, h("div", {}, unitFor("kJ/mm"))],
    "Arc", ["On / plan", h("div", {}, "%")], ["Voltage", h("div", {}, "V")], ["Current", h("div", {}, "A")], ["Travel", h("div", {}, unitFor("mm/min"))]];
  const body = h("tbody");
  const pager = h("div", { class: "buttons" });
  const show = ({ passes, from, all }: PassPage) => {
    fill(body, passes.map((pass) => row(record, pass, limits)));
    const turn = (words: string, to: number) => h("button", { type: "button", onclick: () => void go(to) }, words);
    fill(pager, passes.length === all ? null : [h("span", {}, `Passes ${from + 1} to ${from + passes.length} of ${all}`),
      from > 0 ? turn("Those before", Math.max(0, from - passesPerPage)) : null, from + passes.length < all ? turn("Further ones", from + passes.length) : null]);
  };
  const wanted = newest(signal);
  const go = async (to: number) => {
    try {
      const part = await api.passes(record, to, () => undefined, wanted());
      turned(part);
      show(part);
    } catch (thrown) {
      if (!aborted(thrown)) {
        fill(pager, troubleBox(troubleOf(thrown)));
      }
    }
  };
  show(first);
  return h("div", {},
    h("div", { class: "scroll pass-table", tabindex: "0", role: "region", "aria-label": "Passes, table" },
      h("table", {}, h("caption", { class: "unseen" }, "Passes"), h("thead", {}, h("tr", {}, heads.map((head, k) => h("th", { scope: "col", class: k === 2 ? "words" : "" }, head)))), body),
      review.angles.map((line) => h("p", { class: "muted" }, angleWords(line)))),
    pager);
}

// angleWords say what angles rest on, and how well the worst of them is known.
function angleWords({ by, uncertainty_deg: worst, passes }: Review["angles"][number]): string {
  const within = worst === null ? "" : `, ± ${digits(worst, worst < 10 ? 1 : 0)}°`;
  return `Angle ${by}${within}${passes === null ? "" : ` (pass ${passes.join(", ")})`}.`;
}

function row(record: string, pass: PassLine, limits: { low: number | null; high: number | null }): HTMLElement {
  const sign = stateSign(pass.verdict);
  const value = pass.judged_kj_per_mm;
  const doubt = pass.expanded_uncertainty_kj_per_mm;
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
