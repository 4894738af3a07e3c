// One event: what it is, where to put rule and protractor, the form of a decision on it, its findings, and the way to the next one.
import { api, aborted, newest, troubleOf, type EntryKept, type EventAlone, type FindingRow } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { onEvent } from "../base/events";
import { spaced } from "../base/keys";
import { again, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { onPrefs } from "../base/prefs";
import { icon, stateMark, stateSign } from "../base/state";
import { when } from "../base/time";
import { entryForm } from "./entryform";
import { asking, askedIn, eventLink, listLink, findingsPerPage, type Asked } from "./eventlink";
import { findingsWords, waveLink, whereWords } from "./eventrow";
import { onKey } from "./keys";
import { parted, passLink } from "./passlink";
import { photographs } from "./photo";
import { placeDrawing } from "./place";
import { entriesOf, who, type DispositionRow } from "./rows";

export function eventPage(record: string, part: string | undefined): Page {
  const [number, query] = parted(part);
  const one = new One(record, Number(number), askedIn(query));
  return {
    title: `Event ${number}`,
    trail: [{ text: "Home", href: "#/" }, { text: record, href: link("record", record) }, { text: "Inspect", href: listLink(record, askedIn(query)) }],
    render: (root, signal) => one.open(root, signal),
    leave: () => one.leave(),
  };
}

class One {
  private now!: EventAlone;
  private wanted!: () => AbortSignal;
  private readonly offs: (() => void)[] = [];
  private readonly ways = h("nav", { class: "event-ways", "aria-label": "Open events" });
  private readonly head = h("section", { class: "plate event-head", "aria-label": "The event" });
  private readonly decision = h("section", { class: "plate", "aria-label": "Decision" });
  private readonly list = h("ul", { class: "strips event-findings", "aria-label": "Findings" });
  private readonly pager = h("p", { class: "buttons pager" });
  private from = 0;

  constructor(private readonly record: string, private readonly number: number, private readonly asked: Asked) {}

  async open(root: HTMLElement, signal: AbortSignal): Promise<void> {
    this.wanted = newest(signal);
    const wait = waitBox("Judging the record …");
    fill(root, wait);
    try {
      await this.ask((share) => { wait.lastChild!.textContent = `Judging the record: ${Math.round(100 * share)} %`; });
      fill(root, this.ways, this.head, this.decision, this.list, this.pager);
      this.draw();
      if (this.now.event.open_findings > 0) {
        this.decide();
      }
      this.offs.push(onPrefs(() => void this.again()), onEvent("restart", () => void this.again()),
        onKey("n", () => this.to(this.now.next)), onKey("p", () => this.to(this.now.previous)));
    } catch (thrown) {
      if (!aborted(thrown)) {
        fill(root, troubleBox(troubleOf(thrown)), again(() => this.open(root, signal)), h("p", {}, h("a", { class: "button", href: listLink(this.record, this.asked) }, "To the list")));
      }
    }
  }

  leave(): void {
    this.offs.forEach((off) => off());
  }

  private async ask(progress: (share: number) => void): Promise<void> {
    this.now = await api.event(this.record, this.number, { ...asking(this.asked), from: String(this.from) }, progress, this.wanted());
  }

  private async again(): Promise<void> {
    try {
      await this.ask(() => undefined);
      this.draw();
    } catch (thrown) {
      if (!aborted(thrown)) {
        fill(this.ways, troubleBox(troubleOf(thrown)));
      }
    }
  }

  private to(event: number | null): void {
    if (event !== null) {
      location.hash = eventLink(this.record, event, this.asked);
    }
  }

  private draw(): void {
    const { event, next, previous, undecided, open, length_mm } = this.now;
    const sign = stateSign(event.state);
    const way = (to: number | null, words: string, key: string) => to === null ? null
      : h("a", { class: "button", href: eventLink(this.record, to, this.asked), "aria-keyshortcuts": key }, words);
    fill(this.ways, way(previous, "Previous open", "P"), way(next, "Next open", "N"), h("a", { class: "button", href: listLink(this.record, this.asked) }, "List"),
      h("span", { role: "status" }, open === 0 ? stateMark("accepted", "no event is open")
        : `${undecided} to decide on${open === undecided ? "" : `, ${open} open in all`}`));
    fill(this.head,
      h("div", { class: "event-what" },
        h("h2", {}, h("span", { class: `sign-${sign}` }, icon(sign)), ` ${event.cause}`),
        h("p", { class: "where" }, h("strong", {}, whereWords(event))),
        h("p", {}, `${event.worst}. `, stateMark(sign, event.state), ` · ${findingsWords(event)}`, event.start === null ? null : [" · ", when(event.start)]),
        this.now.sentence.length < 400 ? h("p", { class: "entry-text" }, this.now.sentence)
          : h("details", {}, h("summary", {}, "What showed"), h("p", { class: "entry-text" }, this.now.sentence)),
        h("p", { class: "buttons" }, h("a", { class: "button", href: waveLink(this.record, event) }, "Waveform"), h("a", { class: "button", href: passLink(this.record, event.lead_pass) }, `Pass ${event.lead_pass}`))),
      placeDrawing(event.angle_deg, event.depth_mm, length_mm, sign));
    if (!this.decision.querySelector("form")) {
      this.offer();
    }
    const kept = new Map([...this.list.children].filter((card) => card.querySelector("form")).map((card) => [(card as HTMLElement).dataset["finding"], card]));
    fill(this.list, this.now.findings.map((finding) => kept.get(String(finding.number)) ?? this.card(finding))); // a form that is being filled in stays
    this.turnPages();
  }

  private offer(): void {
    const { event } = this.now;
    fill(this.decision, h("p", { class: "buttons" }, h("button", { type: "button", class: event.open_findings > 0 ? "go big decide-event" : "big decide-event", "data-needs": "inspect", onclick: () => {
      this.decide();
      this.decision.querySelector<HTMLElement>("input")?.focus();
    } }, event.findings === 1 ? `Decide on event ${event.number}` : `Decide on all ${event.findings} findings of event ${event.number}`)));
  }

  // decide opens the form about the whole event.
  private decide(): void {
    const { event } = this.now;
    fill(this.decision, h("h2", {}, event.findings === 1 ? `Decide on event ${event.number}` : `Decide on all ${event.findings} findings of event ${event.number}`), entryForm({
      record: this.record, about: { event: event.number }, findings: event.findings, cause: event.cause, seen: this.now.newest, corrects: null,
      goOn: this.now.next === null ? null : "Put on record, next open event",
      close: () => this.offer(),
      done: (_kept: EntryKept, goOn: boolean) => {
        if (goOn) {
          this.to(this.now.next);
          return;
        }
        fill(this.decision);
        void this.again().then(() => this.decision.querySelector<HTMLElement>("button")?.focus());
      },
      refresh: () => this.theirs(() => true),
    }));
  }

  private async theirs(about: (finding: FindingRow) => boolean): Promise<{ seen: number; theirs: DispositionRow[] }> {
    await this.ask(() => undefined);
    return { seen: this.now.newest, theirs: this.now.findings.filter(about).flatMap((finding) => entriesOf(finding).all) };
  }

  private turnPages(): void {
    const { from, findings, event } = this.now;
    const turn = (to: number, words: string) => h("button", { type: "button", onclick: () => {
      this.from = to;
      void this.again().then(() => this.list.scrollIntoView());
    } }, words);
    const size = findings.length;
    fill(this.pager, from === 0 && size === event.findings ? null : [h("span", {}, `Findings ${from + 1} to ${from + size} of ${event.findings}`),
      from > 0 ? turn(Math.max(0, from - findingsPerPage), "Those before") : null, from + size < event.findings ? turn(from + size, "Further ones") : null]);
  }

  private card(finding: FindingRow): HTMLElement {
    const sign = stateSign(finding.state);
    const { current, all } = entriesOf(finding);
    const space = h("div", { class: "form-space" });
    const close = () => {
      fill(space);
      buttons.hidden = false;
      buttons.querySelector<HTMLElement>("button")?.focus();
    };
    const openForm = (corrects: DispositionRow | null) => {
      buttons.hidden = true;
      fill(space, entryForm({
        record: this.record, about: { finding: finding.number }, findings: 1, cause: "", seen: this.now.newest, corrects, goOn: null, close,
        done: () => {
          fill(space);
          void this.again().then(() => this.list.querySelector<HTMLElement>(`[data-finding="${finding.number}"] .decide`)?.focus());
        },
        refresh: () => this.theirs((one) => one.number === finding.number),
      }));
      space.querySelector<HTMLElement>("input")?.focus();
    };
    const buttons = h("p", { class: "acts" }, h("button", { type: "button", class: "decide", "data-needs": "inspect", onclick: () => openForm(null) },
      all.length === 0 ? "Inspect and decide" : "Another entry", h("span", { class: "unseen" }, ` for finding ${finding.number}`)));
    return h("li", { class: "strip finding", "data-finding": finding.number, "aria-label": `Finding ${finding.number}` },
      h("span", { class: `eye sign-${sign}` }, icon(sign)),
      h("div", {},
        h("h3", { class: "name" }, `${finding.number}. ${spaced(finding.rule)}`),
        h("div", { class: "facts" }, stateMark(sign, finding.state), h("span", {}, `pass ${finding.pass}`), finding.layer ? h("span", {}, `layer ${finding.layer}`) : null, finding.start ? h("span", {}, when(finding.start)) : null)),
      buttons,
      h("div", { class: "below" }, h("p", {}, finding.sentence),
        current?.worse_now ? h("p", {}, stateMark("outside", "It lies further beyond its limit now than when it was accepted.")) : null,
        history(this.record, all, current, openForm), space));
  }
}

// history shows every entry; one that another took the place of is struck through.
export function history(record: string, all: DispositionRow[], current: DispositionRow | null, correct: ((entry: DispositionRow) => void) | null): Child {
  return all.length === 0 ? null : h("ol", { class: "history", "aria-label": "On record" }, all.map((entry) => h("li", { class: entry.corrected_by ? "superseded" : "" },
    h("p", { class: "entry-text" }, h("strong", {}, `${entry.decision}`), ` · ${entry.method} · ${entry.result}`, entry.remark ? ` · “${entry.remark}”` : ""),
    h("p", { class: "muted" }, `Entry ${entry.entry} by ${who(entry)}, `, when(entry.at), entry.corrected_by ? `; entry ${entry.corrected_by} took its place` : entry === current ? "; this one holds" : ""),
    photographs(record, entry.photographs),
    entry.corrected_by || !correct ? null : h("button", { type: "button", "data-needs": "inspect", onclick: () => correct(entry) }, `Correct entry ${entry.entry}`))));
}
