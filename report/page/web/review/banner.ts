// The worst truth about a job in one line, and every other one behind it.
import { api, type Truths } from "../base/api";
import { h, type Child } from "../base/dom";
import { icon, stateMark, stateSign } from "../base/state";

// bannerBox shows the worst truth in its words, the others in short; all of their words unfold.
export function bannerBox(truths: Truths, about: Child, acts: Child): HTMLElement {
  const [worst, ...others] = truths;
  const sign = stateSign(worst!.sign);
  return h("section", { class: `verdict sign-${sign}`, "aria-label": "Verdict" }, h("div", { class: "eye" }, icon(sign)),
    h("div", { class: "verdict-words" }, h("p", { class: "verdict-head" }, worst!.words),
      others.length === 0 ? null : h("details", { class: "truths" },
        h("summary", {}, others.filter((one) => one.sign !== "within").map(mark), others.filter((one) => one.sign === "within").map(mark)),
        h("ul", {}, others.map((one) => h("li", {}, one.words)))),
      about),
    h("div", { class: "acts" }, acts));
}

function mark(one: Truths[number]): Child {
  return [stateMark(stateSign(one.sign), one.short), " "];
}

// verified has the record read through where nobody has yet, and tells whether there is anything new to say.
export async function verified(record: string, truths: Truths, signal: AbortSignal): Promise<boolean> {
  const of = truths.find((one) => one.kind === "record");
  if (of?.sign !== "unjudged") {
    return false;
  }
  await api.integrity(record, signal);
  return true;
}
