// The whole job on one screen: what the program says of it, the wall unrolled, the passes, the findings.
import "./review.css";
import { api, aborted, newest, troubleOf, type EventPage, type Reviewed } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { isNumber } from "../base/gauge";
import { again, noteBox, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { onPrefs } from "../base/prefs";
import { icon } from "../base/state";
import { bannerBox, verified } from "./banner";
import { cellBox } from "./cell";
import type { Review } from "./data";
import { asking } from "./eventlink";
import { eventRow, waveLink } from "./eventrow";
import { wallView, type Chosen, type WallView } from "./map";
import { passTable } from "./passes";
import { overlayLink } from "./passlink";

export function reviewPage(record: string): Page {
  const offs: (() => void)[] = [];
  let wall: WallView | null = null;
  return {
    title: record,
    trail: [{ text: "Home", href: "#/" }],
    quiet: true,
    wide: true,
    render: (root, signal) => {
      root.classList.add("review");
      const wrong = (thrown: unknown) => {
        if (!aborted(thrown)) {
          fill(root, troubleBox(troubleOf(thrown)), again(ask), h("p", {}, h("a", { class: "button", href: "#/" }, "Home")));
        }
      };
      const ask = async () => {
        try {
          fill(root, waitBox("Reading the record …"));
          const reviewed = await judgedReview(root, record, signal);
          const wanted = newest(signal);
          const askEvents = async () => (await api.events(record, asking({}), () => undefined, wanted())).list;
          let events = await askEvents();
          let passes = await api.passes(record, 0, () => undefined, signal);
          let where: Chosen | null = null;
          const draw = () => {
            wall?.end();
            wall = show(root, record, reviewed, events, { first: where, keep: (now) => {
              where = now;
            } }, passTable(record, reviewed.review, passes, (now) => {
              passes = now;
            }, signal), ask, signal);
          };
          const anew = async () => {
            try {
              events = await askEvents();
              draw();
            } catch (thrown) {
              wrong(thrown);
            }
          };
          draw();
          offs.push(onPrefs(() => void anew()));
          if (!reviewed.recording) {
            await verified(record, root, events.banner, signal);
          }
        } catch (thrown) {
          wrong(thrown);
        }
      };
      return ask();
    },
    leave: () => {
      offs.forEach((off) => off());
      wall?.end();
    },
  };
}

// judgedReview asks for the review, and shows how far the judgement is while it lasts.
export function judgedReview(root: HTMLElement, record: string, signal: AbortSignal): Promise<Reviewed> {
  const bar = h("progress", { max: 1, class: "judging-bar", "aria-label": "Judged" });
  const words = h("p", { role: "status" });
  let shown = false;
  let told = -1;
  return api.review(record, (share) => {
    if (!shown) {
      shown = true;
      fill(root, h("div", { class: "judging" }, h("h2", {}, "The record is being judged"), bar, words,
        h("p", { class: "muted" }, "Every sample is read once. It goes on when this page is left, and is then kept in memory.")));
    }
    bar.value = share;
    const tens = Math.floor(share * 10);
    if (tens !== told) {
      told = tens;
      words.textContent = `${Math.floor(share * 100)} % of the record is judged.`;
    }
  }, signal);
}

// At is the place at which a person looks, kept for when the page is drawn anew.
interface At {
  first: Chosen | null;
  keep: (where: Chosen) => void;
}

function show(root: HTMLElement, record: string, reviewed: Reviewed, events: EventPage, { first, keep }: At, passes: HTMLElement, ask: () => void, signal: AbortSignal): WallView | null {
  const review = reviewed.review;
  const map = review.map;
  const place = h("section", { class: "review-place plate", "aria-label": "At a place", "aria-live": "off" }, map ? cellBox(record, map, first, null) : null);
  let read = Promise.resolve();
  const wanted = newest(signal);
  const wall: WallView | null = map ? wallView(review, map, (where) => {
    keep(where);
    fill(place, cellBox(record, map, where, null));
    read = api.cell(record, where.row, where.column, () => undefined, wanted()).then((cell) => {
      fill(place, cellBox(record, map, where, cell));
      wall?.say(where, cell);
    }).catch((thrown: unknown) => {
      if (!aborted(thrown)) {
        fill(place, troubleBox(troubleOf(thrown)));
      }
    });
  }, () => void read.then(() => place.querySelector<HTMLAnchorElement>(".cell-acts a")?.click())) : null;
  fill(root,
    verdict(record, reviewed, events, ask),
    h("div", { class: "review-top" },
      h("div", { class: "plate review-map" }, wall?.element ?? h("p", {}, "There is no bore to unroll: the job has no worn diameter or no length, or it is a bead on a plate.")),
      h("div", { class: "review-side" }, map ? place : null, sentences(review))),
    h("section", { class: "plate", "aria-label": "Passes" }, review.passes.length === 0 ? noteBox(h("p", {}, "No pass was found: no arc burned long enough.")) : passes),
    worst(record, events),
    more(review));
  if (first && wall) {
    wall.choose(first.column, first.row);
  }
  return wall;
}

// worst are the events that stand first; the list has all of them.
function worst(record: string, { all, open, events }: EventPage): Child {
  const shown = events.slice(0, 8);
  return h("section", { class: "plate", "aria-labelledby": "findings-head" },
    h("h2", { id: "findings-head" }, all === 0 ? "Nothing was found" : `${open} of ${all} ${all === 1 ? "event" : "events"} open`),
    h("ul", { class: "finding-list" }, shown.map((event) => eventRow(record, event, {}, h("a", { class: "button", href: waveLink(record, event) }, "Waveform")))),
    all > shown.length ? h("p", { class: "buttons" }, h("a", { class: "button", href: link("record", record, "inspect") }, `All ${all} events`)) : null);
}

function verdict(record: string, reviewed: Reviewed, events: EventPage, ask: () => void): Child {
  const { review } = reviewed;
  return [
    reviewed.recording ? h("div", { class: "box" }, icon("recording"), h("div", {}, h("p", {}, "It is still being recorded; this is of what there was."),
      h("button", { type: "button", onclick: ask }, "Judge again"))) : null,
    bannerBox(events.banner, h("p", { class: "verdict-about" }, `${review.job}, procedure ${review.procedure}. The program flags; only a person accepts.`),
      [h("a", { class: "button go", href: link("record", record, "inspect") }, "Inspect"), h("a", { class: "button", href: link("record", record, "paper") }, "Print"),
        review.passes.length > 1 ? h("a", { class: "button", href: overlayLink(record) }, "Lay passes over") : null]),
  ];
}

function sentences(review: Review): HTMLElement {
  const cleanUp = review.map?.clean_up?.sentence;
  const all = [...review.verdict.sentences, ...(cleanUp && !review.verdict.sentences.includes(cleanUp) ? [cleanUp] : [])];
  return h("section", { class: "plate", "aria-label": "What it says" }, h("ul", { class: "sentences" }, all.map((words) => h("li", {}, words))));
}

function more(review: Review): Child {
  const warnings = (review["warnings"] as { text: string; count?: number }[] | undefined) ?? [];
  const missing = (review["missing"] as string[] | null | undefined) ?? [];
  const window = review.window ?? [];
  const cell = (row: Record<string, unknown>, key: string) => String(row[key] ?? "—");
  return h("div", { class: "review-more" },
    warnings.length === 0 ? null : h("details", { class: "plate" }, h("summary", {}, icon("caution"), `${warnings.length} ${warnings.length === 1 ? "warning" : "warnings"}`),
      h("ul", {}, warnings.map((w) => h("li", {}, w.text, isNumber(w.count as number) && (w.count as number) > 1 ? ` (${w.count} times)` : "")))),
    missing.length === 0 ? null : h("details", { class: "plate" }, h("summary", {}, icon("missing"), "What would prove more"), h("ul", {}, missing.map((words) => h("li", {}, words)))),
    window.length === 0 ? null : h("details", { class: "plate" }, h("summary", {}, icon("note"), "The procedure's window"),
      h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "The procedure's window, table" }, h("table", {}, h("thead", {}, h("tr", {}, ["Quantity", "Window", "Set to", "Passes came to", "Findings"].map((head) => h("th", { scope: "col" }, head)))),
        h("tbody", {}, window.map((row) => h("tr", {}, ["quantity", "window", "set_to", "passes", "findings"].map((key) => h("td", {}, cell(row, key))))))))));
}
