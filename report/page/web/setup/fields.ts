// One field of a form: what a person types, as the text that stands in the file, "92.0 mm" or "16.5..19.0 V".
import type { Field } from "../base/api";
import { fill, h, uid, type Child } from "../base/dom";
import { prefs } from "../base/prefs";
import { showWrong } from "../base/doubt";
import { numberOf, splitQuantity } from "../base/number";
import { otherSystem, unitText } from "../base/units";

export interface Editor {
  key: string;
  label: string;
  element: HTMLElement;
  set(text: string): void; // shows another text
  wrong(words: string | null, keep?: { value: string; act: () => void }): void; // says what is wrong beside the field
  focus(): void;
  units(): void; // the units of the person changed: an empty field proposes the other one
}

type Change = (text: string) => void;

interface Inputs {
  main: HTMLElement; // takes the focus
  parts: Child;
  set(text: string): void;
  units?(): void;
  group?: boolean; // more than one input: the label stands for all
}

// editor makes the inputs of a field. change is told the text of the file whenever a person changes it.
export function editor(field: Field, key: string, text: string, change: Change): Editor {
  const id = uid("field");
  const other = h("div", { class: "other" });
  const wrongId = `${id}-wrong`;
  const wrongBox = h("div", { class: "wrong", id: wrongId, hidden: true });
  const say = (now: string) => {
    fill(other, readout(now));
    change(now);
  };
  const inputs = inputsOf(field, id, say);
  inputs.set(text);
  fill(other, readout(text));
  const help = [field.help, field.default ? `left empty: ${field.words?.[field.default] ?? field.default}` : null].filter(Boolean).join("; ");
  const described = help ? `${id}-help` : null;
  const needed = field.required ? h("span", { class: "needed" }, " (needed)") : null;
  const controls = () => [...element.querySelectorAll<HTMLElement>("input, select, textarea")];
  const element = h("div", { class: "field", "data-key": key, ...(inputs.group ? { role: "group", "aria-labelledby": `${id}-label` } : {}) },
    inputs.group ? h("span", { class: "label", id: `${id}-label` }, field.label, needed) : h("label", { for: id }, field.label, needed),
    help ? h("div", { class: "help", id: described }, help) : null,
    h("div", { class: "entry" }, inputs.parts), other, wrongBox);
  const describe = (bad: boolean) => {
    for (const control of controls()) {
      const ids = [bad ? wrongId : null, described].filter(Boolean).join(" ");
      control.toggleAttribute("aria-invalid", bad);
      if (bad) {
        control.setAttribute("aria-invalid", "true");
      }
      if (ids) {
        control.setAttribute("aria-describedby", ids);
      }
    }
  };
  describe(false);
  return {
    key,
    label: field.label,
    element,
    set: (now) => {
      inputs.set(now);
      fill(other, readout(now));
    },
    wrong: (words, keep) => {
      showWrong(wrongBox, words, keep);
      describe(words !== null);
    },
    focus: () => inputs.main.focus(),
    units: () => inputs.units?.(),
  };
}

function inputsOf(field: Field, id: string, change: Change): Inputs {
  switch (field.kind) {
    case "choice":
    case "file":
      return choiceInputs(field, id, change);
    case "quantity":
      return field.units && field.units.length > 0 ? quantityInputs(field, id, change) : plainInputs(id, change, "decimal");
    case "range":
      return rangeInputs(field, id, change);
    case "list":
    case "number":
      return plainInputs(id, change, "decimal");
    case "text":
      return field.choices?.length ? proposedInputs(field.choices, id, change) : plainInputs(id, change, "text");
  }
}

function plainInputs(id: string, change: Change, mode: "text" | "decimal"): Inputs {
  const input: HTMLInputElement = h("input", {
    id, type: "text", class: mode === "text" ? "text" : "number", inputmode: mode, autocomplete: "off", spellcheck: mode === "text" ? "true" : "false",
    oninput: () => change(input.value.trim()),
  });
  return { main: input, parts: input, set: (text) => { input.value = text; } };
}

// proposedInputs takes any text, and proposes some.
function proposedInputs(choices: string[], id: string, change: Change): Inputs {
  const plain = plainInputs(id, change, "text");
  plain.main.setAttribute("list", `${id}-list`);
  return { ...plain, parts: [plain.main, h("datalist", { id: `${id}-list` }, choices.map((choice) => h("option", { value: choice })))] };
}

function choiceInputs(field: Field, id: string, change: Change): Inputs {
  const select: HTMLSelectElement = h("select", { id, class: "text", onchange: () => change(select.value) });
  const set = (text: string) => {
    const choices = [...(field.choices ?? [])];
    if (text !== "" && !choices.includes(text)) {
      choices.unshift(text);
    }
    fill(select, h("option", { value: "" }, field.required ? "Choose …" : "—"), choices.map((choice) => h("option", { value: choice }, field.words?.[choice] ?? choice)));
    select.value = text;
  };
  return { main: select, parts: select, set };
}

// proposed is the unit that stands beside an empty number.
function proposed(field: Field): string {
  return (prefs.units === "us" ? field.us_unit : undefined) ?? field.units?.[0] ?? "";
}

function unitSelect(field: Field, change: () => void): HTMLSelectElement {
  const select = h("select", { "aria-label": `Unit of ${field.label}`, onchange: change });
  offerUnits(select, field, proposed(field));
  return select;
}

function offerUnits(select: HTMLSelectElement, field: Field, unit: string): void {
  const units = [...(field.units ?? [])];
  if (!units.includes(unit)) {
    units.push(unit);
  }
  fill(select, units.map((u) => h("option", { value: u }, u === "" ? "no unit" : unitText(u))));
  select.value = unit;
}

function numberInput(id: string, change: () => void, name?: string): HTMLInputElement {
  return h("input", { id, type: "text", class: "number", inputmode: "decimal", autocomplete: "off", spellcheck: "false", "aria-label": name, oninput: change });
}

const join = (number: string, unit: string) => (number === "" ? "" : `${number} ${unit}`.trim());

function quantityInputs(field: Field, id: string, change: Change): Inputs {
  const say = () => change(join(input.value.trim(), unit.value));
  const input = numberInput(id, say);
  const unit = unitSelect(field, say);
  return {
    main: input,
    parts: [input, unit],
    set: (text) => {
      const [number, u] = splitQuantity(text);
      input.value = number;
      offerUnits(unit, field, text === "" ? proposed(field) : u);
    },
    units: () => {
      if (input.value === "") {
        offerUnits(unit, field, proposed(field));
      }
    },
  };
}

function rangeInputs(field: Field, id: string, change: Change): Inputs {
  const say = () => {
    const [a, b] = [low.value.trim(), high.value.trim()];
    change(a === "" && b === "" ? "" : join(`${a}..${b}`, unit.value));
  };
  const low = numberInput(id, say, `${field.label}, at least`);
  const high = numberInput(`${id}-high`, say, `${field.label}, at most`);
  const unit = unitSelect(field, say);
  return {
    main: low,
    parts: [low, h("span", {}, "to"), high, unit],
    group: true,
    set: (text) => {
      const [a, rest] = text.includes("..") ? [text.slice(0, text.indexOf("..")).trim(), text.slice(text.indexOf("..") + 2).trim()] : ["", text];
      const [b, u] = splitQuantity(rest);
      low.value = a;
      high.value = b;
      offerUnits(unit, field, text === "" ? proposed(field) : u);
    },
    units: () => {
      if (low.value === "" && high.value === "") {
        offerUnits(unit, field, proposed(field));
      }
    },
  };
}

function readout(text: string): string {
  const [digits, unit] = splitQuantity(text);
  const number = text.includes("..") || unit === "" ? null : numberOf(digits);
  const words = number === null ? null : otherSystem(number, unit);
  return words === null ? "" : `that is ${words}`;
}
