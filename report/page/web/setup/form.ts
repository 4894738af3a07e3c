// The form of a job or a procedure: fields from the program, a plan that follows what is typed, a save that overwrites nobody.
import { api, aborted, newest, Trouble, troubleOf, type Filled, type Form, type House, type Kind } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { showWrong, type Complaint } from "../base/doubt";
import { dropDraft, keepDraft, readDraft } from "../base/draft";
import { again, cautions, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { onPrefs } from "../base/prefs";
import { icon } from "../base/state";
import { say } from "../base/toast";
import { settle } from "./conflict";
import { fieldset, type FormFields } from "./formfields";
import { planDrawings, planTotals, planWarnings } from "./planview";
import { differ, shapeOf, type Values } from "./values";

const words = { job: "job", procedure: "procedure" };
declare const FILE_NAME: string; // the pattern of the contract, which build.mjs puts in

export function formPage(kind: Kind, file?: string): Page {
  const desk = new Desk(kind, file);
  return {
    title: file === undefined ? `New ${words[kind]}` : `${kind === "job" ? "Job" : "Procedure"} ${file}`,
    trail: [{ text: "Home", href: "#/" }],
    render: (root, signal) => desk.open(root, signal),
    leave: () => desk.leave(),
  };
}

// Draft is what was typed and not saved.
interface Draft {
  values: Values;
  etag: string | null; // what the file was when it was read; null is a new one
  base: Values; // its values then
}

// Desk is one open form: what was read, what is typed, what is wrong.
class Desk {
  private readonly draftName: string;
  private etag: string | null = null;
  private base: Values = {};
  private values: Values = {};
  private fields!: FormFields;
  private root!: HTMLElement;
  private signal!: AbortSignal;
  private readonly offs: (() => void)[] = [];
  private readonly summary = h("div", { class: "summary" });
  private readonly preview = h("section", { class: "stay", "aria-label": "Plan of what is typed" });
  private readonly unsaved = h("span", { role: "status", class: "muted" });
  private readonly nameInput = h("input", { id: "file-name", type: "text", class: "text", autocomplete: "off", autocapitalize: "none", spellcheck: "false", "aria-describedby": "file-name-help file-name-wrong" });
  private readonly nameWrong = h("div", { class: "wrong", id: "file-name-wrong", hidden: true });
  private timer: ReturnType<typeof setTimeout> | undefined;
  private wanted!: () => AbortSignal;

  constructor(private readonly kind: Kind, private readonly file: string | undefined) {
    this.draftName = `${kind}.${file ?? ""}`;
  }

  async open(root: HTMLElement, signal: AbortSignal): Promise<void> {
    this.root = root;
    this.signal = signal;
    this.wanted = newest(signal);
    fill(root, waitBox("Reading the form …"));
    try {
      const [form, house, filled] = await Promise.all([
        api.form(this.kind, signal), api.house(signal), this.file === undefined ? null : api.readFile(this.kind, this.file, signal),
      ]);
      this.show(form, house, filled);
    } catch (thrown) {
      if (!aborted(thrown)) {
        fill(root, troubleBox(troubleOf(thrown)), again(() => this.open(root, signal)));
      }
    }
  }

  leave(): void {
    clearTimeout(this.timer);
    this.offs.forEach((off) => off());
  }

  private show(form: Form, house: House, filled: Filled | null): void {
    this.take(filled?.etag ?? null, filled?.values ?? {});
    this.fields = fieldset(form, house, this.values, () => this.changed());
    this.offs.push(onPrefs(() => {
      this.fields.units();
      this.plan();
    }));
    const aside = this.kind === "job" ? this.preview : null;
    const element = h("form", { novalidate: true, onsubmit: (event: Event) => {
      event.preventDefault();
      void this.save();
    } }, this.file === undefined ? this.naming(house) : null, this.fields.element,
      h("div", { class: "save-bar" }, h("button", { type: "submit", class: "go big", "data-needs": "operate" }, "Save"), this.unsaved));
    fill(this.root, this.kind === "job" ? cautions() : null, this.offerDraft(), this.summary, filled && filled.errors.length > 0 ? brokenText(filled) : null,
      h("div", { class: aside ? "two" : "" }, element, aside));
    if (filled) {
      this.complain(filled.errors.map((e) => ({ ...e, field: e.field ?? "" })), "This file cannot be used as it stands.");
    }
    this.plan();
  }

  private take(etag: string | null, values: Values): void {
    this.etag = etag;
    this.base = { ...values };
    this.values = { ...values };
  }

  // naming asks for the name of a new file, and offers another one to begin with.
  private naming(house: House): Child {
    const others = (this.kind === "job" ? house.jobs : house.procedures).filter((row) => row.error === null);
    const from: HTMLSelectElement = h("select", { id: "copy-from", class: "text", onchange: () => void this.copy(from.value) },
      h("option", { value: "" }, "Empty"), others.map((row) => h("option", { value: row.file }, row.name ?? row.file)));
    return h("fieldset", {}, h("legend", {}, h("h2", {}, "File")),
      h("div", { class: "field" }, h("label", { for: "file-name" }, "Name of the file", h("span", { class: "needed" }, " (needed)")),
        h("div", { class: "help", id: "file-name-help" }, "Small letters, digits, point, dash: boom-left. It is kept as boom-left.yaml."), this.nameInput, this.nameWrong),
      others.length === 0 ? null : h("div", { class: "field" }, h("label", { for: "copy-from" }, "Begin with a copy of"), from));
  }

  private async copy(file: string): Promise<void> {
    try {
      const values = file === "" ? {} : (await api.readFile(this.kind, file, this.signal)).values;
      this.values = { ...values };
      this.fields.show(this.values);
      this.changed();
      say(file === "" ? "The form is empty." : `Filled in from ${file}. Go through every field: this is another bore.`, "note");
    } catch (thrown) {
      this.fail(troubleOf(thrown));
    }
  }

  private offerDraft(): Child {
    const draft = readDraft<Draft>(this.draftName);
    if (!draft || !differ(draft.values, this.base)) {
      return null;
    }
    const box = h("div", { class: "box", role: "status" }, icon("note"), h("div", {},
      h("p", {}, h("strong", {}, "Unsaved changes from before are kept on this tablet.")),
      h("div", { class: "buttons" },
        h("button", { type: "button", class: "go", onclick: () => {
          this.etag = draft.etag;
          this.base = draft.base;
          this.values = { ...draft.values };
          this.fields.show(this.values);
          this.changed();
          box.remove();
        } }, "Take them up"),
        h("button", { type: "button", onclick: () => {
          dropDraft(this.draftName);
          box.remove();
        } }, "Drop them"))));
    return box;
  }

  private changed(): void {
    this.values = this.fields.values();
    const dirty = differ(this.values, this.base);
    this.unsaved.textContent = dirty ? "Not saved yet; kept on this tablet." : "";
    if (dirty) {
      keepDraft<Draft>(this.draftName, { values: this.values, etag: this.etag, base: this.base });
    } else {
      dropDraft(this.draftName);
    }
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.plan(), 500);
  }

  // plan asks for the plan of what is typed, and shows the last one that could be made until then.
  private plan(): void {
    if (this.kind !== "job" || this.signal.aborted) {
      return;
    }
    const signal = this.wanted();
    const shape = shapeOf(this.values);
    const values = filledIn(this.values);
    if (Object.keys(values).length === 0) {
      fill(this.preview, h("h2", {}, "Plan of this"), planDrawings(shape, null), h("p", { class: "muted" }, "It is planned as soon as bore, pattern and procedure are filled in."));
      return;
    }
    api.plan({ values }, signal).then((plan) => {
      fill(this.preview, h("h2", {}, "Plan of this"), planDrawings(shape, plan), planTotals(plan), planWarnings(plan));
    }, (thrown) => {
      if (aborted(thrown)) {
        return;
      }
      const trouble = troubleOf(thrown);
      fill(this.preview, h("h2", {}, "Plan of this"), planDrawings(shape, null),
        h("p", { class: "box" }, icon("unjudged"), h("span", {}, h("strong", {}, "No plan yet. "), trouble.fields.map((f) => this.fields.complaint(f)).join("; ") || trouble.error)));
    });
  }

  private async save(): Promise<void> {
    const file = this.file ?? this.nameInput.value.trim().replace(/\.yaml$/, "");
    const named = new RegExp(FILE_NAME).test(file);
    showWrong(this.nameWrong, named ? null : file === "" ? "It is missing." : "Write small letters, digits, point, dash or underscore, a letter or digit first.");
    this.nameInput.setAttribute("aria-invalid", String(!named));
    const missing = this.fields.missing();
    this.fields.wrong(missing.map((field) => ({ field, error: "It is missing." })));
    if (!named || missing.length > 0) {
      fill(this.summary, troubleBox(new Trouble(422, "Not saved yet: what is marked is missing.", "Fill in what is marked, and save.")));
      if (named) {
        this.fields.focus(missing[0]!);
      } else {
        this.nameInput.focus();
      }
      return;
    }
    try {
      this.saved(file, await api.writeFile(this.kind, file, this.values, this.etag));
    } catch (thrown) {
      const trouble = troubleOf(thrown);
      if (trouble.status === 412 && this.etag !== null) {
        await this.settle(file);
      } else {
        this.fail(trouble);
      }
    }
  }

  private saved(file: string, filled: Filled): void {
    dropDraft(this.draftName);
    const told = () => say(`${file}.yaml is saved.`);
    if (this.file === undefined) {
      addEventListener("hashchange", told, { once: true }); // on the page of the file, which comes first
      location.hash = link(this.kind, file);
      return;
    }
    told();
    this.take(filled.etag, filled.values);
    this.fields.show(this.values);
    this.unsaved.textContent = "";
    this.complain(filled.errors.map((e) => ({ ...e, field: e.field ?? "" })), "It is saved, and cannot be used as it stands.");
    this.plan();
  }

  // settle lays the other browser's file beside this one, and saves what the person chose.
  private async settle(file: string): Promise<void> {
    try {
      const theirs = await api.readFile(this.kind, file, this.signal);
      const merged = await settle(`${file}.yaml`, this.base, theirs.values, this.values, (key) => this.fields.label(key));
      if (merged === null) {
        this.fail(new Trouble(412, "Not saved: somebody else saved this file meanwhile.", "Save again to choose field by field."));
        return;
      }
      this.etag = theirs.etag;
      this.base = { ...theirs.values };
      this.values = merged;
      this.fields.show(merged);
      this.changed();
      await this.save();
    } catch (thrown) {
      this.fail(troubleOf(thrown));
    }
  }

  private fail(trouble: Trouble): void {
    const marked = trouble.fields.length > 0 && trouble.fields.every((f) => this.fields.has(f.field)); // then the words stand beside each field, and in the list
    fill(this.summary, troubleBox(marked ? new Trouble(trouble.status, "Not saved yet: look at what is marked.", trouble.hint) : trouble, this.links(trouble.fields)));
    this.fields.wrong(trouble.fields);
    this.summary.scrollIntoView({ block: "center" });
    this.summary.querySelector<HTMLElement>("a")?.focus();
  }

  // complain puts errors beside their fields and lists them at the top.
  private complain(errors: Complaint[], head: string): void {
    this.fields.wrong(errors);
    fill(this.summary, errors.length === 0 ? null : troubleBox(new Trouble(422, head, "Mend what is marked, and save."), this.links(errors)));
  }

  private links(errors: Complaint[]): Child {
    return errors.length === 0 ? null : h("ul", {}, errors.map((e) => h("li", {}, this.fields.has(e.field)
      ? h("a", { href: "#", onclick: (event: Event) => {
        event.preventDefault();
        this.fields.focus(e.field);
      } }, this.fields.complaint(e))
      : e.error)));
  }
}

function filledIn(values: Values): Values {
  return Object.fromEntries(Object.entries(values).filter(([, text]) => text !== ""));
}

// brokenText shows a file that cannot be read, with the lines that are wrong marked.
function brokenText(file: Filled): HTMLElement {
  const marked = new Map(file.errors.filter((e) => e.line).map((e) => [e.line!, e.error]));
  return h("section", { class: "plate", "aria-label": "The file as it is" }, h("h2", {}, "The file as it is"),
    h("div", { class: "file-text", tabindex: "0", role: "region", "aria-label": `Text of ${file.file}.yaml` },
      (file.text ?? "").split("\n").map((line, k) => h("div", { class: marked.has(k + 1) ? "marked" : "" },
        h("span", { class: "number" }, String(k + 1)), h("code", {}, line, marked.has(k + 1) ? h("mark", {}, `  ← ${marked.get(k + 1)}`) : null)))),
    h("p", { class: "muted" }, "What could be read of it stands in the form below."));
}
