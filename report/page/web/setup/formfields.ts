// All fields of a form together, groups that may stand several times among them.
import type { Field, Form, House } from "../base/api";
import { fill, h, uid, type Child } from "../base/dom";
import type { Complaint } from "../base/doubt";
import { editor, type Editor } from "./fields";
import { portFinder } from "./ports";
import type { Values } from "./values";

type Group = Form["groups"][number];

export interface FormFields {
  element: HTMLElement;
  values(): Values;
  show(values: Values): void;
  wrong(complaints: Complaint[]): void;
  missing(): string[]; // keys of what is needed and empty, in the order of the form
  has(key: string): boolean;
  focus(key: string): void;
  label(key: string): string;
  complaint(complaint: Complaint): string;
  units(): void;
}

// fieldset makes the fields of a form; changed is called after every change by a person.
export function fieldset(form: Form, house: House, first: Values, changed: () => void): FormFields {
  let values = { ...first };
  const editors = new Map<string, Editor>();
  const needs = new Map<string, Field>();
  const element = h("div");

  const edit = (field: Field, key: string) => {
    const made = editor(withFiles(field, house), key, values[key] ?? "", (text) => {
      values[key] = text;
      if (values[sure + key]) {
        values[sure + key] = ""; // it was said of another value
      }
      made.wrong(null);
      if (/^sensors\.\d+\.link$/.test(key)) {
        relink(key.replace(/link$/, ""));
      }
      changed();
    });
    made.element.hidden = foreign(key, field);
    editors.set(key, made);
    needs.set(key, field);
    return made.element;
  };

  // foreign is an empty field that a sensor with another link has; what a file says in it is shown all the same.
  const foreign = (key: string, field: Field) => field.only !== undefined && (values[key] ?? "") === "" && !field.only.includes(values[`${key.split(".", 2).join(".")}.link`] ?? "");

  // relink shows the fields of the link that was chosen. What was typed for another link is not sent, and comes back with that link.
  const aside = new Map<string, string>();
  const relink = (part: string) => {
    const link = values[`${part}link`] ?? "";
    for (const [key, one] of editors) {
      const only = key.startsWith(part) ? needs.get(key)!.only : undefined;
      if (only === undefined) {
        continue;
      }
      const now = values[key] ?? "";
      if (!only.includes(link) && now !== "") {
        aside.set(key, now);
        values[key] = "";
      } else if (only.includes(link) && now === "") {
        values[key] = aside.get(key) ?? "";
      }
      one.set(values[key] ?? "");
      one.element.hidden = foreign(key, needs.get(key)!);
    }
  };

  const draw = () => {
    editors.clear();
    needs.clear();
    fill(element, form.groups.map((group, k) => folded(group, k < 3, [group.help ? h("p", { class: "muted" }, group.help) : null,
      group.repeated ? repeated(group, group.repeated) : h("div", { class: "fields" }, group.fields.map((field) => edit(field, field.key)))])));
  };

  // folded keeps what is neither needed nor filled in out of the way.
  const folded = (group: Group, first: boolean, content: Child): HTMLElement => {
    const optional = group.fields.every((field) => !field.required || group.repeated);
    const filled = group.repeated ? countOf(values, group.repeated) > 0 : group.fields.some((field) => (values[field.key] ?? "") !== "");
    return optional
      ? h("details", { class: "group", open: filled || first }, h("summary", {}, h("h2", {}, group.name), h("span", { class: "muted" }, filled || first ? "" : "nothing filled in")), content)
      : h("fieldset", {}, h("legend", {}, h("h2", {}, group.name)), content);
  };

  // repeated stands as often as the values have it; taking one out moves the later ones up.
  const repeated = (group: Group, prefix: string): HTMLElement => {
    const box = h("div");
    const heading = uid("repeat");
    const keys = (k: number) => group.fields.map((field) => `${prefix}.${k}.${tail(field.key, prefix)}`);
    const redraw = (focus: number) => {
      const n = countOf(values, prefix);
      fill(box, Array.from({ length: n }, (_, k) => h("div", { class: "repeat", role: "group", "aria-label": `${group.name}, ${k + 1}` },
        h("h3", { id: `${heading}-${k}` }, `${group.name}, ${k + 1}`),
        h("div", { class: "fields" }, group.fields.map((field, f) => edit(field, keys(k)[f]!))),
        h("p", {}, h("button", { type: "button", onclick: () => remove(k) }, `Take ${k + 1} out`, h("span", { class: "unseen" }, ` of ${group.name}`))))),
      h("p", {}, h("button", { type: "button", onclick: add }, n === 0 ? "Add one" : "Add another", h("span", { class: "unseen" }, ` of ${group.name}`))));
      if (focus >= 0) {
        (editors.get(keys(focus)[0] ?? "") ?? { focus: () => box.querySelector("button")?.focus() }).focus();
      }
    };
    const add = () => {
      const n = countOf(values, prefix);
      keys(n).forEach((key) => { values[key] = ""; });
      redraw(n);
      changed();
    };
    const remove = (k: number) => {
      const n = countOf(values, prefix);
      for (let i = k; i < n; i++) {
        keys(i).forEach((key, f) => {
          editors.delete(key);
          const next = values[keys(i + 1)[f]!];
          if (i + 1 < n && next !== undefined) {
            values[key] = next;
          } else if (i < countOf(first, prefix)) {
            values[key] = ""; // the file had it: an empty text takes it out
            gone.add(key);
          } else {
            delete values[key];
          }
        });
      }
      redraw(Math.max(0, Math.min(k, n - 2)));
      changed();
    };
    // take fills in the part with that port, or one that names none, or another one.
    const take = (found: Values) => {
      const n = countOf(values, prefix);
      const portOf = (k: number) => values[`${prefix}.${k}.port`] ?? "";
      const numbers = Array.from({ length: n }, (_, k) => k);
      const at = numbers.find((k) => portOf(k) === found["port"]) ?? numbers.find((k) => portOf(k) === "") ?? n;
      const same = found["link"] === values[`${prefix}.${at}.link`]; // what it cannot tell, a person may have said
      keys(at).forEach((key) => {
        values[key] = found[key.slice(`${prefix}.${at}.`.length)] ?? (same ? values[key] ?? "" : "");
      });
      redraw(at);
      changed();
    };
    redraw(-1);
    return prefix === "sensors" ? h("div", {}, portFinder(take), box) : box;
  };

  const gone = new Set<string>();
  const countOf = (of: Values, prefix: string) => {
    const numbers = Object.keys(of).filter((key) => !(of === values && gone.has(key) && of[key] === "") && key.startsWith(prefix + ".")).map((key) => parseInt(key.slice(prefix.length + 1), 10));
    return numbers.length === 0 ? 0 : Math.max(...numbers) + 1;
  };

  const label = (key: string) => editors.get(key)?.label ?? key;
  draw();
  return {
    element,
    values: () => ({ ...values }),
    show: (now) => {
      values = { ...now };
      gone.clear();
      draw();
    },
    wrong: (complaints) => {
      for (const [key, one] of editors) {
        const mine = complaints.filter((c) => c.field === key);
        const doubted = mine.find((c) => c.keep !== undefined)?.keep;
        one.wrong(mine.length === 0 ? null : mine.map((c) => c.error).join("; "), doubted === undefined ? undefined : { value: doubted, act: () => {
          values[sure + key] = doubted;
          if ((values[key] ?? "") === "") { // it is what holds where the field is left empty
            values[key] = doubted;
            one.set(doubted);
          }
          changed();
        } });
        if (mine.length > 0) {
          unfold(one);
        }
      }
    },
    missing: () => [...editors.keys()].filter((key) => {
      const field = needs.get(key)!;
      return (values[key] ?? "") === "" && (field.required || (field.unless !== undefined && values["deposit.pattern"] !== field.unless));
    }),
    has: (key) => editors.has(key),
    focus: (key) => {
      const one = editors.get(key);
      if (one) {
        unfold(one);
        one.focus();
      }
    },
    label,
    complaint: (c) => (editors.has(c.field) ? `${label(c.field)}: ${c.error}` : c.error),
    units: () => editors.forEach((one) => one.units()),
  };
}

// sure begins the keys of values that are said again on purpose.
const sure = "sure.";

function unfold(one: Editor): void {
  one.element.closest("details")?.setAttribute("open", "");
}

// tail is the part of a key behind the number of its group.
function tail(key: string, prefix: string): string {
  return (key.startsWith(prefix + ".") ? key.slice(prefix.length + 1) : key).replace(/^\d+\./, "");
}

// withFiles offers the procedure files of the folder where the program names none.
function withFiles(field: Field, house: House): Field {
  return field.kind === "file" && !field.choices?.length ? { ...field, choices: house.procedures.map((row) => row.path ?? `${row.file}.yaml`) } : field;
}
