// The answers that are no charts: what is proved, what is open, what runs out, what was taken in.
import type { Schemas } from "../base/api";
import { h, type Child } from "../base/dom";
import { spaced } from "../base/keys";
import { stateMark, stateSign, strip, type Sign } from "../base/state";
import { when } from "../base/time";
import { counted, digits, placeWords, range } from "../base/units";
import { lead, named, type Here } from "./place";

const strips = (all: HTMLElement[]) => h("ul", { class: "strips" }, all);
const numbers = (all: [string, Child][]) => h("dl", { class: "numbers" }, all.map(([name, value]) => h("div", {}, h("dt", {}, name), h("dd", {}, value))));
const percent = (share: number | null) => (share === null ? "not known" : `${digits(100 * share, 1)} %`);
const none = (words: string) => h("p", { class: "muted" }, words);

export function provedAnswer(answer: Schemas["FleetProved"], here: Here): Child {
  return [
    numbers([["Passes", answer.passes], ["Proved within", answer.proved], ["Not proved", answer.not_proved], ["Not known", answer.not_known], ["Share of those known", percent(answer.share_proved_of_known)]]),
    answer.procedures.length === 0 ? none("Nothing was judged yet.") : answer.procedures.map((one) => h("section", { class: "plate" },
      h("h3", {}, one.procedure ?? "no procedure named"),
      h("p", { class: "facts" }, h("span", {}, `${one.proved} of ${counted(one.passes, "pass", "passes")} proved, ${percent(one.share_proved_of_known)} of those known`),
        h("span", {}, one.window_low_kj_per_mm === null && one.window_high_kj_per_mm === null ? "no window" : `window ${range(one.window_low_kj_per_mm, one.window_high_kj_per_mm, "kJ/mm")}`)),
      one.barred_by.length === 0 ? null : h("ul", { class: "points" }, one.barred_by.map((bar) => h("li", {}, stateMark("missing", spaced(bar.kind)),
        h("span", { class: "muted" }, `bars ${counted(bar.passes, "pass", "passes")}, the newest in ${named(bar, here)}`), lead("Review", bar, here)))))),
  ];
}

export function openAnswer(answer: Schemas["FleetOpen"], here: Here): Child {
  return [
    numbers([["Open events", answer.open_in_all], ...answer.causes.map((one): [string, Child] => [one.cause, one.open])]),
    answer.events.length === 0 ? none("Nothing is open.") : strips(answer.events.map((event) => strip(stateSign(event.state), event.cause,
      [stateMark(stateSign(event.state), event.state), h("span", {}, named(event, here), event.pass === null ? "" : `, pass ${event.pass}`), h("span", {}, "since ", when(event.since)), h("span", {}, placeWords(event.angle_deg, event.depth_mm))],
      lead("Event", event, here, event.event), event.sentence === null ? null : h("p", { class: "muted" }, event.sentence)))),
  ];
}

// dueSign and its words say how a calibration stands on the day that was asked for.
function dueState(days: number): [Sign, string] {
  if (days < 0) {
    return ["outside", days === -1 ? "ran out yesterday" : `ran out ${-days} days ago`];
  }
  return ["due", days === 0 ? "holds until today" : days === 1 ? "holds until tomorrow" : `holds ${days} more days`];
}

export function dueAnswer(answer: Schemas["FleetDue"], here: Here): Child {
  return [
    numbers([["Calibrations", answer.calibrations_in_all], ["Have run out", answer.overdue], [`Run out within ${answer.within_days} days`, answer.run_out_within], ["No day known", answer.no_day_known]]),
    answer.calibrations.length === 0 ? none("None of which the day is known runs out within that time.") : strips(answer.calibrations.map((one) => {
      const [sign, words] = dueState(one.days);
      return strip(sign, [spaced(one.channel), ", ", one.box === null ? "nobody said of which box" : `box ${one.box}`],
        [stateMark(sign, words), h("span", {}, `due ${one.due}`), one.done === null ? null : h("span", {}, `made ${one.done.slice(0, 10)}`), one.certificate === null ? null : h("span", {}, one.certificate), h("span", {}, `newest in ${named(one, here)}`)],
        lead("Review", one, here));
    })),
  ];
}

const outcomes: Record<Schemas["FleetChange"]["outcome"], string> = {
  new: "new", "went on": "went on, in the place of its older state", older: "older than what stands here", apart: "stands aside: another state of it is as long",
};

const standing = (counts: Schemas["FleetCounts"]) => `${counted(counts.passes, "pass", "passes")}, ${counts.proved_passes ?? "not known how many"} proved, ${counted(counts.open_events, "open event", "open events")}`;

export function changesAnswer(answer: Schemas["FleetChanges"], here: Here, since: string | null): Child {
  return [
    h("p", {}, `${answer.states_in_all} taken in since `, when(answer.since), since === null ? "." : [". This folder was looked through for the first time ", when(since), ": what is older came in then."]),
    answer.states.length === 0 ? none("Nothing was taken in since then.") : strips(answer.states.map((one) => strip(one.outcome === "new" ? "note" : "done", named(one, here),
      [h("span", {}, outcomes[one.outcome]), when(one.taken_in), h("span", {}, standing(one.now))],
      lead("Review", one, here), one.before === null ? null : h("p", { class: "muted" }, `before: ${standing(one.before)}`)))),
  ];
}
