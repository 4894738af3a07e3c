// Inspection: every finding with its place, its history, and the form of a decision; then the bore after machining.
import { api, aborted, troubleOf, type FindingRow, type Reviewed } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { onEvent } from "../base/events";
import { again, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { onPrefs } from "../base/prefs";
import { icon, stateMark, stateSign } from "../base/state";
import { when } from "../base/time";
import { placeWords } from "../base/units";
import { entryForm } from "./entryform";
import { machiningSection } from "./machining";
import { photographs } from "./photo";
import { placeDrawing } from "./place";
import { depthOf, entriesOf, isOpen, machiningOf, type DispositionRow } from "./rows";

export function inspectPage(record: string): Page {
  const list = new List(record);
  return {
    title: `Inspect ${record}`,
    trail: [{ text: "Home", href: "#/" }, { text: record, href: link("record", record) }],
    render: (root, signal) => list.open(root, signal),
    leave: () => list.leave(),
  };
}

// List is the inspection list of one record.
class List {
  private reviewed!: Reviewed;
  private signal!: AbortSignal;
  private readonly offs: (() => void)[] = [];
  private readonly head = h("div");
  private readonly strips = h("ul", { class: "strips" });
  private readonly machining = h("div");

  constructor(private readonly record: string) {}

  async open(root: HTMLElement, signal: AbortSignal): Promise<void> {
    this.signal = signal;
    const wait = waitBox("Judging the record …");
    fill(root, wait);
    try {
      await this.ask((share) => { wait.lastChild!.textContent = `Judging the record: ${Math.round(100 * share)} %`; });
      fill(root, this.head, this.strips, this.machining);
      this.draw();
      this.offs.push(onPrefs(() => this.draw()), onEvent("restart", () => void this.again()));
    } catch (thrown) {
      if (!aborted(thrown)) {
        fill(root, troubleBox(troubleOf(thrown)), again(() => this.open(root, signal)));
      }
    }
  }

  leave(): void {
    this.offs.forEach((off) => off());
  }

  private async ask(progress: (share: number) => void): Promise<void> {
    this.reviewed = await api.review(this.record, progress, this.signal);
  }

  private async again(): Promise<void> {
    try {
      await this.ask(() => undefined);
      this.draw();
    } catch (thrown) {
      if (!aborted(thrown)) {
        fill(this.head, troubleBox(troubleOf(thrown)));
      }
    }
  }

  private findings(): FindingRow[] {
    const { findings, orphans } = this.reviewed.review.findings as { findings: FindingRow[]; orphans?: FindingRow[] };
    const order = (finding: FindingRow) => (isOpen(finding) ? 0 : 1);
    return [...findings, ...(orphans ?? [])].sort((a, b) => order(a) - order(b) || a.number - b.number);
  }

  private draw(): void {
    const findings = this.findings();
    const open = findings.filter(isOpen).length;
    fill(this.head,
      h("p", { role: "status" }, findings.length === 0 ? stateMark("unjudged", "no finding is on record")
        : open === 0 ? stateMark("accepted", "no finding is open") : stateMark("open", open === 1 ? "1 finding is open" : `${open} findings are open`)),
      this.reviewed.recording ? h("p", { class: "box" }, icon("recording"), h("span", {}, "It is still being recorded; these are the findings so far.")) : null,
      h("p", { class: "muted" }, "The program flags; only a person accepts. The acceptance criteria of the job rule."),
      h("p", {}, h("button", { type: "button", class: "flat", onclick: () => this.machining.querySelector("h2")?.focus() }, "To the bore after machining")));
    for (const card of [...this.strips.children]) {
      if (!card.querySelector("form")) {
        card.remove(); // a form that is being filled in stays
      }
    }
    const kept = new Map([...this.strips.children].map((card) => [(card as HTMLElement).dataset["finding"], card]));
    fill(this.strips, findings.map((finding) => kept.get(keyOf(finding)) ?? this.card(finding)));
    if (!this.machining.querySelector("form")) {
      fill(this.machining, machiningSection(this.record, machiningOf(this.reviewed), () => this.again(), () => machiningOf(this.reviewed)));
    }
  }

  private card(finding: FindingRow): HTMLElement {
    const sign = stateSign(finding.state);
    const { current, all } = entriesOf(finding);
    const space = h("div", { class: "form-space" });
    const card: HTMLElement = h("li", { class: "strip finding", "data-finding": keyOf(finding), "aria-label": `Finding ${finding.number}` });
    const event = this.reviewed.review.findings.events.find((one) => one.number === finding.event);
    const ofEvent = () => this.findings().filter((one) => event !== undefined && one.event === event.number);
    let opened = "";
    const close = () => {
      fill(space);
      buttons.hidden = false;
      buttons.querySelector<HTMLElement>(opened)?.focus();
    };
    const openForm = (corrects: DispositionRow | null, asOne = false) => {
      opened = asOne ? ".decide-event" : ".decide";
      buttons.hidden = true;
      fill(space, entryForm({
        record: this.record, finding, event: asOne && event ? { number: event.number, findings: ofEvent() } : null, corrects, close,
        done: () => {
          fill(space);
          void this.again().then(() => this.strips.querySelector<HTMLElement>(`[data-finding="${keyOf(finding)}"] .decide`)?.focus());
        },
        refresh: async () => {
          await this.ask(() => undefined);
          return asOne ? ofEvent() : this.findings().filter((one) => keyOf(one) === keyOf(finding));
        },
      }));
      space.querySelector<HTMLElement>("input")?.focus();
    };
    const decide: HTMLButtonElement = h("button", { type: "button", class: isOpen(finding) ? "go big decide" : "big decide", onclick: () => openForm(null) },
      all.length === 0 ? "Inspect and decide" : "Another entry", h("span", { class: "unseen" }, ` for finding ${finding.number}`));
    const decideEvent = event && event.findings.length > 1 && finding.number === event.lead ? h("button", { type: "button", class: "big decide-event", onclick: () => openForm(null, true) },
      `Decide on all ${event.findings.length} findings of event ${event.number}`) : null;
    const buttons = h("p", { class: "buttons" }, decide, decideEvent);
    fill(card,
      h("span", { class: `eye sign-${sign}` }, icon(sign)),
      h("div", {},
        h("h2", { class: "name" }, `${finding.number}. ${finding.rule.replaceAll("_", " ")}`),
        h("div", { class: "facts" }, stateMark(sign, finding.state), h("span", {}, `pass ${finding.pass}`), finding.layer ? h("span", {}, `layer ${finding.layer}`) : null,
          h("span", {}, when(finding.start)), h("a", { href: link("record", this.record, "pass", finding.pass) }, "the pass"))),
      h("span"),
      h("div", { class: "below" },
        h("div", { class: "two" },
          h("div", {}, h("p", { class: "where" }, h("strong", {}, placeWords(finding.angle_deg, finding.depth_mm))), h("p", {}, finding.sentence),
            current?.worse_now ? h("p", {}, stateMark("outside", "It lies further beyond its limit now than when it was accepted.")) : null,
            event && event.findings.length > 1 ? h("p", {}, `Event ${event.number}: ${event.cause}.`) : null,
            history(this.record, all, current, openForm), buttons),
          placeDrawing(finding.angle_deg ?? null, finding.depth_mm ?? null, depthOf(this.reviewed), sign)),
        space));
    return card;
  }
}

function keyOf(finding: FindingRow): string {
  return `${finding.rule}.${finding.epoch}.${finding.tick_ns}`;
}

// history shows every entry; one that another took the place of is struck through.
function history(record: string, all: DispositionRow[], current: DispositionRow | null, correct: (entry: DispositionRow) => void): Child {
  return all.length === 0 ? null : h("ol", { class: "history", "aria-label": "On record" }, all.map((entry) => h("li", { class: entry.corrected_by ? "superseded" : "" },
    h("p", { class: "entry-text" }, h("strong", {}, `${entry.decision}`), ` · ${entry.method} · ${entry.result}`, entry.remark ? ` · “${entry.remark}”` : ""),
    h("p", { class: "muted" }, `Entry ${entry.entry} by ${entry.by}, `, when(entry.at), entry.corrected_by ? `; entry ${entry.corrected_by} took its place` : entry === current ? "; this one holds" : ""),
    photographs(record, entry.photographs),
    entry.corrected_by ? null : h("button", { type: "button", onclick: () => correct(entry) }, `Correct entry ${entry.entry}`))));
}
