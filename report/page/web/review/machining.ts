// The bore after it was machined: diameters where they were measured, and whether it cleaned up.
import { api, Trouble, troubleOf, type EntryRequest } from "../base/api";
import { fill, h, uid, type Child } from "../base/dom";
import { showWrong } from "../base/doubt";
import { dropDraft, keepDraft, readDraft } from "../base/draft";
import { noteBox, troubleBox } from "../base/notice";
import { person, prefs } from "../base/prefs";
import { stateMark } from "../base/state";
import { when } from "../base/time";
import { say } from "../base/toast";
import { convert, digits, figure, range, unitFor, withUnit } from "../base/units";
import { choices, line } from "./choices";
import { photographs, photoTray } from "./photo";
import { beyondTyped, who, type MachiningRow } from "./rows";

type Station = [depth: string, angle: string, diameter: string];

interface Typed {
  unit: string;
  stations: Station[];
  instrument: string;
  uncertainty: string;
  low: string;
  high: string;
  cleanedUp: string;
  where: string;
  remark: string;
}

const cleanUps = ["all round", "not all round", "not said"];

// machiningSection lists what is on record and opens the form; again asks for the review anew, now gives its rows.
export function machiningSection(record: string, rows: MachiningRow[], again: () => Promise<void>, now: () => MachiningRow[]): HTMLElement {
  const space = h("div");
  const open = (corrects: MachiningRow | null) => {
    button.hidden = true;
    fill(space, machiningForm(record, rows, corrects, again, now, () => {
      fill(space);
      button.hidden = false;
      button.focus();
    }));
    space.querySelector<HTMLElement>("input")?.focus();
  };
  const button: HTMLButtonElement = h("button", { type: "button", class: "big", "data-needs": "inspect", onclick: () => open(null) }, rows.length === 0 ? "Put the measured bore on record" : "Another measurement");
  return h("section", { class: "plate", "aria-labelledby": "machining-head" }, h("h2", { id: "machining-head", tabindex: "-1" }, "The bore after machining"),
    rows.length === 0 ? h("p", { class: "muted" }, "No final measurement is on record.") : h("ol", { class: "history" }, rows.map((row) => shown(record, row, () => open(row)))),
    h("p", { class: "buttons" }, button), space);
}

function shown(record: string, row: MachiningRow, correct: () => void): HTMLElement {
  return h("li", { class: row.corrected_by ? "superseded" : "" },
    h("p", { class: "entry-text" }, stateMark(row.cleaned_up === "all round" ? "done" : row.cleaned_up === "not all round" ? "outside" : "unjudged", `cleaned up: ${row.cleaned_up}`), row.where ? `, ${row.where}` : "", row.remark ? ` · “${row.remark}”` : ""),
    outWords(row),
    row.stations.length === 0 ? null : stationTable(row),
    h("p", { class: "muted" }, `Wanted ${range(row.wanted_low_mm, row.wanted_high_mm, "mm", 3)}; with ${row.instrument ?? "—"}, U ${withUnit(row.expanded_uncertainty_mm, "mm", 3)} (k = 2). Entry ${row.entry} by ${who(row)}, `, when(row.at),
      row.corrected_by ? `; entry ${row.corrected_by} took its place` : ""),
    photographs(record, row.photographs),
    row.corrected_by ? null : h("button", { type: "button", "data-needs": "inspect", onclick: correct }, `Correct entry ${row.entry}`));
}

// outWords stand above the table where a diameter is out.
function outWords(row: MachiningRow): Child {
  const out = row.stations.filter((s) => s.beyond_mm !== null && s.beyond_mm !== 0).length;
  return out === 0 ? null : h("p", {}, stateMark("outside", `${out} of ${row.stations.length} diameters out of the limits of the drawing`));
}

function stationTable(row: MachiningRow): HTMLElement {
  return h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": `Diameters of entry ${row.entry}, table` }, h("table", { class: "entry-text" }, h("caption", { class: "unseen" }, `Diameters of entry ${row.entry}`),
    h("thead", {}, h("tr", {}, [`Depth, ${unitFor("mm")}`, "Angle, °", `Diameter, ${unitFor("mm")}`, "Limits"].map((head) => h("th", { scope: "col" }, head)))),
    h("tbody", {}, row.stations.map((s) => h("tr", {}, h("td", {}, figure(s.depth_mm, "mm")), h("td", {}, s.angle_deg === null ? "—" : digits(s.angle_deg, 0)), h("td", {}, figure(s.diameter_mm, "mm", 3)),
      h("td", {}, againstLimits(s.beyond_mm, (beyond) => withUnit(beyond, "mm", 3))))))));
}

// againstLimits says how a diameter stands to the limits of the drawing; null is that nobody can tell.
function againstLimits(beyond: number | null, words: (beyond: number) => string): Child {
  return beyond === null ? "—" : beyond === 0 ? stateMark("within", "inside") : stateMark("outside", `${words(Math.abs(beyond))} ${beyond > 0 ? "above" : "below"}`);
}

function machiningForm(record: string, rows: MachiningRow[], corrects: MachiningRow | null, again: () => Promise<void>, now: () => MachiningRow[], close: () => void): HTMLElement {
  const draftName = `machining.${record}.${corrects?.entry ?? "new"}`;
  const first = readDraft<Typed>(draftName) ?? typedFrom(corrects);
  let seen = last(rows);
  let sure: string[] = []; // what was said again on purpose, of the values as they stand
  const keep = () => {
    sure = [];
    stations.hold(low.input.value, high.input.value, unit.value);
    keepDraft(draftName, typed());
  };
  const typed = (): Typed => ({
    unit: unit.value, stations: stations.values(), instrument: instrument.input.value, uncertainty: uncertainty.input.value,
    low: low.input.value, high: high.input.value, cleanedUp: cleanedUp.value(), where: where.input.value, remark: remark.input.value,
  });
  const unit: HTMLSelectElement = h("select", { id: uid("unit"), onchange: keep }, ["mm", "in"].map((u) => h("option", { value: u }, u)));
  unit.value = first.unit;
  const stations = stationInputs(first.stations, keep);
  const instrument = line("Measured with", first.instrument, keep, { most: 100, help: "Instrument and its number. Needed where diameters are given." });
  const uncertainty = line("Uncertainty of a diameter", first.uncertainty, keep, { help: "Expanded, k = 2, in the unit above; empty is not known." });
  const low = line("Wanted, at least", first.low, keep, { help: "Limits of the drawing, in the unit above." });
  const high = line("Wanted, at most", first.high, keep);
  const cleanedUp = choices("Did it clean up?", cleanUps, first.cleanedUp, () => {
    keep();
    where.element.hidden = cleanedUp.value() !== "not all round";
  });
  const where = line("Where it did not", first.where, keep, { area: true, most: 4000, help: "At which angle and depth." });
  where.element.hidden = first.cleanedUp !== "not all round";
  stations.hold(low.input.value, high.input.value, unit.value);
  const remark = line("Remark", first.remark, keep, { area: true, most: 4000 });
  const by = line("Name", person.get(), () => undefined, { needed: true, most: 100, help: "Who puts this on record." });
  const photos = photoTray(draftName);
  const answer = h("div");
  const button = h("button", { type: "submit", class: "go big", "data-needs": "inspect" }, "Put on record");
  const places: Record<string, { wrong(words: string | null, keep?: { value: string; act: () => void }): void }> = {
    instrument, uncertainty, wanted: low, cleaned_up: cleanedUp, "cleaned-up": cleanedUp, where, remark, by, stations, station: stations,
  };

  const send = async () => {
    Object.values(places).forEach((place) => place.wrong(null));
    if (by.input.value.trim() === "") {
      by.wrong("It is missing.");
      by.input.focus();
      return;
    }
    person.set(by.input.value.trim());
    button.disabled = true;
    try {
      const request = requestOf(typed(), by.input.value.trim(), seen);
      if (sure.length > 0) {
        request.sure = [...sure];
      }
      if (corrects) {
        request.corrects = corrects.entry;
      }
      const sent = await photos.send(record);
      if (sent.length > 0) {
        request.photographs = sent;
      }
      const entry = await api.enter(record, request);
      dropDraft(draftName);
      photos.clear();
      say(`Entry ${entry.number} is on record.`);
      close();
      await again();
    } catch (thrown) {
      const trouble = troubleOf(thrown);
      for (const wrong of trouble.fields) {
        const kept = wrong.keep === undefined ? undefined : { value: wrong.keep.replace(`${wrong.field} `, ""), act: () => { sure.push(wrong.keep!); } };
        const station = /^station \d+ /.test(wrong.field);
        places[station ? "stations" : wrong.field.replace(/^machining\./, "")]?.wrong(station ? `${wrong.field}: ${wrong.error}` : wrong.error, kept);
      }
      const asked = trouble.fields.length > 0 && trouble.fields.every((wrong) => wrong.keep !== undefined); // then the words stand above
      fill(answer, troubleBox(asked ? new Trouble(trouble.status, "Not on record yet: look at what is marked.", trouble.hint) : trouble));
      if (trouble.status === 409) {
        await again();
        const theirs = now().filter((row) => row.entry > seen);
        seen = last(now());
        fill(answer, troubleBox(trouble), theirs.map((row) => shown(record, row, () => undefined)));
        button.textContent = "Put mine on record as well";
      }
      answer.scrollIntoView({ block: "center" });
    } finally {
      button.disabled = false;
    }
  };

  return h("form", { novalidate: true, "aria-label": "The bore after machining", onsubmit: (event: Event) => {
    event.preventDefault();
    void send();
  } },
  corrects ? noteBox(h("p", {}, `This takes the place of entry ${corrects.entry} by ${who(corrects)}. Both stay on record.`)) : null,
  h("div", { class: "field" }, h("label", { for: unit.id }, "Lengths are in"), h("div", { class: "entry" }, unit)),
  stations.element, h("div", { class: "fields" }, instrument.element, uncertainty.element, low.element, high.element),
  cleanedUp.element, where.element, remark.element, photos.element, by.element, answer,
  h("div", { class: "buttons" }, button, h("button", { type: "button", onclick: close }, "Not now")));
}

function last(rows: MachiningRow[]): number {
  return Math.max(0, ...rows.map((row) => row.entry));
}

function typedFrom(row: MachiningRow | null): Typed {
  const unit = prefs.units === "us" ? "in" : "mm";
  const text = (mm: number | null | undefined) => (mm === null || mm === undefined ? "" : String(Number((convert(mm, "mm", unit) ?? mm).toPrecision(9))));
  return {
    unit,
    stations: row ? row.stations.map((s): Station => [text(s.depth_mm), s.angle_deg === null ? "" : String(s.angle_deg), text(s.diameter_mm)]) : [["", "", ""], ["", "", ""]],
    instrument: row?.instrument ?? "", uncertainty: text(row?.expanded_uncertainty_mm), low: text(row?.wanted_low_mm), high: text(row?.wanted_high_mm),
    cleanedUp: row?.cleaned_up ?? "", where: row?.where ?? "", remark: row?.remark ?? "",
  };
}

// requestOf writes the figures with their units, as they were typed.
function requestOf(typed: Typed, by: string, seen: number): EntryRequest {
  const long = (text: string) => (text.trim() === "" ? "" : `${text.trim()} ${typed.unit}`);
  const machining: NonNullable<EntryRequest["machining"]> = {
    stations: typed.stations.filter((s) => s.some((text) => text.trim() !== "")).map(([depth, angle, diameter]) => ({ depth: long(depth), angle: angle.trim() === "" ? "" : `${angle.trim()} deg`, diameter: long(diameter) })),
    instrument: typed.instrument.trim(), uncertainty: long(typed.uncertainty), cleaned_up: typed.cleanedUp || "not said",
    where: typed.cleanedUp === "not all round" ? typed.where.trim() : "",
    wanted: typed.low.trim() === "" && typed.high.trim() === "" ? "" : `${typed.low.trim()}..${typed.high.trim()} ${typed.unit}`,
  };
  return { by, seen, remark: typed.remark.trim(), machining };
}

interface Stations {
  element: HTMLElement;
  hold(low: string, high: string, unit: string): void; // shows how each diameter stands to these limits
  values(): Station[];
  wrong(words: string | null, keep?: { value: string; act: () => void }): void; // one after the other; null takes all away
}

// stationInputs is the table of diameters, a row a station.
function stationInputs(first: Station[], change: () => void): Stations {
  const body = h("tbody");
  const wrong = h("div", { class: "field", role: "alert" });
  const heads = ["Depth", "Angle, °", "Diameter"];
  const add = (values: Station) => {
    const inputs = values.map((value, k) => h("input", { type: "text", inputmode: "decimal", autocomplete: "off", value, "aria-label": `${heads[k]}, station ${body.rows.length + 1}`, oninput: change }));
    body.append(h("tr", {}, h("th", { scope: "row" }, String(body.rows.length + 1)), inputs.map((input) => h("td", {}, input)), h("td", { class: "held" })));
    return inputs[0]!;
  };
  first.forEach(add);
  const rows = (): Child => h("table", { class: "stations" }, h("caption", {}, "Depth from the entry face; angle of one end of the diameter, clockwise from the mark. Empty rows are left out."),
    h("thead", {}, h("tr", {}, h("th", { scope: "col" }, "No."), [...heads, "Limits"].map((head) => h("th", { scope: "col" }, head)))), body);
  const out = h("p", { role: "status" });
  return {
    element: h("fieldset", {}, h("legend", {}, "Diameters"), rows(), out, wrong,
      h("p", {}, h("button", { type: "button", onclick: () => add(["", "", ""]).focus() }, "Another station"))),
    hold: (low, high, unit) => {
      const beyond = [...body.rows].map((row) => beyondTyped(row.querySelectorAll("input")[2]!.value, low, high));
      beyond.forEach((far, k) => fill(body.rows[k]!.querySelector(".held")!, far === null ? null : againstLimits(far, (by) => `${digits(by, unit === "in" ? 4 : 3)} ${unit}`)));
      const count = beyond.filter((far) => far !== null && far !== 0).length;
      const words = count === 0 ? "" : `${count} of ${beyond.filter((far) => far !== null).length} diameters out of the limits of the drawing.`;
      if (out.textContent !== words) {
        out.textContent = words;
      }
    },
    values: () => [...body.rows].map((tr) => [...tr.querySelectorAll("input")].map((input) => input.value) as Station),
    wrong: (words, keep) => {
      if (words === null) {
        fill(wrong);
        return;
      }
      const box = h("div", { class: "wrong" });
      showWrong(box, words, keep);
      wrong.append(box);
    },
  };
}
