// Two browsers wrote one file. What the other one changed is laid beside what was typed here, field by field.
import { askDialog } from "../base/dialog";
import { h, uid } from "../base/dom";
import type { Values } from "./values";

// settle asks field by field; null is: not now, and everything stays as it was typed.
export async function settle(file: string, base: Values, theirs: Values, mine: Values, label: (key: string) => string): Promise<Values | null> {
  const keys = [...new Set([...Object.keys(base), ...Object.keys(theirs), ...Object.keys(mine)])];
  const at = (values: Values, key: string) => values[key] ?? "";
  const changed = keys.filter((key) => at(theirs, key) !== at(base, key) && at(theirs, key) !== at(mine, key));
  const chosen = new Map<string, "theirs" | "mine">();
  for (const key of changed) {
    if (at(mine, key) === at(base, key)) {
      chosen.set(key, "theirs"); // only they touched it
    }
  }
  const answer = await askDialog("Somebody else saved this file meanwhile", (refresh) => [
    h("p", {}, changed.length === 0
      ? `${file} was saved by another browser, with the same values as here. Nothing has to be chosen.`
      : `What the other browser changed in ${file}. Choose for every field; nothing that you typed is lost, and nothing is written until you save.`),
    changed.length === 0 ? null : h("div", { class: "settle" }, changed.map((key) =>
      choiceRow(label(key), at(base, key), at(theirs, key), at(mine, key), chosen.get(key), (side) => {
        chosen.set(key, side);
        refresh();
      }))),
  ], [
    { text: "Save with these", value: true, kind: "go", ready: () => chosen.size === changed.length },
    { text: "Not now, keep typing", value: false },
  ]);
  if (!answer) {
    return null;
  }
  const merged: Values = {};
  for (const key of keys) {
    merged[key] = at(at(mine, key) === at(base, key) || chosen.get(key) === "theirs" ? theirs : mine, key);
  }
  for (const key of changed) {
    merged[key] = at(chosen.get(key) === "theirs" ? theirs : mine, key);
  }
  return merged;
}

function choiceRow(label: string, before: string, theirs: string, mine: string, first: string | undefined, choose: (side: "theirs" | "mine") => void): HTMLElement {
  const name = uid("side");
  const option = (side: "theirs" | "mine", head: string, text: string) => h("label", { class: "choice" },
    h("input", { type: "radio", name, value: side, checked: first === side, onchange: () => choose(side) }),
    h("span", {}, h("small", {}, head), h("br"), text === "" ? "(empty)" : text));
  return h("fieldset", {}, h("legend", {}, label), h("p", { class: "muted" }, `it was ${before === "" ? "empty" : before}`),
    h("div", { class: "choices" }, option("theirs", "theirs", theirs), option("mine", "yours", mine)));
}
