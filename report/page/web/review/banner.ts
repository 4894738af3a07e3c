// The worst truth about a job in one line, and every other one behind it.
import { api, type Truths } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { icon, stateMark, stateSign } from "../base/state";
import { asking } from "./eventlink";

// bannerBox shows the worst truth in its words, the others in short; all of their words unfold.
export function bannerBox(truths: Truths, about: Child, acts: Child): HTMLElement {
  const banner = h("section", { "aria-label": "Verdict" }, h("div", { class: "eye" }),
    h("div", { class: "verdict-words" }, h("div", { class: "told" }), about), h("div", { class: "acts" }, acts));
  tell(banner, truths);
  return banner;
}

// tell has a banner say other truths. All around them stays as it is: a finger may be on a button, or the focus.
function tell(banner: HTMLElement, [worst, ...others]: Truths): void {
  const sign = stateSign(worst!.sign);
  const told = banner.querySelector(".told")!;
  const open = told.querySelector("details")?.open === true;
  const focused = told.contains(document.activeElement);
  banner.className = `verdict sign-${sign}`;
  fill(banner.querySelector(".eye")!, icon(sign));
  fill(told, h("p", { class: "verdict-head" }, worst!.words),
    others.length === 0 ? null : h("details", { class: "truths", open },
      h("summary", {}, others.filter((one) => one.sign !== "within").map(mark), others.filter((one) => one.sign === "within").map(mark)),
      h("ul", {}, others.map((one) => h("li", {}, one.words)))));
  if (focused) {
    told.querySelector("summary")?.focus();
  }
}

function mark(one: Truths[number]): Child {
  return [stateMark(stateSign(one.sign), one.short), " "];
}

// verified has the record read through where nobody has yet, and then the banner in a page say what that came to.
export async function verified(record: string, root: HTMLElement, truths: Truths, signal: AbortSignal): Promise<void> {
  const of = truths.find((one) => one.kind === "record");
  if (of?.sign !== "unjudged") {
    return;
  }
  await api.integrity(record, signal);
  const now = await api.events(record, asking({}), () => undefined, signal);
  const banner = root.querySelector<HTMLElement>(".verdict");
  if (banner) {
    tell(banner, now.list.banner);
  }
}
