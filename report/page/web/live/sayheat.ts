// The heat input of the pass, with its window: the pass in progress, or the last one while none is.
import type { Live } from "../base/api";
import { isNumber, type Reading } from "../base/gauge";
import { signWords, stateSign, type Sign } from "../base/state";
import { lasting } from "../base/time";
import { digits, figure, range, unitFor, withUnit } from "../base/units";
import { ageOf, beyond, capital, isOut, lastWords, type Age, type Stale } from "./sayterms";

export interface Heat {
  rule: string; // by which a finding about it goes
  title: string;
  figure: string;
  unit: string;
  doubt: string; // uncertainty and unit
  age: Age;
  sign: Sign;
  mark: string;
  endsSign: Sign;
  ends: string; // what the pass comes to if it goes on so
  remains: string;
  reading: Reading;
  turning: string; // what the torch should turn at
}

export function sayHeat(live: Live, stale: Stale): Heat {
  const held = live.pass === null;
  const p = live.pass ?? live.last?.pass ?? null;
  const age = ageOf(isNumber(p?.value), held, stale);
  const now = age === "now";
  const f = now ? p?.forecast : null;
  const known = isNumber(f?.value);
  const out = isNumber(p?.value) && beyond(p.value, p.low, p.high);
  const sign: Sign = !now ? (age === "old" ? "silent" : age === "held" ? "note" : "unjudged") : p?.verdict ? stateSign(p.verdict) : out ? "outside" : "unjudged";
  return {
    rule: p?.judged === "arc energy" ? "arc_energy" : "heat_input",
    title: p ? `${capital(p.judged)}, pass ${p.number}` : passTitle(live),
    figure: p ? figure(p.value, p.unit) : "—",
    unit: unitFor(p?.unit ?? "kJ/mm"),
    doubt: p ? `${isNumber(p.expanded_uncertainty) ? `± ${figure(p.expanded_uncertainty, p.unit)} ` : ""}${unitFor(p.unit)}` : "",
    age, sign, mark: markOf(age, p?.verdict, sign, live),
    endsSign: known ? stateSign(f!.state) : "unjudged",
    ends: known ? `ends at ${figure(f!.value, p!.unit)}, ${f!.state === "near" ? "near a limit" : f!.state}` : "",
    remains: !now ? "" : isNumber(f?.remaining_s) ? `${lasting(f!.remaining_s)} to go` : "time to go not known",
    reading: {
      value: now || age === "held" ? p?.value : null, low: p?.low, high: p?.high, unit: p?.unit ?? "kJ/mm", doubt: now ? p?.expanded_uncertainty : null, ends: f?.value,
      state: isOut(sign) ? "outside" : sign === "near" ? "near" : sign === "within" ? "within" : "not judged",
    },
    turning: turningOf(live),
  };
}

// passTitle stands where neither this pass nor the last one is known. After a pass nobody is told that none has begun.
function passTitle(live: Live): string {
  const begun = live.counts.passes > 0 || live.alarms.some((a) => isNumber(a.pass) && a.pass > 0);
  return !begun ? "No pass has begun" : live.counts.passes === 1 ? "Between passes: 1 is done" : live.counts.passes > 1 ? `Between passes: ${live.counts.passes} are done` : "Between passes";
}

function markOf(age: Age, verdict: string | null | undefined, sign: Sign, live: Live): string {
  switch (age) {
    case "old": return "not fresh";
    case "held": return lastWords(live);
    case "none": return "";
  }
  return verdict ? `${signWords[sign]} so far` : sign === "outside" ? "outside so far" : "not judged yet";
}

// turningOf says what the torch should turn at now and in the next layer.
function turningOf(live: Live): string {
  const rotation = live.channels.find((c) => c.name === "rotation");
  const { next, pass: p } = live;
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
