// What a person found and decided about a finding, an event with all its findings, or several events of one cause. What is typed is kept
// until it is on record.
import { api, troubleOf, type EntryKept, type EntryRequest } from "../base/api";
import { fill, h, uid } from "../base/dom";
import { dropDraft, keepDraft, readDraft } from "../base/draft";
import { noteBox, troubleBox } from "../base/notice";
import { person } from "../base/prefs";
import { icon } from "../base/state";
import { say } from "../base/toast";
import { choices, line } from "./choices";
import { photoTray } from "./photo";
import { who, type DispositionRow } from "./rows";

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
  about: { finding: number } | { event: number } | { events: number[] };
  findings: number; // how many it is about
  cause: string; // what was chosen for the last one of a cause is offered for the next one; empty is not
  seen: number; // number of the newest entry that the person could see
  corrects: DispositionRow | null;
  goOn: string | null; // words for the button that also leads to the next one; null has none
  done(kept: EntryKept, goOn: boolean): void; // it is on record
  refresh(): Promise<{ seen: number; theirs: DispositionRow[] }>; // what others have put on record about it by now
  close: (() => void) | null;
}

const lastOf = new Map<string, Typed>(); // by record and cause

// entryForm is the form of a disposition; with corrects it takes the place of an entry, which stays on record.
export function entryForm(f: EntryForm): HTMLElement {
  const subject = "finding" in f.about ? `Finding ${f.about.finding}` : "event" in f.about ? `Event ${f.about.event}` : `Events ${f.about.events.join(", ")}`;
  const draftName = `inspect.${f.record}.${"finding" in f.about ? f.about.finding : subject.toLowerCase()}.${f.corrects?.entry ?? "new"}`;
  const like = `${f.record}/${f.cause}`;
  const kept = readDraft<Typed>(draftName);
  const before = f.cause === "" || f.corrects ? undefined : lastOf.get(like);
  const first: Typed = kept ?? before ?? { method: f.corrects?.method ?? "", result: f.corrects?.result ?? "", decision: f.corrects?.decision ?? "", remark: f.corrects?.remark ?? "" };
  let seen = f.seen;

  const typed = (): Typed => ({ method: method.value(), result: result.value(), decision: decision.value(), remark: remark.input.value });
  const keep = () => keepDraft(draftName, typed());
  const method = choices("Inspected by", methods, first.method, keep);
  const result = choices("It showed", results, first.result, keep);
  const decision = choices("Decision", decisions, first.decision, keep);
  const by = line("Name", person.get(), () => undefined, { needed: true, most: 100, help: "Who puts this on record." });
  const remark = line("Remark", first.remark, keep, { area: true, most: 4000, help: "What you saw; and why, where you decide against what it showed." });
  const photos = photoTray(draftName);
  const answer = h("div");
  const count = "events" in f.about ? sureOf(f.about.events.length, f.findings) : null;
  const button = h("button", { type: "submit", class: f.goOn ? "big" : "go big", value: "stay", "data-needs": "inspect" }, "Put on record");
  const further = f.goOn ? h("button", { type: "submit", class: "go big", value: "on", "data-needs": "inspect" }, f.goOn) : null;
  const places: Record<string, { wrong(words: string | null): void }> = { method, result, decision, by, remark };

  const send = async (goOn: boolean) => {
    Object.values(places).forEach((place) => place.wrong(null));
    if (count && !count.said()) {
      return;
    }
    const buttons = [button, further].filter((one) => one !== null);
    buttons.forEach((one) => { one.disabled = true; });
    person.set(by.input.value.trim());
    try {
      const request: EntryRequest = { by: by.input.value.trim(), seen, ...f.about, ...typed() };
      if (count) {
        request.count = f.findings;
      }
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
      lastOf.set(like, { ...typed(), remark: "" }); // what was seen at one place was not seen at another
      const put = entry.entries === 1 ? `Entry ${entry.number} is` : `Entries ${entry.number} to ${entry.number + entry.entries - 1} are`;
      say(`${put} on record. ${entry.open === 0 ? "No finding is open." : `${entry.open === 1 ? "1 finding is" : `${entry.open} findings are`} open.`}`);
      f.done(entry, goOn);
    } catch (thrown) {
      const trouble = troubleOf(thrown);
      trouble.fields.forEach((wrong) => places[wrong.field]?.wrong(wrong.error));
      fill(answer, troubleBox(trouble));
      if (trouble.status === 409) {
        await meanwhile();
      }
      answer.scrollIntoView({ block: "center" });
    } finally {
      buttons.forEach((one) => { one.disabled = false; });
    }
  };

  // meanwhile shows what somebody else decided; whoever sends again has seen it.
  const meanwhile = async () => {
    const now = await f.refresh().catch(() => null); // unanswered, or left: the refusal stands there, and sent again it is asked again
    if (now === null) {
      return;
    }
    const theirs = now.theirs.filter((entry) => entry.entry > seen);
    if (theirs.length > 0) {
      seen = now.seen;
      fill(answer, h("div", { class: "box box-trouble", role: "alert" }, icon("outside"), h("div", {},
        h("p", {}, h("strong", {}, "Somebody else decided about this finding meanwhile. Yours is not on record yet.")),
        theirs.map((entry) => h("p", {}, `Entry ${entry.entry} by ${who(entry)}: ${entry.method}, ${entry.result}, ${entry.decision}.${entry.remark ? ` ${entry.remark}` : ""}`)),
        h("p", {}, "Put yours on record as well, or leave theirs to stand. Both would stay on record; the later one holds."))));
      button.textContent = "Put mine on record as well";
    }
  };

  return h("form", { novalidate: true, class: "entry-form", "aria-label": `${subject}: what was found and decided`, onsubmit: (event: SubmitEvent) => {
    event.preventDefault();
    void send((event.submitter as HTMLButtonElement | null)?.value === "on");
  } },
  "finding" in f.about || f.findings === 1 ? null : noteBox(h("p", {}, `This is about all ${f.findings} findings of ${subject.toLowerCase()}, in one act: an entry about each.`)),
  f.corrects ? noteBox(h("p", {}, `This takes the place of entry ${f.corrects.entry} by ${who(f.corrects)}. Both stay on record.`)) : null,
  kept ? h("p", { class: "muted" }, "Filled in with what was typed here before and not sent.")
    : before ? h("p", { class: "muted" }, "Filled in as you decided on the last event of this cause. Look, before you put it on record.") : null,
  before && !kept && further ? h("p", { class: "buttons" }, h("button", { type: "submit", class: "go big as-before", value: "on", "data-needs": "inspect" }, `${before.method} · ${before.result} · ${before.decision}: put on record, next open event`)) : null,
  method.element, result.element, decision.element,
  h("div", { class: "entry-line" }, by.element, remark.element), photos.element, count?.element, answer,
  h("div", { class: "buttons" }, further, button, f.close ? h("button", { type: "button", onclick: f.close }, "Not now") : null),
  h("p", { class: "muted" }, "What is on record is never changed; who was wrong puts another entry there."));
}

// sureOf has a person say how many are decided on at once.
function sureOf(events: number, findings: number): { element: HTMLElement; said(): boolean } {
  const id = uid("sure");
  const tick = h("input", { type: "checkbox", id });
  const wrong = h("div", { class: "wrong", role: "alert", hidden: true }, "Say that it is about all of them.");
  return {
    element: h("div", { class: "field" }, h("label", { class: "tick", for: id }, tick, h("span", {}, `I decide on ${events} events with ${findings} findings at once`)), wrong),
    said: () => {
      wrong.hidden = tick.checked;
      if (!tick.checked) {
        tick.focus();
      }
      return tick.checked;
    },
  };
}
