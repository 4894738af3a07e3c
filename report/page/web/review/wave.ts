// The waveform of a pass: a chart for each quantity, each with its own true times. Whatever is zoomed to is asked for anew,
// so that every column of pixels has its true extremes; what was there stays until that has come.
import { api, aborted, newest, troubleOf, type PassRow, type Reviewed, type Schemas } from "../base/api";
import { fill, h } from "../base/dom";
import { isNumber } from "../base/gauge";
import { spaced } from "../base/keys";
import { troubleBox } from "../base/notice";
import { onPrefs } from "../base/prefs";
import { icon } from "../base/state";
import { clockOf, lasting, zone } from "../base/time";
import { convert, digits, shown, unitText } from "../base/units";
import { limitsOf, startedAt } from "./data";
import { WaveChart, type Mark } from "./wavechart";
import { scaleOf } from "./wavescale";
import type { Turning } from "./waveturns";
import { onKeys, View, viewButtons } from "./waveview";

type Trace = Schemas["Trace"];
type Line = Trace["lines"][number];

interface Channel {
  name: string;
  words: string;
  unit: string; // that the program's pages speak
  window: RegExp;
  fast: boolean; // sampled with the arc
  height: number;
}

const channels: Channel[] = [
  { name: "voltage", words: "Voltage", unit: "V", window: /^Voltage/, fast: true, height: 180 },
  { name: "current", words: "Current", unit: "A", window: /^Current/, fast: true, height: 165 },
  { name: "power", words: "Power", unit: "W", window: /^Power/, fast: true, height: 100 },
  { name: "wire_speed", words: "Wire speed", unit: "m/min", window: /^Wire speed/, fast: false, height: 100 },
  { name: "gas_flow", words: "Gas flow", unit: "L/min", window: /^Gas flow/, fast: false, height: 100 },
];
const mostShown = 5;
const beyond = 600_000_000; // ns

const steps = [1, 2, 5].flatMap((n) => [n * 1e-4, n * 1e-3, n * 1e-2, n * 0.1, n]).concat([10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600]).sort((a, b) => a - b);

export interface Wave {
  element: HTMLElement;
  view: View;
  x(tick: number): number; // on the axis: s, so that round times of day are round
  tick(x: number): number;
  mark(marks: Mark[]): void;
}

// waveOf makes the charts of a pass. tapped is told where somebody touched.
export function waveOf(record: string, reviewed: Reviewed, pass: PassRow, turning: Turning, tapped: (x: number) => void, signal: AbortSignal): Wave {
  const start = pass.start_tick_ns ?? 0;
  const lasts = Math.max(0.01, ((pass.end_tick_ns ?? start) - start) / 1e9);
  const began = startedAt(reviewed, pass, start);
  const zero = began === null ? 0 : (began % 3_600_000) / 1000; // s after the full hour at which the pass began
  const x = (tick: number) => (tick - start) / 1e9 + zero;
  const tick = (at: number) => Math.round(start + (at - zero) * 1e9);
  const rim = Math.min(2, 0.02 * lasts);
  const view = new View(Math.max(zero - rim, x(firstTick(reviewed, pass))), Math.min(zero + lasts + rim, x(lastTick(reviewed, pass))), 0.002);
  const offered = reviewed.channels ?? ["voltage", "current"];
  const used = channels.filter((c) => offered.includes(c.name)).slice(0, mostShown);
  const label = (at: number, step: number) => `${timeWords(began, at - zero, step)}\n${turnWords(turning, tick(at), step)}`;
  const readout = h("p", { class: "wave-readout", "aria-live": "off" });
  const pointed = (at: number | null) => {
    const values = at === null ? null : used.map((c, k) => valueWords(c, charts[k]!.value(at), charts[k]!.mean(at)));
    readout.textContent = at === null ? hint : `${timeWords(began, at - zero, 0.001)}, ${turnWords(turning, tick(at), 0.001)}: ${values!.join(", ")}`;
  };
  const charts = used.map((c, k) => {
    const limits = limitsOf(reviewed.review, c.window);
    const to = (value: number | null) => (value === null ? null : shown(value, c.unit).value);
    return new WaveChart({ words: `${c.words}, ${unitText(shown(0, c.unit).unit)}`, decimals: shown(0, c.unit).decimals, height: c.height + (k === used.length - 1 ? 44 : 0), curves: [{ stroke: "straw", width: 1.4 }],
      axis: k === used.length - 1, label, steps, low: to(limits.low), high: to(limits.high), first: k === 0 }, view, `wave-${pass.number}`, tapped, pointed);
  });
  const status = h("p", { class: "wave-status", role: "status" });
  const trouble = h("div", {});
  const said = h("ul", { class: "wave-events" });
  const element = h("section", { class: "wave plate", tabindex: "0", role: "group", "aria-busy": "true", "aria-label": "Waveform. Plus and minus zoom, arrows shift, Home shows the whole pass; N and P lead to the next event and the one before, F within an event." },
    h("div", { class: "wave-bar" }, viewButtons(view, "Whole pass"), status), trouble, charts.map((c) => c.element), readout, said);
  readout.textContent = hint;
  onKeys(element, view);

  const wanted = newest(signal);
  let timer: ReturnType<typeof setTimeout> | undefined;
  const load = async () => {
    const mine = wanted();
    element.setAttribute("aria-busy", "true");
    const [from, until] = [tick(view.from), Math.max(tick(view.from) + 1000, tick(view.until))];
    try {
      const columns = Math.min(8192, charts[0]!.columns());
      const read = (names: Channel[], wider: number) => api.trace(record, { epoch: pass.epoch ?? 0, from: from - wider, until: until + wider,
        columns: Math.min(8192, Math.ceil(columns * (1 + (2 * wider) / (until - from)))), channels: names.flatMap((c) => (c.fast ? [c.name, `${c.name} mean`] : [c.name])).join(",") }, mine);
      // A slow channel may have no sample in a short stretch: it is read a little beyond, so that its line goes through.
      const apart = until - from < 8 * beyond;
      const [fast, slow] = apart ? [used.filter((c) => c.fast), used.filter((c) => !c.fast)] : [used, []];
      const [trace, rest] = await Promise.all([read(fast, 0), slow.length > 0 ? read(slow, beyond) : null]);
      fill(trouble);
      used.forEach((c, k) => show(charts[k]!, c, rest && slow.includes(c) ? rest : trace, x));
      status.textContent = statusWords(trace, until - from, charts[0]!.columns());
      fill(said, eventLines(trace, (at) => timeWords(began, x(at) - zero, 0.01)));
      element.setAttribute("aria-busy", "false");
    } catch (thrown) {
      if (!aborted(thrown)) {
        element.setAttribute("aria-busy", "false");
        fill(trouble, troubleBox(troubleOf(thrown), h("button", { type: "button", class: "go", onclick: () => void load() }, "Try again"), h("p", { class: "muted" }, "What is drawn is what was read before.")));
      }
    }
  };
  const soon = (milliseconds: number) => {
    element.setAttribute("aria-busy", "true");
    clearTimeout(timer);
    timer = setTimeout(() => void load(), milliseconds);
  };
  view.onChange(() => {
    charts.forEach((c) => c.move());
    soon(90);
  });
  const watch = new ResizeObserver(() => {
    charts.forEach((c) => c.size());
    soon(200);
  });
  watch.observe(element);
  const theme = document.documentElement.dataset["theme"];
  let seen = theme;
  const off = onPrefs(() => {
    if (document.documentElement.dataset["theme"] !== seen) {
      seen = document.documentElement.dataset["theme"];
      charts.forEach((c) => c.rebuild());
    }
  });
  signal.addEventListener("abort", () => {
    off();
    watch.disconnect();
    clearTimeout(timer);
    charts.forEach((c) => c.end());
  }, { once: true });
  return { element, view, x, tick, mark: (marks) => charts.forEach((c) => c.mark(marks)) };
}

const hint = "Drag to shift, pinch or turn the wheel to zoom; touch a curve for its values.";

function firstTick(reviewed: Reviewed, pass: PassRow): number {
  return reviewed.epochs.find((one) => one.epoch === pass.epoch)?.first_tick_ns ?? pass.start_tick_ns ?? 0;
}

function lastTick(reviewed: Reviewed, pass: PassRow): number {
  return reviewed.epochs.find((one) => one.epoch === pass.epoch)?.last_tick_ns ?? pass.end_tick_ns ?? 0;
}

// show hands a line to its chart, in the units of the person; where it breaks is a hole.
function show(chart: WaveChart, channel: Channel, trace: Trace, x: (tick: number) => number): void {
  const line = trace.lines.find((one) => one.channel === channel.name);
  const mean = trace.lines.find((one) => one.channel === `${channel.name} mean`);
  const means = mean ? mean.value.map((value) => (value === null ? null : inUnits(value, mean, channel))) : [];
  const meanLine = broken(mean?.at_ns.map((ns) => x(trace.from_ns + ns)) ?? [], means, missingOf(trace, x));
  const spread = scaleOf(line?.value.filter(isNumber).map((value) => inUnits(value, line, channel)) ?? [], means.filter(isNumber), chart.limits());
  if (spread) {
    chart.span(spread.low, spread.high);
  }
  if (!line) {
    chart.set([[], []], mean ? [] : [[x(trace.from_ns), x(trace.until_ns)]], meanLine);
    return;
  }
  const at = line.at_ns.map((ns) => x(trace.from_ns + ns));
  const values = line.value.map((value) => (value === null ? null : inUnits(value, line, channel)));
  const holes = missingOf(trace, x);
  const [xs, ys] = broken(at, values, holes);
  chart.set([xs, ys], [...holes, ...breaksOf(at, values)], meanLine);
}

// broken ends a line before a hole and begins it anew behind it: nothing is drawn across what is missing.
function broken(at: number[], values: (number | null)[], holes: [number, number][]): [number[], (number | null)[]] {
  const xs: number[] = [];
  const ys: (number | null)[] = [];
  at.forEach((x, k) => {
    const before = at[k - 1];
    if (before !== undefined && holes.some(([from, until]) => before <= from && x >= until)) {
      xs.push((before + x) / 2);
      ys.push(null);
    }
    xs.push(x);
    ys.push(values[k]!);
  });
  return [xs, ys];
}

function inUnits(value: number, line: Line, channel: Channel): number {
  const metric = convert(value, line.unit, channel.unit) ?? value;
  return shown(metric, channel.unit).value ?? metric;
}

// missingOf are the stretches without samples, by the events of the record.
function missingOf(trace: Trace, x: (tick: number) => number): [number, number][] {
  return trace.events.filter((event) => missing.has(event.kind) && isNumber(event.until_ns) && event.until_ns > event.at_ns)
    .map((event) => [x(trace.from_ns + event.at_ns), x(trace.from_ns + event.until_ns!)]);
}

// breaksOf are the stretches over which the line itself breaks.
function breaksOf(at: number[], values: (number | null)[]): [number, number][] {
  const breaks: [number, number][] = [];
  values.forEach((value, k) => {
    if (value === null && k > 0 && k + 1 < at.length) {
      breaks.push([at[k - 1]!, at[k + 1]!]);
    }
  });
  return breaks;
}

const missing = new Set(["gap", "overrun", "unplugged", "resumed"]);

function statusWords(trace: Trace, span: number, columns: number): string {
  const judged = trace.lines.some((line) => line.channel.endsWith(" mean") && line.at_ns.length > 0) ? " The thick line is the mean that is held against the limits; a triangle marks what is cut, with its value." : "";
  return rangeWords(trace, span, columns) + judged;
}

function rangeWords(trace: Trace, span: number, columns: number): string {
  const coarse = Math.max(0, ...trace.lines.map((line) => line.resolution_ns ?? 0));
  if (coarse > 0) {
    return `Lowest and highest of every ${lasting(coarse / 1e9)}; when within it they were is not known. Zoom in for samples.`;
  }
  const main = trace.lines.filter((line) => line.channel === "voltage" || line.channel === "current");
  return main.every((line) => line.every_sample) ? "Every sample is drawn." : `Lowest and highest of each column are drawn; a column is ${short(span / columns / 1e9)}.`;
}

function short(seconds: number): string {
  return seconds < 1e-3 ? `${digits(seconds * 1e6, 0)} µs` : seconds < 1 ? `${digits(seconds * 1e3, 1)} ms` : `${digits(seconds, 2)} s`;
}

function eventLines(trace: Trace, time: (tick: number) => string): HTMLElement[] {
  const told = trace.events.slice(0, 5).map((event) => h("li", {}, icon(missing.has(event.kind) ? "doubtful" : "note"),
    h("span", {}, `${time(trace.from_ns + event.at_ns)} ${spaced(event.kind)}: ${event.text}`)));
  return trace.events.length > 5 ? [...told, h("li", {}, `and ${trace.events.length - 5} more in this stretch`)] : told;
}

// timeWords is a time of day as finely as the step needs; without a clock, the time since the pass began.
function timeWords(began: number | null, since: number, step: number): string {
  const places = step >= 1 ? 0 : Math.min(4, Math.ceil(-Math.log10(step) - 1e-9));
  if (began === null) {
    return `${digits(since, places)} s`;
  }
  const ms = began + since * 1000;
  const whole = Math.floor(ms / 1000 + (places === 0 ? 0.5 : 1e-7));
  const rest = places === 0 ? "" : Math.max(0, ms / 1000 - whole).toFixed(places).slice(1);
  return clockOf(new Date(whole * 1000)) + rest;
}

function turnWords(turning: Turning, tick: number, step: number): string {
  const [turns, angle] = [turning.turns(tick), turning.angle(tick)];
  if (turns === null) {
    return "";
  }
  return `${turning.counted ? "" : "about "}turn ${Math.floor(turns + 1e-6) + 1}${angle === null ? "" : `, ${digits(angle, step < 0.1 ? 1 : 0)}°`}`;
}

// valueWords are a value with its mean; of power a wide view has the mean alone.
function valueWords(channel: Channel, value: number | null, mean: number | null): string {
  const unit = shown(0, channel.unit);
  const text = (one: number) => digits(one, unit.decimals);
  if (value === null) {
    return `${channel.words.toLowerCase()} ${mean === null ? "missing" : `mean ${text(mean)} ${unitText(unit.unit)}`}`;
  }
  return `${text(value)} ${unitText(unit.unit)}${mean === null ? "" : ` (mean ${text(mean)})`}`;
}

// zoneWords says whose time of day it is.
export function zoneWords(reviewed: Reviewed, pass: PassRow): string {
  const began = startedAt(reviewed, pass, pass.start_tick_ns ?? 0);
  return began === null ? "The clock of the box was never dated: times count from the start of the pass." : `Times are ${zone(new Date(began))}.`;
}

