// A control chart: the newest jobs in the order of time, between the limits that the process itself has. A job is chosen by touch or
// with the arrow keys, and leads to its review.
import type { Schemas } from "../base/api";
import { fill, h, s, type Child } from "../base/dom";
import { signGroup, stateMark } from "../base/state";
import { whenDay } from "../base/time";
import { against, counted, figure, range, unitFor, withUnit } from "../base/units";
import { lead, leadsTo, named, type Here } from "./place";

type Chart = Schemas["FleetChart"];
type Dot = Schemas["FleetDot"];

const frame = { high: 190, top: 20, foot: 34, left: 12 };
const letter = 8.7; // px, of the words beside the drawing

// Scaled is how values of a measure are shown.
interface Scaled {
  unit: string;
  decimals: number;
  words: string; // what a value is of
}

function scaledOf(chart: Chart, measure: Schemas["FleetCharts"]["measure"]): Scaled {
  const [unit, words] = measure === "arc-on" ? ["1", "arc-on ratio"] : ["kJ/mm", chart.definition === "arc energy" ? "arc energy E" : "heat input Q"];
  return { unit, decimals: decimalsFor([chart.low_limit, chart.mean, chart.high_limit], unit), words };
}

const fewest = 3; // decimals in the metric unit, as the command tells values

// decimalsFor are as many as it takes to tell the mean and its limits apart: printed alike, a job between them lies nowhere.
export function decimalsFor(values: (number | null)[], unit: string): number {
  const known = new Set(values.filter((v) => v !== null));
  let decimals = fewest;
  while (decimals < fewest + 4 && new Set([...known].map((v) => figure(v, unit, decimals))).size < known.size) {
    decimals++;
  }
  return decimals;
}

// chartFigure is a chart with its words, its drawing, what is chosen on it, and its table.
export function chartFigure(chart: Chart, measure: Schemas["FleetCharts"]["measure"], side: string, here: Here): HTMLElement {
  const scaled = scaledOf(chart, measure);
  const dots = chart.newest ?? [];
  const value = (v: number | null | undefined) => figure(v, scaled.unit, scaled.decimals);
  const levels = levelsOf(chart, value);
  const right = 18 + letter * Math.max(0, ...levels.map(({ words }) => words.length));
  const drawing = s("svg", { class: "drawing fleet-drawing", "aria-hidden": "true" });
  const chosen = h("div", { class: "fleet-chosen", role: "status" }, h("span", { class: "muted" }, "Touch a point, or go from one to the next with the arrow keys."));
  let at: number | null = null;
  const draw = () => drawIn(drawing, area.clientWidth, right, levels, dots, at);
  const choose = (k: number) => {
    at = Math.min(dots.length - 1, Math.max(0, k));
    draw();
    fill(chosen, h("span", {}, dotWords(dots[at]!, chart, scaled, here)), lead("Review", dots[at]!, here));
  };
  const open = () => {
    const to = at === null ? null : leadsTo(dots[at]!, here);
    if (to !== null) {
      location.hash = to;
    }
  };
  const key = (event: KeyboardEvent) => {
    const to = { ArrowLeft: (at ?? dots.length) - 1, ArrowRight: (at ?? -1) + 1, Home: 0, End: dots.length - 1 }[event.key];
    if (to !== undefined) {
      event.preventDefault();
      choose(to);
    } else if (event.key === "Enter") {
      event.preventDefault();
      open();
    }
  };
  const tap = (event: MouseEvent) => {
    const box = drawing.getBoundingClientRect();
    choose(Math.floor(((event.clientX - box.left - frame.left) / (box.width - frame.left - right)) * dots.length));
  };
  const area = h("div", { class: "fleet-chart", tabindex: "0", role: "application", "aria-roledescription": "control chart", "aria-label": `${summary(chart, dots, scaled)} Arrow keys move, Enter opens the review.`, onkeydown: key, onclick: tap }, drawing);
  new ResizeObserver(draw).observe(area);
  return h("figure", { class: "plate fleet-figure" },
    h("figcaption", {}, h("h3", {}, chart.procedure ?? "no procedure named", side === "procedure" ? null : `, ${side} ${chart.member ?? "not known"}`), h("div", { class: "facts" }, facts(chart, scaled))),
    area, chosen, table(chart, dots, scaled, value, here));
}

function facts(chart: Chart, scaled: Scaled): Child {
  const widened = chart.limits_widened_by !== null && chart.limits_widened_by > 1;
  return [
    chart.signal !== "" ? stateMark("outside", chart.signal) : null,
    h("span", {}, `mean ${scaled.words} ${withUnit(chart.mean, scaled.unit === "1" ? "" : scaled.unit, scaled.decimals)}`),
    chart.no_limits !== null ? stateMark("unjudged", `no limits: ${chart.no_limits}`)
      : h("span", {}, `limits ${range(chart.low_limit, chart.high_limit, scaled.unit === "1" ? "" : scaled.unit, scaled.decimals)}${widened ? ", wider, as each job resembles the one before it" : ""}, outside ${chart.jobs_outside ?? "not known"}`),
    h("span", {}, `${counted(chart.jobs, "job", "jobs")}, ${counted(chart.passes, "pass", "passes")}`),
    scaled.unit === "1" ? null : h("span", {}, chart.window_low_kj_per_mm === null && chart.window_high_kj_per_mm === null ? "the procedure has no window" : `window of the procedure ${range(chart.window_low_kj_per_mm, chart.window_high_kj_per_mm, "kJ/mm")}`),
  ];
}

// summary is the chart in words, for who cannot see it.
function summary(chart: Chart, dots: Dot[], scaled: Scaled): string {
  const values = dots.map((dot) => dot.value);
  const unit = scaled.unit === "1" ? "" : scaled.unit;
  return `${chart.procedure ?? "no procedure named"}: ${scaled.words} of the newest ${counted(dots.length, "job", "jobs")}, ${range(Math.min(...values), Math.max(...values), unit, scaled.decimals)}.`;
}

// dotWords is one job in words; where it lies outside, with the limit that it is held against.
function dotWords(dot: Dot, chart: Chart, scaled: Scaled, here: Here): string {
  const where = dot.outside && chart.low_limit !== null && chart.high_limit !== null;
  const limit = where ? (dot.value > chart.high_limit! ? chart.high_limit! : chart.low_limit!) : null;
  const [said, held] = limit === null ? [withUnit(dot.value, scaled.unit === "1" ? "" : scaled.unit, scaled.decimals), ""] : against(dot.value, limit, scaled.unit);
  return `${whenDay(dot.at)} · ${named(dot, here)} · ${said} · ${counted(dot.passes, "pass", "passes")}${limit === null ? "" : ` · outside, limit ${held}`}`;
}

// Level is a line across the drawing, with its words.
interface Level {
  at: number;
  words: string;
  look: string;
}

function levelsOf(chart: Chart, value: (v: number) => string): Level[] {
  return ([["high", chart.high_limit, "fleet-limit"], ["mean", chart.mean, "fleet-mean"], ["low", chart.low_limit, "fleet-limit"]] as const)
    .flatMap(([name, at, look]) => (at === null ? [] : [{ at, words: `${name} ${value(at)}`, look }]));
}

// drawIn draws at the width that there is, so that words keep their size.
function drawIn(drawing: SVGSVGElement, width: number, right: number, levels: Level[], dots: Dot[], at: number | null): void {
  if (width === 0) {
    return; // not on the page yet
  }
  const { high, top, foot, left } = frame;
  const all = [...dots.map((dot) => dot.value), ...levels.map((one) => one.at)];
  let [least, most] = [Math.min(...all), Math.max(...all)];
  if (!(most > least)) { // what does not vary stands in the middle
    [least, most] = [least - 1, most + 1];
  }
  const x = (k: number) => left + ((width - left - right) * (k + 0.5)) / dots.length;
  const y = (v: number) => high - foot - ((v - least) / (most - least)) * (high - foot - top);
  drawing.setAttribute("viewBox", `0 0 ${width} ${high}`);
  drawing.setAttribute("width", String(width));
  drawing.setAttribute("height", String(high));
  const places = spread(levels.map((one) => y(one.at)), 17);
  fill(drawing,
    levels.map((one, k) => [s("line", { class: one.look, x1: left, x2: width - right, y1: y(one.at), y2: y(one.at) }), s("text", { x: width - right + 8, y: places[k]! + 5 }, one.words)]),
    at === null ? null : s("line", { class: "fleet-cursor", x1: x(at), x2: x(at), y1: top - 12, y2: high - foot + 10 }),
    s("path", { class: "fleet-way", d: dots.map((dot, k) => `${k === 0 ? "M" : "L"}${x(k).toFixed(1)} ${y(dot.value).toFixed(1)}`).join("") }),
    dots.map((dot, k) => dot.outside ? signGroup("outside", x(k), y(dot.value), k === at ? 30 : 22) : s("circle", { class: "fleet-dot", cx: x(k), cy: y(dot.value), r: k === at ? 8 : 5 })),
    dots.length === 0 ? null : s("text", { class: "quiet", x: left, y: high - 8 }, whenDay(dots[0]!.at)),
    dots.length < 2 || width < 330 ? null : s("text", { class: "quiet", x: width - right, y: high - 8, "text-anchor": "end" }, whenDay(dots.at(-1)!.at)));
}

// spread moves places that lie closer than a line of words apart, from the top down.
export function spread(places: number[], least: number): number[] {
  const order = places.map((_, k) => k).sort((a, b) => places[a]! - places[b]!);
  const moved = [...places];
  order.forEach((k, n) => {
    const above = order[n - 1];
    if (above !== undefined) {
      moved[k] = Math.max(moved[k]!, moved[above]! + least);
    }
  });
  return moved;
}

// table has the same jobs in figures, the newest first, and those that lie farthest outside; it is made when it is unfolded.
function table(chart: Chart, dots: Dot[], scaled: Scaled, value: (v: number) => string, here: Here): HTMLElement {
  const old = (chart.farthest ?? []).filter((dot) => !dots.some((one) => one.digest === dot.digest));
  const row = (dot: Dot) => h("tr", {},
    h("td", {}, whenDay(dot.at)),
    h("td", { class: "words" }, named(dot, here)),
    h("td", {}, value(dot.value)),
    h("td", {}, String(dot.passes)),
    h("td", { class: "words" }, dot.outside ? stateMark("outside", "outside") : chart.low_limit === null ? "no limits" : "inside"),
    h("td", {}, lead("Review", dot, here)));
  const body = h("tbody");
  const fold = h("details", { class: "fold", ontoggle: () => {
    if (fold.open && body.childElementCount === 0) {
      fill(body, [...dots].reverse().map(row), old.map(row));
    }
  } }, h("summary", {}, `${counted(dots.length, "job", "jobs")} as a table${old.length > 0 ? `, and ${old.length} older ones outside` : ""}`),
  h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": `${chart.procedure ?? "no procedure named"}, table` },
    h("table", {}, h("thead", {}, h("tr", {}, ["Day", "Job", [scaled.words, h("div", {}, scaled.unit === "1" ? "" : unitFor(scaled.unit))], "Passes", "Limits", "Review"].map((head, k) => h("th", { scope: "col", class: k === 1 || k === 4 ? "words" : "" }, head)))), body)));
  return fold;
}
