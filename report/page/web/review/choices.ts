// Big choices, one of which holds.
import { h, uid } from "../base/dom";
import { showWrong } from "../base/doubt";

export interface Choices {
  element: HTMLElement;
  value(): string;
  set(value: string): void;
  wrong(words: string | null): void;
}

// choices are radio buttons in a fieldset, wide enough for a glove.
export function choices(label: string, options: readonly string[], first: string, change: () => void): Choices {
  const name = uid("choice");
  const wrong = h("div", { class: "wrong", id: `${name}-wrong`, hidden: true });
  const inputs = options.map((option) => h("input", { type: "radio", name, value: option, checked: option === first, onchange: change }));
  const element = h("fieldset", { "aria-describedby": `${name}-wrong` }, h("legend", {}, label),
    h("div", { class: "choices" }, inputs.map((input, k) => h("label", { class: "choice" }, input, h("span", {}, options[k])))), wrong);
  return {
    element,
    value: () => inputs.find((input) => input.checked)?.value ?? "",
    set: (value) => inputs.forEach((input) => { input.checked = input.value === value; }),
    wrong: (words) => {
      wrong.hidden = words === null;
      wrong.textContent = words ?? "";
    },
  };
}

// line is a labelled input or text area that keeps its own error.
export interface Line {
  element: HTMLElement;
  input: HTMLInputElement | HTMLTextAreaElement;
  wrong(words: string | null, keep?: { value: string; act: () => void }): void;
}

export function line(label: string, value: string, change: () => void, options: { area?: boolean; help?: string; needed?: boolean; most?: number } = {}): Line {
  const id = uid("line");
  const attributes = { id, class: "text", maxlength: options.most, "aria-describedby": `${id}-help ${id}-wrong`, oninput: change };
  const input = options.area ? h("textarea", attributes) : h("input", { ...attributes, type: "text", autocomplete: "off" });
  input.value = value;
  const wrong = h("div", { class: "wrong", id: `${id}-wrong`, hidden: true });
  const element = h("div", { class: "field" }, h("label", { for: id }, label, options.needed ? h("span", { class: "needed" }, " (needed)") : null),
    h("div", { class: "help", id: `${id}-help` }, options.help), input, wrong);
  return {
    element,
    input,
    wrong: (words, keep) => {
      showWrong(wrong, words, keep);
      input.setAttribute("aria-invalid", String(words !== null));
    },
  };
}
