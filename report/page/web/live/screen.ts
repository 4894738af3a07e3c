// The page of a recording that runs: each part has its place, which nothing that happens changes. What must be seen stands on the
// first screen; what may be looked up stands below it.
import type { Live } from "../base/api";
import { fill, h, s, type Child } from "../base/dom";
import { onConnection, type Connection } from "../base/events";
import { onPrefs, setSound } from "../base/prefs";
import { icon } from "../base/state";
import { liveActs } from "./acts";
import { liveAlarms, liveTones } from "./alarm";
import { liveBelow } from "./below";
import { fit } from "./fit";
import { liveHeat } from "./heat";
import { livePlace } from "./place";
import { sayLive, sayTones, type Arc, type Said } from "./say";
import { liveValues, text } from "./values";
import { liveWall } from "./wall";

const fastest = 100; // ms between two drawings

export interface Screen {
  element: HTMLElement;
  take(live: Live): void;
}

export function screenOf(first: Live, signal: AbortSignal): Screen {
  let live = first;
  let newsAt = Date.now();
  let drawn = 0;
  let pending: ReturnType<typeof setTimeout> | undefined;
  let connection: Connection = { state: "good", lastNews: null };
  const alarms = liveAlarms(signal);
  const now = () => sayLive({ live, good: connection.state === "good", newsAt, now: Date.now(), touched: alarms.touched });
  const arc = arcBox();
  const values = liveValues(now());
  const [heat, place, wall, below] = [liveHeat(), livePlace(), liveWall(signal), liveBelow(signal)];
  const acts = liveActs(liveTones(sayTones, setSound, signal));
  const element = h("div", { class: "live-grid" },
    h("div", { class: "live-first" }, arc.element, alarms.element, heat.element, place.element, wall.element, values.main, values.more, acts.element),
    below.element);
  const draw = () => {
    pending = undefined;
    drawn = Date.now();
    const said = now();
    element.dataset["stale"] = said.stale;
    [arc, values, heat, place].forEach((part) => part.set(said));
    alarms.set(live.record, said);
    wall.set(live, said);
    below.set(live, said);
    acts.set(said.acts);
  };
  const soon = () => {
    pending ??= setTimeout(draw, Math.max(0, fastest - (Date.now() - drawn)));
  };
  const timer = setInterval(soon, 250);
  const offs = [onConnection((state) => {
    connection = state;
    soon();
  }), onPrefs(soon)];
  signal.addEventListener("abort", () => {
    clearInterval(timer);
    clearTimeout(pending);
    offs.forEach((off) => off());
  }, { once: true });
  return {
    element,
    take: (newest) => {
      live = newest;
      newsAt = Date.now();
      soon();
    },
  };
}

// arcBox is the big word for the arc, with the job above it and the clocks beside it.
function arcBox(): { element: HTMLElement; set(said: Said): void } {
  const eye = h("div", { class: "arc-eye" });
  const title = h("span", { class: "arc-title" });
  const word = h("strong", { class: "arc-word" });
  const since = h("span", { class: "arc-since" });
  const ofPass = h("dd", {});
  const ofJob = h("dd", {});
  const element = h("section", { class: "arc-state", "aria-label": "Arc" }, eye, title, word, since,
    h("dl", { class: "arc-clocks" }, h("div", {}, h("dt", {}, "arc, pass"), ofPass), h("div", {}, h("dt", {}, "arc, job"), ofJob)));
  return {
    element,
    set: ({ arc, title: job, clocks }) => {
      if (element.dataset["arc"] !== arc.kind) {
        element.dataset["arc"] = arc.kind;
        element.className = `arc-state arc-${arc.kind}`;
        fill(eye, arcShape(arc.kind));
      }
      text(title, job);
      fit(word, [arc.word], [50, 46, 42, 38, 34, 30, 26]);
      text(since, arc.since);
      text(ofPass, clocks.pass);
      text(ofJob, clocks.job);
    },
  };
}

// arcShape: a burning arc has rays, one that is out is an empty ring, a gap is a ring with a piece left out.
function arcShape(arc: Arc): Child {
  if (arc === "lost" || arc === "waiting") {
    return icon(arc === "lost" ? "silent" : "due");
  }
  return s("svg", { viewBox: "0 0 24 24", class: "icon", "aria-hidden": "true" }, arc === "on"
    ? [s("circle", { cx: 12, cy: 12, r: 5.5, class: "solid" }), s("path", { d: "M12 .8v4M12 19.2v4M.8 12h4M19.2 12h4M4 4l2.8 2.8M17.2 17.2 20 20M4 20l2.8-2.8M17.2 6.8 20 4", class: "line" })]
    : arc === "off" ? s("circle", { cx: 12, cy: 12, r: 9, class: "line" })
      : s("path", { d: "M17.5 4.9A9 9 0 1 1 6.5 4.9M6.5 1.5v6.8M17.5 1.5v6.8", class: "line" }));
}
