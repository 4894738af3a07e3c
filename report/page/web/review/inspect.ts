// Inspection: the events that are chosen, what is open first; several of one cause decided on at once; then the bore after machining.
import { api, aborted, newest, troubleOf, type EventLine, type EventPage, type FindingRow } from "../base/api";
import { append, fill, h, uid, type Child } from "../base/dom";
import { onEvent } from "../base/events";
import { spaced } from "../base/keys";
import { again, noteBox, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { onPrefs } from "../base/prefs";
import { icon, stateMark, stateSign } from "../base/state";
import { bannerBox, verified } from "./banner";
import { entryForm } from "./entryform";
import { history } from "./event";
import { asking, askedIn, eventLink, listLink, perPage, type Asked } from "./eventlink";
import { eventRow } from "./eventrow";
import { onKey } from "./keys";
import { machiningSection } from "./machining";
import { parted } from "./passlink";
import { entriesOf } from "./rows";

export function inspectPage(record: string, part: string | undefined): Page {
  const list = new List(record, askedIn(parted(part)[1]));
  return {
    title: `Inspect ${record}`,
    trail: [{ text: "Home", href: "#/" }, { text: record, href: link("record", record) }],
    quiet: true,
    render: (root, signal) => list.open(root, signal),
    leave: () => list.leave(),
  };
}

// List is the events of one record.
class List {
  private now!: EventPage;
  private recording = false;
  private wanted!: () => AbortSignal;
  private readonly offs: (() => void)[] = [];
  private readonly picked = new Map<number, EventLine>();
  private readonly head = h("div");
  private readonly filters = h("div", { class: "filters", role: "group", "aria-label": "Which events" });
  private readonly strips = h("div", { class: "event-list" });
  private readonly batch = h("section", { class: "batch", "aria-label": "Several at once" });
  private readonly pager = h("nav", { class: "buttons pager", "aria-label": "Pages" });
  private readonly lost = h("div");
  private readonly machining = h("div");

  constructor(private readonly record: string, private asked: Asked) {}

  async open(root: HTMLElement, signal: AbortSignal): Promise<void> {
    this.wanted = newest(signal);
    const wait = waitBox("Judging the record …");
    fill(root, wait);
    try {
      await this.ask((share) => { wait.lastChild!.textContent = `Judging the record: ${Math.round(100 * share)} %`; });
      fill(root, this.head, this.filters, this.strips, this.batch, this.pager, this.lost, this.machining);
      this.draw();
      this.offs.push(onPrefs(() => void this.again()), onEvent("restart", () => void this.again()), onKey("n", () => this.next()));
      if (!this.recording) {
        await verified(this.record, root, this.now.banner, signal);
      }
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
    const answer = await api.events(this.record, asking(this.asked), progress, this.wanted());
    this.now = answer.list;
    for (const number of this.picked.keys()) {
      if (!this.now.events.some((event) => event.number === number)) {
        this.picked.delete(number); // what does not show is not decided on
      }
    }
    this.recording = answer.recording;
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

  // choose asks for other events, and keeps in the address which.
  private choose(change: Asked): void {
    const next = { ...this.asked, from: "", ...change };
    this.asked = Object.fromEntries(Object.entries(next).filter(([, value]) => value !== "")) as Asked;
    window.history.pushState(null, "", listLink(this.record, this.asked));
    void this.again();
  }

  private next(): void {
    if (this.now.next !== null) {
      location.hash = eventLink(this.record, this.now.next, this.asked);
    }
  }

  private draw(): void {
    const now = this.now;
    fill(this.head, bannerBox(now.banner,
      h("p", { class: "verdict-about" }, `${now.job}. The program flags; only a person accepts. The acceptance criteria of the job rule.`,
        this.recording ? " It is still being recorded; these are the events so far." : ""),
      now.next === null ? null : h("a", { class: "button go", href: eventLink(this.record, now.next, this.asked), "aria-keyshortcuts": "N" }, "Next open event")));
    this.drawFilters();
    this.drawEvents();
    this.drawBatch();
    this.turnPages();
    this.drawLost();
    if (!this.machining.querySelector("form")) {
      fill(this.machining, machiningSection(this.record, now.machining, () => this.again(), () => this.now.machining));
    }
  }

  private drawFilters(): void {
    const { choices, chosen, all, open } = this.now;
    if (all === 0) {
      fill(this.filters, h("p", { role: "status" }, stateMark("unjudged", "no finding is on record")));
      return;
    }
    const focused = this.filters.contains(document.activeElement) ? document.activeElement?.getAttribute("data-facet") : null;
    const counted = (value: string) => choices.state.find((one) => one.value === value)?.count ?? 0;
    const chip = (value: string, words: string) => h("button", { type: "button", "data-facet": `state ${value}`, "aria-pressed": String((this.asked.state ?? "") === value), onclick: () => this.choose({ state: value }) }, words);
    fill(this.filters,
      h("div", { class: "segments" }, chip("", `All ${counted("open") + counted("decided")}`), chip("open", `Open ${counted("open")}`), chip("decided", `Decided ${counted("decided")}`)),
      this.facet("cause", "Cause", choices.cause, (value) => value), this.facet("rule", "Rule", choices.rule, spaced),
      this.facet("pass", "Pass", choices.pass, (value) => value), this.facet("layer", "Layer", choices.layer, (value) => value),
      this.select("group", "Together by", [["", "no group"], ["pass", "pass"], ["cause", "cause"], ["layer", "layer"]]),
      h("p", { role: "status" }, open === 0 ? stateMark("accepted", "no event is open") : stateMark("open", `${open} of ${all} events open`), chosen === all ? "" : ` · ${chosen} chosen`),
      h("button", { type: "button", class: "flat", onclick: () => this.machining.querySelector("h2")?.focus() }, "To the bore after machining"));
    if (focused) {
      this.filters.querySelector<HTMLElement>(`[data-facet="${focused}"]`)?.focus();
    }
  }

  private facet(key: "cause" | "rule" | "pass" | "layer", label: string, options: { value: string; count: number }[], words: (value: string) => string): Child {
    return options.length === 0 ? null : this.select(key, label, [["", "all"], ...options.map((one): [string, string] => [one.value, `${words(one.value)} (${one.count})`])]);
  }

  private select(key: keyof Asked, label: string, options: [string, string][]): HTMLElement {
    const id = uid("facet");
    const select: HTMLSelectElement = h("select", { id, "data-facet": key, onchange: () => this.choose({ [key]: select.value }) }, options.map(([value, words]) => h("option", { value }, words)));
    select.value = this.asked[key] ?? "";
    return h("div", { class: "filter" }, h("label", { for: id }, label), select);
  }

  private drawEvents(): void {
    fill(this.strips);
    let group: string | null = null;
    let rows: HTMLElement = this.strips;
    for (const event of this.now.events) {
      if (event.group !== group) {
        group = event.group;
        rows = h("ul", { class: "strips" });
        append(this.strips, [group === "" ? null : h("h2", {}, group), rows]);
      }
      rows.append(eventRow(this.record, event, this.asked, this.pick(event)));
    }
  }

  // pick is the box by which an event is picked to be decided on together with others of its cause.
  private pick(event: EventLine): HTMLElement {
    const tick = h("input", { type: "checkbox", "aria-label": `Pick event ${event.number}`, checked: this.picked.has(event.number), onchange: () => {
      if (tick.checked) {
        this.picked.set(event.number, event);
      } else {
        this.picked.delete(event.number);
      }
      this.drawBatch();
    } });
    return h("label", { class: "pick", "data-cause": event.cause }, tick);
  }

  private drawBatch(): void {
    const events = [...this.picked.values()];
    const cause = events[0]?.cause;
    for (const label of this.strips.querySelectorAll<HTMLElement>(".pick")) {
      label.querySelector("input")!.disabled = cause !== undefined && label.dataset["cause"] !== cause;
    }
    if (events.length === 0) {
      fill(this.batch);
      return;
    }
    const findings = events.reduce((sum, event) => sum + event.findings, 0);
    const same = this.now.events.filter((event) => event.cause === cause);
    const clear = () => {
      this.picked.clear();
      this.drawEvents();
      this.drawBatch();
    };
    fill(this.batch, h("p", { class: "buttons" }, h("strong", { role: "status" }, `${events.length} picked: ${cause}`),
      same.length > events.length ? h("button", { type: "button", onclick: () => {
        same.forEach((event) => this.picked.set(event.number, event));
        this.drawEvents();
        this.drawBatch();
      } }, `Pick all ${same.length} of this cause here`) : null,
      h("button", { type: "button", class: "go", "data-needs": "inspect", onclick: () => this.decide(events, findings, clear) }, `Decide on ${events.length} events (${findings} findings)`),
      h("button", { type: "button", onclick: clear }, "Pick none")));
  }

  private decide(events: EventLine[], findings: number, clear: () => void): void {
    fill(this.batch, h("div", { class: "plate" }, h("h2", { tabindex: "-1" }, `${events.length} events, ${findings} findings: ${events[0]!.cause}`), entryForm({
      record: this.record, about: { events: events.map((event) => event.number) }, findings, cause: events[0]!.cause, seen: this.now.newest, corrects: null, goOn: null, close: clear,
      done: () => {
        clear();
        void this.again().then(() => this.filters.querySelector<HTMLElement>("button")?.focus());
      },
      refresh: async () => {
        await this.again();
        return { seen: 0, theirs: [] };
      },
    })));
    this.batch.querySelector("h2")?.focus();
  }

  private turnPages(): void {
    const { from, events, chosen } = this.now;
    const way = (to: number, words: string) => h("button", { type: "button", onclick: () => {
      this.choose({ from: to === 0 ? "" : String(to) });
      this.filters.scrollIntoView();
    } }, words);
    fill(this.pager, chosen === 0 ? (this.now.all === 0 ? null : "No event is chosen: take a filter back.") : events.length === chosen ? null : [
      h("span", {}, `Events ${from + 1} to ${from + events.length} of ${chosen}`),
      from > 0 ? way(Math.max(0, from - perPage), "Page before") : null, from + events.length < chosen ? way(from + events.length, "Next page") : null]);
  }

  // drawLost shows what was decided in another judgement about findings that this one does not have.
  private drawLost(): void {
    const { orphans, more_orphans } = this.now;
    fill(this.lost, orphans.length === 0 ? null : h("details", { class: "plate" }, h("summary", {}, icon("note"), `${orphans.length + more_orphans} findings of another judgement`),
      noteBox(h("p", {}, "Somebody decided on these, and this judgement does not have them: the program or the job file is another one. At the terminal, arctally inspect with of-entry= puts another entry about one on record.")),
      h("ul", { class: "strips" }, orphans.map((one) => this.orphan(one))), more_orphans > 0 ? h("p", {}, `${more_orphans} more are in the weld record.`) : null));
  }

  private orphan(finding: FindingRow): HTMLElement {
    const sign = stateSign(finding.state);
    const { current, all } = entriesOf(finding);
    return h("li", { class: "strip finding" }, h("span", { class: `eye sign-${sign}` }, icon(sign)),
      h("div", {}, h("p", { class: "name" }, spaced(finding.rule)), h("p", { class: "facts" }, stateMark(sign, finding.state || "corrected"), ` pass ${finding.pass}`)),
      h("div", { class: "below" }, h("p", {}, finding.sentence), history(this.record, all, current, null)));
  }
}
