// What may be looked up below the first screen: the last half minute, the turning, the boxes, the findings as they came.
import type { Live } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { isNumber } from "../base/gauge";
import { spaced } from "../base/keys";
import { icon, stateMark } from "../base/state";
import { lasting } from "../base/time";
import { counted } from "../base/units";
import type { Said } from "./say";
import { liveStrips } from "./strip";
import { text } from "./values";

export interface Below {
  element: HTMLElement;
  set(live: Live, said: Said): void;
}

export function liveBelow(signal: AbortSignal): Below {
  const strips = liveStrips(signal);
  const turning = h("p", { class: "turn-at" });
  const box = linkBox();
  const last = h("section", { class: "last-findings", "aria-label": "Last events" });
  let told = "";
  return {
    element: h("div", { class: "live-below" }, strips.element, h("div", { class: "live-more" }, turning, h("p", { class: "muted" }, "The wall is shown as it is laid, unrolled; a narrower band is a higher layer."), box.element), last),
    set: (live, said) => {
      strips.limits(live);
      text(turning, `${said.heat.turning} ${said.place.by}`.trim());
      box.set(live);
      const key = JSON.stringify([live.last_events, live.counts]);
      if (key !== told) {
        told = key;
        fill(last, lastEvents(live, said));
      }
    },
  };
}

type Box = Live["boxes"][number];

// companions are the boxes beside the one that tells the arc.
function companions(live: Live): Box[] {
  return live.boxes.filter((one) => one.box !== 0);
}

function nameOf(b: Box): string {
  return `Sensor box ${[b.name, b.serial].filter((one) => one).join(" ") || "without a name"} on ${b.link.port}`;
}

// howHeard says what has come of a box.
function howHeard(l: Live["link"]): string {
  const rate = isNumber(l.rate) ? `${Math.round(l.rate)} samples a second` : "sampling rate not known";
  return `${rate}; ${l.frames} frames, ${l.lost} lost, ${l.damaged} damaged, ${l.gaps} gaps${isNumber(l.silent_s) && l.silent_s >= 1 ? `; silent for ${lasting(l.silent_s)}` : ""}`;
}

function linkBox(): { element: HTMLElement; set(live: Live): void } {
  const element = h("div", { class: "link-boxes" });
  let key = "";
  const keyOf = (l: Live["link"]) => `${l.state}|${l.words}|${Math.round(l.rate ?? -1)}|${l.frames >> 7}|${l.lost}|${l.damaged}|${l.gaps}|${Math.floor(l.silent_s ?? -1)}`;
  const row = (l: Live["link"], words: string) => h("div", { class: "link-box" },
    stateMark(l.state, `box ${l.state}`), h("span", {}, words), h("span", { class: "muted" }, howHeard(l)));
  return {
    element,
    set: (live) => {
      const others = companions(live);
      const now = [live.link, ...others.map((b) => b.link)].map(keyOf).join("\n") + JSON.stringify(live.whose);
      if (now !== key) {
        key = now;
        fill(element, row(live.link, live.link.words), whose(live), others.map((b) => row(b.link, `${nameOf(b)}: ${b.link.words}`)));
      }
    },
  };
}

// whose names the box that measures, and stands out where it is another one or no calibration is its own.
function whose(live: Live): Child {
  const { words, change, without } = live.whose;
  const trouble = [change, without.length > 0 ? `no calibration: ${without.map(spaced).join(", ")}; those on record are of another box` : null].filter((one) => one !== null);
  return h("span", { class: "whose" }, words, trouble.length > 0 ? h("strong", { role: "alert" }, icon("caution"), ` ${trouble.join("; ")}`) : null);
}

function lastEvents(live: Live, said: Said): Child {
  return [
    h("h2", {}, said.found, h("small", {}, ` ${counted(live.counts.passes, "pass", "passes")} done, ${counted(live.counts.warnings, "warning", "warnings")}`)),
    h("ol", {}, live.last_events.map((e) => h("li", {}, icon("open"), h("strong", {}, String(e.number)), h("span", {}, e.sentence)))),
  ];
}
