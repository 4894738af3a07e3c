// An event as it stands in a list: what it is, where, how far out, how it stands. One touch opens it.
import type { EventLine } from "../base/api";
import { h, type Child } from "../base/dom";
import { icon, stateSign } from "../base/state";
import { eventLink, type Asked } from "./eventlink";
import { passLink } from "./passlink";

export function eventRow(record: string, event: EventLine, asked: Asked, beside: Child): HTMLElement {
  const sign = stateSign(event.state);
  return h("li", { class: "strip event-row", "data-event": event.number },
    h("a", { class: "event-open", href: eventLink(record, event.number, asked) },
      h("span", { class: `eye sign-${sign}` }, icon(sign)),
      h("span", { class: "event-words" },
        h("span", { class: "name" }, h("span", { class: "muted" }, `${event.number} `), event.cause),
        h("span", { class: "facts" }, h("span", { class: `sign-${sign}` }, event.state), h("span", {}, whereWords(event)), h("span", {}, event.worst), h("span", {}, findingsWords(event))))),
    beside);
}

export function whereWords(event: EventLine): string {
  return event.where + (event.turn === null ? "" : `, turn ${event.turn}`);
}

export function findingsWords(event: EventLine): string {
  return event.findings === 1 ? "1 finding" : `${event.findings} findings`;
}

// waveLink leads to the waveform where the event began.
export function waveLink(record: string, event: EventLine): string {
  return passLink(record, event.lead_pass, { at: String(event.tick_ns), finding: String(event.lead) });
}
