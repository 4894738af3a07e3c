// The pass in progress: what is judged so far, where it will end, how long it takes, and what the next layer turns at.
import type { Live, Schemas } from "../base/api";
import { h } from "../base/dom";
import { gauge, isNumber } from "../base/gauge";
import { signWords, stateSign } from "../base/state";
import { lasting } from "../base/time";
import { digits, figure, range, unitFor, withUnit } from "../base/units";
import { mark, text } from "./values";

export interface PassBox {
  element: HTMLElement;
  set(live: Live): void;
}

export function livePass(): PassBox {
  const title = h("h2", { id: "live-pass" });
  const state = h("span", { class: "state" });
  const number = h("strong", { class: "pass-number" });
  const doubt = h("span", { class: "pass-doubt" });
  const g = gauge();
  const ends = h("span", { class: "state" });
  const remains = h("span", { class: "pass-remains" });
  const turn = h("p", { class: "turn-at" });
  g.element.classList.add("gauge-wide");
  return {
    element: h("section", { class: "pass-box", "aria-labelledby": "live-pass" },
      h("div", { class: "pass-head" }, title, number, doubt),
      h("div", { class: "pass-foot" }, state, ends, remains),
      g.element, turn),
    set: (live) => {
      const p = live.pass;
      text(title, p ? `${capital(p.judged)}, pass ${p.number}` : "No pass has begun");
      text(number, p ? figure(p.value, p.unit) : "");
      text(doubt, p ? `${isNumber(p.expanded_uncertainty) ? `± ${figure(p.expanded_uncertainty, p.unit)} ` : ""}${unitFor(p.unit)}` : "");
      mark(state, p?.verdict, p ? p.verdict ? `${signWords[stateSign(p.verdict)]} so far` : "not judged yet" : "");
      state.hidden = !p;
      g.set({ value: p?.value, low: p?.low, high: p?.high, state: stateOf(p), unit: p?.unit ?? "kJ/mm", doubt: p?.expanded_uncertainty, ends: p?.forecast?.value });
      const f = p?.forecast;
      ends.hidden = !f || !isNumber(f.value);
      if (p && f) {
        mark(ends, f.state, `ends at ${figure(f.value, p.unit)}, ${f.state === "near" ? "near a limit" : f.state}`);
      }
      text(remains, f && isNumber(f.remaining_s) ? `${lasting(f.remaining_s)} to go` : p ? "time to go not known" : "");
      text(turn, turnWords(live));
    },
  };
}

function stateOf(p: Live["pass"]): string {
  if (!p || !isNumber(p.value)) {
    return "not judged";
  }
  return (isNumber(p.high) && p.value > p.high) || (isNumber(p.low) && p.value < p.low) ? "outside" : "within";
}

function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

// turnWords say what the torch should turn at now and in the next layer.
function turnWords(live: Live): string {
  const rotation = live.channels.find((c) => c.name === "rotation");
  const next: Schemas["LiveNext"] | null = live.next;
  const p = live.pass;
  const parts: string[] = [];
  if (p && isNumber(p.arc_on_ratio)) {
    parts.push(`Arc on ${digits(100 * p.arc_on_ratio, 1)} % of the pass${isNumber(p.planned_arc_on_ratio) ? `, plan ${digits(100 * p.planned_arc_on_ratio, 1)} %` : ""}.`);
  }
  if (isNumber(next?.present_rpm)) {
    parts.push(`This layer turns at ${digits(next.present_rpm, 3)} rpm.`);
  } else if (rotation && (isNumber(rotation.low) || isNumber(rotation.high))) {
    parts.push(`This layer may turn at ${range(rotation.low, rotation.high, "rpm")}.`);
  }
  if (next && isNumber(next.rpm)) {
    parts.push(`Next, layer ${next.layer}: ${digits(next.rpm, 3)} rpm (${range(next.low_rpm, next.high_rpm, "rpm")}) on a bore of ${withUnit(next.diameter_mm, "mm", 2)}.`);
  } else if (p && isNumber(live.bore?.layers) && p.layer === live.bore.layers) {
    parts.push("This is the last layer of the plan.");
  }
  return parts.join(" ");
}
