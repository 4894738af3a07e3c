// Short messages at the foot of the page, in live regions: they are read out without taking the focus.
import { h } from "./dom";
import { icon, type Sign } from "./state";

const polite = h("div", { class: "toasts", role: "status", "aria-live": "polite" });
const assertive = h("div", { class: "toasts alarms", role: "alert", "aria-live": "assertive" });

export function toastRegions(): HTMLElement {
  return h("div", { class: "toast-corner" }, assertive, polite);
}

// say tells that something was done. It goes by itself.
export function say(text: string, sign: Sign = "done"): void {
  const note: HTMLElement = bubble(text, sign);
  polite.replaceChildren(note); // one at a time: the page under it is to be used
  setTimeout(() => note.remove(), 8000);
}

// quiet puts away what was said on another page; alarms stay.
export function quiet(): void {
  polite.replaceChildren();
}

// alarm tells what a person must see; it stays until it is put away.
export function alarm(text: string, sign: Sign = "outside"): void {
  assertive.append(bubble(text, sign));
}

function bubble(text: string, sign: Sign): HTMLElement {
  const note: HTMLElement = h("div", { class: "toast" }, icon(sign), h("span", {}, text),
    h("button", { type: "button", class: "flat", onclick: () => { note.remove(); } }, "Close"));
  return note;
}
