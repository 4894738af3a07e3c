// What is wrong with a field, and the second touch that keeps a value which is only doubted.
import { fill, h } from "./dom";
import { icon } from "./state";

// Complaint is what the program says of one field; keep is there where the value is only doubted, and says it again on purpose.
export interface Complaint {
  field: string;
  error: string;
  keep?: string;
}

// showWrong puts words into the box below a field; null takes them away. What is doubted has a button that names the value.
export function showWrong(box: HTMLElement, words: string | null, keep?: { value: string; act: () => void }): void {
  box.hidden = words === null;
  if (words === null) {
    fill(box);
    return;
  }
  fill(box, icon(keep ? "caution" : "outside"), h("span", {}, words), keep ? h("button", { type: "button", class: "keep", onclick: () => {
    fill(box, icon("note"), h("span", {}, `${keep.value} is kept on purpose; the record will say so.`));
    keep.act();
  } }, `Keep ${keep.value} all the same`) : null);
}
