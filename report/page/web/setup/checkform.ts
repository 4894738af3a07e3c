// The form of one set-up check: readings typed in, or taken from the sensor box.
import { api, Trouble, troubleOf, type Field } from "../base/api";
import { fill, h } from "../base/dom";
import { showWrong, type Complaint } from "../base/doubt";
import { troubleBox } from "../base/notice";
import { person } from "../base/prefs";
import { icon } from "../base/state";
import { say } from "../base/toast";
import type { CheckKind } from "./checkstate";
import { editor, type Editor } from "./fields";
import { rowTable, type RowTable } from "./rowtable";

// Units of what a channel reads; the fields of a check say none, since they follow the channel.
const unitsOf: Record<string, { units: string[]; us_unit: string }> = {
  voltage: { units: ["V"], us_unit: "V" },
  current: { units: ["A"], us_unit: "A" },
  wire_speed: { units: ["m/min", "in/min"], us_unit: "in/min" },
  gas_flow: { units: ["L/min", "ft3/h"], us_unit: "ft3/h" },
  temperature: { units: ["degC", "degF"], us_unit: "degF" },
};
const followChannel = ["reading", "reference"];

// checkForm carries out a check. place tells job and record at that moment; done is called when it is on record.
export function checkForm(kind: CheckKind, place: () => { job: string; record: string }, done: () => void, close: () => void): HTMLElement {
  const values: Record<string, string> = { by: person.get() };
  const editors = new Map<string, Editor>();
  let tables: RowTable[] = [];
  let sure: string[] = []; // what was said again on purpose, of the values as they stand
  const touched = () => { sure = []; };
  const fields = h("div", { class: "fields" });
  const answer = h("div");
  const doubted = h("div", { class: "field" });
  const live = h("input", { type: "checkbox", id: `live-${kind.kind}` });
  const seconds: HTMLSelectElement = h("select", { "aria-label": "Averaged over" }, [2, 5, 10, 30].map((n) => h("option", { value: `${n} s` }, `${n} s`)));
  seconds.value = "5 s";
  const button = h("button", { type: "submit", class: "go big", "data-needs": "operate" }, "Carry out and keep");

  const averaged = h("p", { class: "entry" }, "averaged over ", seconds);

  const draw = () => {
    averaged.hidden = !live.checked;
    editors.clear();
    tables = [];
    touched();
    const shown = kind.fields.filter((field) => !(live.checked && field.key === "reading")).map((field) => dressed(field, kind, values["channel"] ?? ""));
    const together = kind.rows.flatMap((key) => shown.filter((field) => field.key === key));
    fill(fields, shown.map((field) => {
      if (field.kind === "list") {
        if (kind.rows.includes(field.key) && together.some((other) => tables.some((table) => table.keys.includes(other.key)))) {
          return null; // it has a column in the table that is there
        }
        const table = rowTable(kind.rows.includes(field.key) ? together : [field], kind.kind === "wire-speed" || kind.kind === "rotation" ? 1 : 3, touched);
        tables.push(table);
        return table.element;
      }
      const made = editor(field, field.key, values[field.key] ?? "", (text) => {
        const before = values[field.key];
        values[field.key] = text;
        touched();
        if (field.key === "channel" && before !== text) {
          draw();
          editors.get("channel")?.focus();
        }
      });
      if (field.key === "due") {
        made.element.querySelector("input")?.setAttribute("type", "date"); // a day is picked more surely than typed with gloves
      }
      editors.set(field.key, made);
      return made.element;
    }));
  };
  const keep = (said: string) => { sure.push(said); };

  // show puts complaints beside their fields, and the others, about what the figures come to, below them all.
  const show = (complaints: Complaint[]) => {
    const of = (key: string) => complaints.filter((c) => c.field === key);
    for (const [key, one] of editors) {
      const [first] = of(key);
      one.wrong(first ? first.error : null, first?.keep === undefined ? undefined : { value: first.keep.replace(`${key} `, ""), act: () => keep(first.keep!) });
    }
    tables.forEach((table) => table.wrong(table.keys.flatMap(of), keep));
    const placed = [...editors.keys(), ...tables.flatMap((table) => table.keys)];
    fill(doubted, complaints.filter((c) => c.keep !== undefined && !placed.includes(c.field)).map((c) => {
      const box = h("div", { class: "wrong" });
      showWrong(box, c.error, { value: c.keep!, act: () => keep(c.keep!) });
      return box;
    }));
    const first = complaints[0]?.field ?? "";
    (editors.get(first) ?? tables.find((table) => table.keys.includes(first)))?.focus();
  };
  live.addEventListener("change", draw);
  draw();

  const submit = async () => {
    const { job, record } = place();
    if (values["by"]) {
      person.set(values["by"]);
    }
    const empty = kind.fields.filter((field) => field.required && (editors.has(field.key) ? !values[field.key] : tables.some((table) => table.keys.includes(field.key) && table.missing(field.key))));
    const gaps = tables.flatMap((table) => { const words = table.gaps(); return words ? [{ field: table.keys[0]!, error: words }] : []; });
    show([...empty.map((field) => ({ field: field.key, error: `${field.label}: this is needed.` })), ...gaps]);
    if (empty.length + gaps.length > 0) {
      fill(answer, troubleBox(new Trouble(422, "The check is not carried out yet: something is missing.", "Fill in what is marked.")));
      return;
    }
    const figures = Object.assign({}, ...tables.map((table) => table.values())) as Record<string, string>;
    button.disabled = true;
    const stopProgress = live.checked ? progress(answer, readings(kind, figures), parseFloat(seconds.value)) : () => undefined;
    try {
      const kept = await api.check(record, { job, kind: kind.kind, values: { ...values, ...figures }, ...(sure.length > 0 ? { sure } : {}), ...(live.checked ? { live: true, for: seconds.value } : {}) });
      stopProgress();
      fill(answer, h("div", { class: "box", role: "status" }, icon("done"), said(kept.check, kept.text)),
        h("div", { class: "buttons" }, h("button", { type: "button", class: "go", onclick: close }, "Close this check")));
      say(`${kind.kind}: kept in ${record}.`);
      done();
    } catch (thrown) {
      stopProgress();
      const trouble = troubleOf(thrown);
      const asked = trouble.fields.length > 0 && trouble.fields.every((wrong) => wrong.keep !== undefined); // then the words stand beside the fields
      fill(answer, troubleBox(asked ? new Trouble(trouble.status, "The check is not on record yet: look at what is marked.", trouble.hint) : trouble));
      show(trouble.fields);
    } finally {
      button.disabled = false;
    }
  };

  return h("form", { novalidate: true, "aria-label": `Check: ${kind.kind}`, onsubmit: (event: Event) => {
    event.preventDefault();
    void submit();
  } },
  kind.caution ? h("p", { class: "box" }, icon("caution"), h("strong", {}, kind.caution)) : null,
  kind.can_be_live ? h("label", { class: "tick", for: live.id }, live, h("span", {}, "Take the readings from the sensor box")) : null,
  averaged,
  fields, answer, doubted, h("div", { class: "buttons" }, button, h("button", { type: "button", onclick: close }, "Not now")));
}

// dressed gives the units of the channel to what is read on it.
function dressed(field: Field, kind: CheckKind, channel: string): Field {
  const units = followChannel.includes(field.key) && !field.units?.length ? unitsOf[kind.kind === "wire-speed" ? "wire_speed" : channel] : undefined;
  return units ? { ...field, ...units } : field;
}

// readings is how many averages the box takes: one, or one for each reference.
function readings(kind: CheckKind, values: Record<string, string>): number {
  return kind.kind === "meter" ? Math.max(1, (values["reference"] ?? "").split(";").filter(Boolean).length) : 1;
}

// progress shows the time that averaging takes; the answer ends it.
function progress(place: HTMLElement, times: number, seconds: number): () => void {
  const whole = times * seconds + (times - 1) * 10; // the program waits ten seconds between references
  const bar = h("progress", { max: whole, value: 0, "aria-label": "Averaging" });
  const words = h("span", {}, `Listening to the box for ${whole} s …`);
  fill(place, h("p", { class: "averaging", role: "status" }, bar, words));
  const begun = Date.now();
  const timer = setInterval(() => {
    const gone = (Date.now() - begun) / 1000;
    bar.value = Math.min(whole, gone);
    if (gone > whole + 1) {
      words.textContent = "Waiting for the box …";
    }
  }, 200);
  return () => clearInterval(timer);
}

// said is what came out, in the words of the check; its text for a terminal where those are not there.
function said(check: Record<string, unknown>, text: string): HTMLElement {
  const { sentence, notes } = check as { sentence?: string; notes?: string[] };
  return h("div", { class: "said" }, h("p", {}, h("strong", {}, sentence ?? text)), (notes ?? []).map((note) => h("p", {}, note)));
}
