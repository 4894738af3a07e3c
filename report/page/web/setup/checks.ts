// The start of a job's recording, and its set-up checks below it, one card a kind.
import { api, aborted, troubleOf, type House } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { onEvent } from "../base/events";
import { again, cautions, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { icon, stateMark } from "../base/state";
import { when, whenDay } from "../base/time";
import { checkForm } from "./checkform";
import type { Point } from "./before";
import { newest, overdue, stateOf, titles, type CheckKind, type CheckList } from "./checkstate";
import { offersSection, whose } from "./offers";
import { startSection } from "./start";

// checksPage is about a record that is named, or the one that is proposed.
export function checksPage(job: string, record?: string): Page {
  const bench = new Bench(job, record);
  return {
    title: `Checks and start: ${job}`,
    trail: [{ text: "Home", href: "#/" }, { text: job, href: link("job", job) }],
    render: (root, signal) => bench.open(root, signal),
    leave: () => bench.leave(),
  };
}

// Bench is the page of one job: the record that the checks go into, its checks, the start.
class Bench {
  private record = "";
  private port = "";
  private house!: House;
  private kinds!: CheckKind[];
  private signal!: AbortSignal;
  private off: () => void = () => undefined;
  private readonly cards = h("ul", { class: "strips" });
  private readonly start = h("div");
  private readonly chooser = h("div", { class: "field" });

  constructor(private readonly job: string, private readonly wanted: string | undefined) {}

  async open(root: HTMLElement, signal: AbortSignal): Promise<void> {
    this.signal = signal;
    fill(root, waitBox("Reading the checks …"));
    try {
      [this.house, this.kinds] = await Promise.all([api.house(signal), api.checkKinds(signal)]);
      this.record = this.proposed();
      fill(root, this.start, h("section", { "aria-labelledby": "checks-head" }, h("h2", { id: "checks-head" }, "Set-up checks"), cautions(), this.cards),
        offersSection(() => ({ job: this.job, record: this.record }), () => void this.refresh()));
      this.choose();
      this.off();
      this.off = onEvent("house", (house) => {
        this.house = house;
        void this.refresh();
      });
      await this.refresh();
    } catch (thrown) {
      if (!aborted(thrown)) {
        fill(root, troubleBox(troubleOf(thrown)), again(() => this.open(root, signal)));
      }
    }
  }

  leave(): void {
    this.off();
  }

  // proposed is the record that has checks and no arc yet; else a new one.
  private proposed(): string {
    if (this.own().some((row) => row.record === this.wanted)) {
      return this.wanted!;
    }
    const waiting = this.own().filter((row) => row.state === "checks only").sort((a, b) => (b.created ?? "").localeCompare(a.created ?? ""));
    return waiting[0]?.record ?? this.fresh();
  }

  private own() {
    return this.house.records.filter((row) => row.job_file === this.job);
  }

  private fresh(): string {
    const taken = new Set(this.house.records.map((row) => row.record));
    for (let k = 1; ; k++) {
      const name = k === 1 ? this.job : `${this.job}-${k}`;
      if (!taken.has(name)) {
        return name;
      }
    }
  }

  // choose offers the records of this job, and a new one.
  private choose(): void {
    const fresh = this.fresh();
    const select: HTMLSelectElement = h("select", { id: "record-choice", class: "text", onchange: () => {
      this.record = select.value;
      void this.refresh();
    } },
    h("option", { value: fresh }, `a new record: ${fresh}`),
    this.own().filter((row) => row.state !== "unreadable").map((row) => h("option", { value: row.record }, `${row.record}: ${row.state === "checks only" ? "has checks, no arc yet" : "go on in it; it has an arc already"}`)));
    select.value = this.record;
    fill(this.chooser, h("label", { for: "record-choice" }, "Into"), select);
  }

  private async refresh(): Promise<void> {
    try {
      const [list, begin] = await Promise.all([api.checks(this.record, this.signal), api.before(this.record, this.job, this.port, this.signal)]);
      this.draw(list, begin.points);
    } catch (thrown) {
      if (!aborted(thrown)) {
        fill(this.start, troubleBox(troubleOf(thrown)), again(() => this.refresh()));
      }
    }
  }

  private draw(list: CheckList, points: Point[]): void {
    if (this.cards.childElementCount === 0) {
      fill(this.cards, this.kinds.map((kind) => this.card(kind)));
    }
    this.kinds.forEach((kind, k) => showState(this.cards.children[k]!, kind, list, points)); // a form that is being filled in stays
    fill(this.start, startSection({ job: this.job, record: this.record, port: this.port }, this.house, points, this.chooser, (port) => {
      this.port = port;
      void this.refresh();
    }, (kind) => this.mend(kind)));
  }

  // mend opens the card of a check, and comes to it.
  private mend(kind: string): void {
    const card = this.cards.querySelector(`[data-kind="${kind}"]`);
    const button = card?.querySelector<HTMLElement>(".acts button[aria-expanded]");
    if (button?.getAttribute("aria-expanded") === "false") {
      button.click();
    }
    card?.scrollIntoView({ block: "start" });
  }

  private card(kind: CheckKind): HTMLElement {
    const space = h("div", { class: "below", hidden: true });
    const button: HTMLButtonElement = h("button", { type: "button", "aria-expanded": "false", "data-needs": "operate", onclick: () => toggle() }, "Do this check", h("span", { class: "unseen" }, ` ${kind.kind}`));
    const toggle = () => {
      space.hidden = !space.hidden;
      button.setAttribute("aria-expanded", String(!space.hidden));
      if (space.hidden) {
        fill(space);
        button.focus();
        return;
      }
      fill(space, checkForm(kind, () => ({ job: this.job, record: this.record }), () => void this.refresh(), toggle));
      space.querySelector<HTMLElement>("input, select")?.focus();
    };
    return h("li", { class: "strip", "data-kind": kind.kind },
      h("span", { class: "eye" }),
      h("div", {}, h("h3", { class: "name" }, titles[kind.kind] ?? kind.kind), h("div", { class: "facts" }), h("div", { class: "done-list" })),
      h("div", { class: "acts" }, button), space);
  }
}

// showState says on a card how its kind of check stands.
function showState(card: Element, kind: CheckKind, list: CheckList, points: Point[]): void {
  const [sign, words] = stateOf(kind, list, points);
  const part = (name: string) => card.querySelector(`.${name}`)!;
  part("eye").setAttribute("class", `eye sign-${sign}`);
  fill(part("eye"), icon(sign));
  fill(part("facts"), stateMark(sign, words), h("span", {}, kind.what));
  fill(part("done-list"), doneList(kind, list));
  card.querySelector(".acts button")?.classList.toggle("go", sign === "missing" || sign === "due");
}

function doneList(kind: CheckKind, list: CheckList): Child {
  return newest(kind, list).map((check) => h("p", {}, h("strong", {}, check.sentence), h("br"), whose(check),
    h("span", { class: "muted" }, "by ", check.by || "—", check.instrument ? `, with ${check.instrument}` : "", ", ", when(check.done),
      check.due ? [", due again ", whenDay(check.due), overdue(check) ? " (past)" : ""] : null)));
}
