// Figures that belong together, a row each: reading beside reference, time beside length. Commas and points are left to the program.
import type { Field } from "../base/api";
import { fill, h, uid } from "../base/dom";
import { showWrong, type Complaint } from "../base/doubt";
import { prefs } from "../base/prefs";
import { unitText } from "../base/units";

export interface RowTable {
  element: HTMLElement;
  keys: string[];
  values(): Record<string, string>; // a list a column, as the program reads it: "10,1 V; 20,2 V;"
  missing(key: string): boolean; // nothing is typed in the column
  gaps(): string | null; // in words: a row with one figure and not the other
  wrong(complaints: Complaint[], keep: (said: string) => void): void;
  focus(): void;
}

interface Column {
  field: Field;
  unit: HTMLSelectElement | null;
  inputs: HTMLInputElement[];
}

// rowTable makes a table with a column for each field; changed is called when a person types.
export function rowTable(fields: Field[], first: number, changed: () => void): RowTable {
  const label = uid("rows");
  const body = h("tbody");
  const wrongBox = h("div", { id: `${label}-wrong` });
  const touch = () => {
    fill(wrongBox);
    changed();
  };
  const columns: Column[] = fields.map((field) => ({ field, unit: unitOf(field, touch), inputs: [] }));
  const add = (): HTMLInputElement => {
    const row = body.rows.length + 1;
    const inputs = columns.map((c) => {
      const input: HTMLInputElement = h("input", { type: "text", inputmode: "decimal", autocomplete: "off", spellcheck: "false", "data-cell": `${c.field.key}.${row - 1}`,
        "aria-label": `${c.field.label}, row ${row}`, "aria-describedby": `${label}-wrong`, oninput: touch });
      c.inputs.push(input);
      return input;
    });
    body.append(h("tr", {}, h("th", { scope: "row" }, String(row)), inputs.map((input) => h("td", {}, input))));
    return inputs[0]!;
  };
  for (let k = 0; k < first; k++) {
    add();
  }
  const typed = (c: Column) => c.inputs.map((input) => input.value.trim());
  const used = () => columns[0]!.inputs.map((_, k) => k).filter((k) => columns.some((c) => typed(c)[k] !== ""));
  const needed = (field: Field) => (field.required ? h("span", { class: "needed" }, " (needed)") : null);
  const element = h("div", { class: "field row-table", role: "group", "aria-labelledby": label, "data-key": fields.map((f) => f.key).join(" ") },
    h("table", { class: "stations" },
      h("caption", { id: label }, fields.map((f) => f.label).join(" and ")),
      h("thead", {}, h("tr", {}, h("th", { scope: "col" }, "No."), columns.map((c) => h("th", { scope: "col" }, c.field.label, needed(c.field), c.field.help ? h("div", { class: "help" }, c.field.help) : null, c.unit ? h("div", {}, c.unit) : null)))),
      body),
    h("p", {}, h("button", { type: "button", onclick: () => add().focus() }, "Add a row")), wrongBox);
  return {
    element,
    keys: fields.map((f) => f.key),
    values: () => Object.fromEntries(columns.map((c) => {
      const figures = used().map((k) => typed(c)[k]!);
      return [c.field.key, figures.every((text) => text === "") ? "" : figures.map((text) => `${text} ${c.unit?.value ?? ""}`.trim()).join("; ") + ";"];
    })),
    missing: (key) => typed(columns.find((c) => c.field.key === key)!).every((text) => text === ""),
    gaps: () => {
      for (const k of used()) {
        const empty = columns.find((c) => typed(c)[k] === "" && typed(c).some((text) => text !== ""));
        if (empty) {
          return `Row ${k + 1}: ${empty.field.label.toLowerCase()} is missing.`;
        }
      }
      return null;
    },
    wrong: (complaints, keep) => {
      columns.forEach((c) => c.inputs.forEach((input) => input.toggleAttribute("aria-invalid", false)));
      fill(wrongBox, complaints.map((c) => {
        const column = columns.find((one) => one.field.key === c.field);
        const bad = column?.inputs.find((input) => c.keep !== undefined && `${c.field} ${input.value.trim()} ${column.unit?.value ?? ""}`.trim() === c.keep);
        for (const input of bad ? [bad] : column?.inputs ?? []) {
          input.setAttribute("aria-invalid", "true");
        }
        const box = h("div", { class: "wrong" });
        const row = bad ? `Row ${column!.inputs.indexOf(bad) + 1}: ` : "";
        showWrong(box, row + c.error, c.keep === undefined ? undefined : { value: c.keep.replace(`${c.field} `, ""), act: () => keep(c.keep!) });
        return box;
      }));
    },
    focus: () => columns[0]!.inputs[0]!.focus(),
  };
}

function unitOf(field: Field, change: () => void): HTMLSelectElement | null {
  const units = field.units ?? [];
  if (units.length === 0) {
    return null;
  }
  const proposed = prefs.units === "us" ? (field.us_unit ?? units[0]!) : units[0]!;
  const all = units.includes(proposed) ? units : [...units, proposed];
  const select: HTMLSelectElement = h("select", { "aria-label": `Unit of ${field.label}`, onchange: change }, all.map((u) => h("option", { value: u }, unitText(u))));
  select.value = proposed;
  return select;
}
