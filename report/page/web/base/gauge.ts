// A window drawn flat, as a piece of the unrolled wall: what is allowed is the wide part, the value is a bead on it.
import { h } from "./dom";
import { figure } from "./units";

type Limit = number | null | undefined;

export interface Span {
  min: number;
  max: number;
}

// spanOf is how much of the number line is drawn: the window, and a third of it on each side. Null where there is no window.
export function spanOf(low: Limit, high: Limit): Span | null {
  if (isNumber(low) && isNumber(high)) {
    const rim = 0.36 * Math.max(high - low, Number.EPSILON);
    return { min: low - rim, max: high + rim };
  }
  if (isNumber(high)) {
    return { min: Math.min(0, high), max: high === 0 ? 1 : high + 0.36 * Math.abs(high) };
  }
  return isNumber(low) ? { min: low - 0.36 * Math.abs(low || 1), max: low + Math.abs(low || 1) } : null;
}

export function isNumber(value: Limit): value is number {
  return value !== null && value !== undefined && Number.isFinite(value);
}

// share is where a value stands on a span, from 0 to 100; beyond its ends it stays at them.
export function share(value: number, span: Span): number {
  return Math.min(100, Math.max(0, (100 * (value - span.min)) / (span.max - span.min)));
}

export interface Reading {
  value: Limit;
  low: Limit;
  high: Limit;
  state: string;
  unit: string;
  doubt?: Limit; // half the width of what the value may be
  ends?: Limit; // where it will end
}

export interface Gauge {
  element: HTMLElement;
  set(reading: Reading): void;
}

// gauge makes the drawing. It is told beside it in words, so that a reader of the screen leaves it out.
export function gauge(labels = true): Gauge {
  const allowed = h("div", { class: "gauge-window" });
  const doubt = h("div", { class: "gauge-doubt" });
  const ends = h("div", { class: "gauge-ends" });
  const bead = h("div", { class: "gauge-bead" });
  const low = h("span", { class: "gauge-low" });
  const high = h("span", { class: "gauge-high" });
  const element = h("div", { class: labels ? "gauge" : "gauge gauge-small", "aria-hidden": "true" },
    h("div", { class: "gauge-wall" }, allowed, doubt, ends, bead), labels ? h("div", { class: "gauge-labels" }, low, high) : null);
  const put = (part: HTMLElement, from: number | null, width = 0) => {
    part.hidden = from === null;
    part.style.translate = `${from ?? 0}cqi`; // a shift moves no layout
    if (width > 0) {
      part.style.width = `${width}%`;
    }
  };
  return {
    element,
    set: (r) => {
      const span = spanOf(r.low, r.high);
      element.classList.toggle("gauge-none", span === null);
      element.dataset["state"] = r.state;
      if (span === null) {
        return;
      }
      const a = isNumber(r.low) ? share(r.low, span) : 0;
      const b = isNumber(r.high) ? share(r.high, span) : 100;
      put(allowed, a, b - a);
      put(bead, isNumber(r.value) ? share(r.value, span) : null);
      bead.dataset["beyond"] = isNumber(r.value) && r.value > span.max ? "high" : isNumber(r.value) && r.value < span.min ? "low" : "";
      put(ends, isNumber(r.ends) ? share(r.ends, span) : null);
      if (isNumber(r.doubt) && isNumber(r.value)) {
        const from = share(r.value - r.doubt, span);
        put(doubt, from, Math.max(0.6, share(r.value + r.doubt, span) - from));
      } else {
        put(doubt, null);
      }
      label(low, r.low, r.unit, a);
      label(high, r.high, r.unit, b);
    },
  };
}

function label(element: HTMLElement, limit: Limit, unit: string, at: number): void {
  const text = isNumber(limit) ? figure(limit, unit) : "";
  if (element.textContent !== text) {
    element.textContent = text;
  }
  element.style.translate = `calc(${at}cqi - 50%)`;
}

// besideLimits says in words how a value stands: above 19.0, near a limit, within.
export function besideLimits(r: Reading): string {
  if (r.state === "outside" && isNumber(r.value)) {
    if (isNumber(r.high) && r.value > r.high) {
      return `above ${figure(r.high, r.unit)}`;
    }
    if (isNumber(r.low) && r.value < r.low) {
      return `below ${figure(r.low, r.unit)}`;
    }
  }
  return r.state === "near" ? "near a limit" : r.state;
}
