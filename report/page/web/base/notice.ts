// Boxes that say what is wrong, what is empty, what could hurt.
import type { Trouble } from "./api";
import { h, type Child } from "./dom";
import { icon } from "./state";

// troubleBox says what went wrong and what to do next.
export function troubleBox(trouble: Trouble, ...more: Child[]): HTMLElement {
  return h("div", { class: "box box-trouble", role: "alert" }, icon(trouble.offline ? "unplugged" : "outside"),
    h("div", {}, h("p", {}, h("strong", {}, trouble.error)), trouble.hint ? h("p", {}, trouble.hint) : null, more));
}

// waitBox stands where something is still being fetched.
export function waitBox(words: string): HTMLElement {
  return h("p", { class: "wait", role: "status" }, h("span", { class: "turning", "aria-hidden": "true" }), words);
}

// again is the button below a trouble; ask is what is tried once more.
export function again(ask: () => unknown): HTMLElement {
  return h("p", { class: "buttons" }, h("button", { type: "button", class: "go", onclick: () => ask() }, "Try again"));
}

export function noteBox(...content: Child[]): HTMLElement {
  return h("div", { class: "box" }, icon("note"), h("div", {}, content));
}

const dangers: [string, string][] = [
  ["Arc", "Burns and blinds. Helmet, gloves and covered skin; screens for everyone near."],
  ["Fumes and gas", "A bore is a confined place for shielding gas. Extract the fume, keep air moving, do not work alone."],
  ["Live leads", "Leads and voltage taps are live at open-circuit voltage whenever the power source is on. Connect sensors with the machine off."],
  ["Rotating bar", "It catches sleeves, gloves and hair. Keep hands out until it stands still."],
  ["Fire", "Hot-work permit, and a fire watch that stays after the last arc for as long as the permit says."],
  ["Rules", "Local codes and the qualified procedure rule. This is a measuring and record-keeping program; it is no safety device."],
];

// cautions is the block that stands before work begins; closed, it still names every danger.
export function cautions(open = false): HTMLElement {
  return h("details", { class: "cautions", open },
    h("summary", {}, icon("caution"), h("span", {}, h("strong", {}, "Before the arc: "), dangersInShort)),
    h("dl", {}, dangers.map(([what, words]) => h("div", {}, h("dt", {}, what), h("dd", {}, words)))));
}

// dangersInShort are the same words on one line, where there is no room for more.
export const dangersInShort = "burns, blinding light, fumes in a confined bore, live leads, the rotating bar, fire. It is no safety device.";
