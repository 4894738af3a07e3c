// What a person found and decided about one finding, or about an event with all its findings. What is typed is kept until it is on record.
import { api, troubleOf, type EntryRequest, type FindingRow } from "../base/api";
import { fill, h } from "../base/dom";
import { dropDraft, keepDraft, readDraft } from "../base/draft";
import { noteBox, troubleBox } from "../base/notice";
import { person } from "../base/prefs";
import { icon } from "../base/state";
import { say } from "../base/toast";
import { choices, line } from "./choices";
import { photoTray } from "./photo";
import { entriesOf, type DispositionRow } from "./rows";

// The words are those of the record; a person reads them as they stand there.
const methods = ["visual", "liquid penetrant", "magnetic particle", "ultrasonic", "measured", "none"];
const results = ["no indication", "indication acceptable", "indication not acceptable", "not inspected"];
const decisions = ["accept", "repair", "machined away", "keep open"];

interface Typed {
  method: string;
  result: string;
  decision: string;
  remark: string;
}

export interface EntryForm {
  record: string;
  finding: FindingRow;
  event: { number: number; findings: FindingRow[] } | null; // decided on as one, in place of the finding alone
  corrects: DispositionRow | null;
  done(open: number): void; // it is on record
  refresh(): Promise<FindingRow[]>; // what it is about, as that stands now: somebody else may have decided
  close(): void;
}

// entryForm is the form of a disposition; with corrects it takes the place of an entry, which stays on record.
export function entryForm(f: EntryForm): HTMLElement {
  const draftName = `inspect.${f.record}.${f.event ? `event ${f.event.number}` : f.finding.number}.${f.corrects?.entry ?? "new"}`;
  const kept = readDraft<Typed>(draftName);
  const first: Typed = kept ?? { method: f.corrects?.method ?? "", result: f.corrects?.result ?? "", decision: f.corrects?.decision ?? "", remark: f.corrects?.remark ?? "" };
  let seen = lastEntry(f.event?.findings ?? [f.finding]);

  const typed = (): Typed => ({ method: method.value(), result: result.value(), decision: decision.value(), remark: remark.input.value });
  const keep = () => keepDraft(draftName, typed());
  const method = choices("Inspected by", methods, first.method, keep);
  const result = choices("It showed", results, first.result, keep);
  const decision = choices("Decision", decisions, first.decision, keep);
  const by = line("Name", person.get(), () => undefined, { needed: true, most: 100, help: "Who puts this on record." });
  const remark = line("Remark", first.remark, keep, { area: true, most: 4000, help: "What you saw; and why, where you decide against what it showed." });
  const photos = photoTray(draftName);
  const answer = h("div");
  const button = h("button", { type: "submit", class: "go big" }, "Put on record");
  const places: Record<string, { wrong(words: string | null): void }> = { method, result, decision, by, remark };

  const send = async () => {
    Object.values(places).forEach((place) => place.wrong(null));
    button.disabled = true;
    person.set(by.input.value.trim());
    try {
      const request: EntryRequest = { by: by.input.value.trim(), seen, ...(f.event ? { event: f.event.number } : { finding: f.finding.number }), ...typed() };
      if (f.corrects) {
        request.corrects = f.corrects.entry;
      }
      const photographs = await photos.send(f.record);
      if (photographs.length > 0) {
        request.photographs = photographs;
      }
      const entry = await api.enter(f.record, request);
      dropDraft(draftName);
      photos.clear();
      const kept = entry.entries === 1 ? `Entry ${entry.number} is` : `Entries ${entry.number} to ${entry.number + entry.entries - 1} are`;
      say(`${kept} on record. ${entry.open === 0 ? "No finding is open." : entry.open === 1 ? "1 finding is open." : `${entry.open} findings are open.`}`);
      f.done(entry.open);
    } catch (thrown) {
      const trouble = troubleOf(thrown);
      trouble.fields.forEach((wrong) => places[wrong.field]?.wrong(wrong.error));
      fill(answer, troubleBox(trouble));
      if (trouble.status === 409) {
        await meanwhile();
      }
      answer.scrollIntoView({ block: "center" });
    } finally {
      button.disabled = false;
    }
  };

  // meanwhile shows what somebody else decided; whoever sends again has seen it.
  const meanwhile = async () => {
    const now = await f.refresh();
    const theirs = now.flatMap((one) => entriesOf(one).all).filter((entry) => entry.entry > seen);
    if (theirs.length > 0) {
      seen = lastEntry(now);
      fill(answer, h("div", { class: "box box-trouble", role: "alert" }, icon("outside"), h("div", {},
        h("p", {}, h("strong", {}, "Somebody else decided about this finding meanwhile. Yours is not on record yet.")),
        theirs.map((entry) => h("p", {}, `Entry ${entry.entry} by ${entry.by}: ${entry.method}, ${entry.result}, ${entry.decision}.${entry.remark ? ` ${entry.remark}` : ""}`)),
        h("p", {}, "Put yours on record as well, or leave theirs to stand. Both would stay on record; the later one holds."))));
      button.textContent = "Put mine on record as well";
    }
  };

  return h("form", { novalidate: true, "aria-label": f.event ? `Event ${f.event.number}: what was found and decided` : `Finding ${f.finding.number}: what was found and decided`, onsubmit: (event: Event) => {
    event.preventDefault();
    void send();
  } },
  f.event ? noteBox(h("p", {}, `This is about all ${f.event.findings.length} findings of event ${f.event.number}, in one act: numbers ${f.event.findings.map((one) => one.number).join(", ")}.`)) : null,
  f.corrects ? noteBox(h("p", {}, `This takes the place of entry ${f.corrects.entry} by ${f.corrects.by}. Both stay on record.`)) : null,
  kept ? h("p", { class: "muted" }, "Filled in with what was typed here before and not sent.") : null,
  method.element, result.element, decision.element, remark.element, photos.element, by.element, answer,
  h("div", { class: "buttons" }, button, h("button", { type: "button", onclick: f.close }, "Not now")),
  h("p", { class: "muted" }, "What is on record is never changed; who was wrong puts another entry there."));
}

function lastEntry(findings: FindingRow[]): number {
  return findings.flatMap((one) => entriesOf(one).all).reduce((most, entry) => Math.max(most, entry.entry), 0);
}
