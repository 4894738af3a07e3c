// The wall unrolled: angle across, depth down, the entry face at the top. A cell is chosen by touch or with the arrow keys.
import type { CellAlone } from "../base/api";
import { fill, h, s, type Child } from "../base/dom";
import { isNumber } from "../base/gauge";
import { colour } from "../base/hatch";
import { onPrefs } from "../base/prefs";
import { ruler } from "../base/ruler";
import { signGroup, stateSign } from "../base/state";
import { against, digits, figure, unitFor, withUnit } from "../base/units";
import { energyRules, lengthOf, type Review, type WallMap } from "./data";
import { hang, spans } from "./marks";
import { classWords, layersOf, paintClass, viewOf, type View } from "./mapscale";

export interface Chosen {
  column: number;
  row: number;
}

export interface WallView {
  element: HTMLElement;
  choose(column: number, row: number): void;
  // say says a cell to who cannot see it, once it has been read.
  say(where: Chosen, cell: CellAlone): void;
  end(): void;
}

const left = 50;
const top = 48;
const foot = 10;
const room = 24; // to the right, for half a label

// Choice is what the map shows: the place of events, or a quantity of one layer; null is all of them.
interface Choice {
  of: string;
  layer: number | null;
}

// asked is what the address asks for, and keep puts what was chosen into it.
function asked(): Choice {
  const where = new URLSearchParams(location.hash.split("?")[1] ?? "");
  const layer = Number(where.get("layer") ?? NaN);
  return { of: where.get("map") ?? "heat", layer: Number.isInteger(layer) ? layer : null };
}

function keep(choice: Choice): void {
  const [page, tail] = location.hash.split("?");
  const where = new URLSearchParams(tail ?? "");
  where.set("map", choice.of);
  where.delete("layer");
  if (choice.layer !== null) {
    where.set("layer", String(choice.layer));
  }
  history.replaceState(null, "", `${page!.replace(/\/$/, "")}/?${where}`);
}

// wallView draws the map. chosen is told which cell a person looks at; open, that it is to be opened.
export function wallView(review: Review, map: WallMap, chosen: (where: Chosen) => void, open: () => void): WallView {
  const views = map.views ?? [];
  const kinds: [string, string][] = [["heat", energyRules(review) ? "Arc energy" : "Heat input"], ["build-up", "Build-up"], ["arc-on", "Arc on"], ["findings", "Findings"]];
  let choice = asked();
  if (!kinds.some(([of]) => of === choice.of)) {
    choice = { of: "heat", layer: null };
  }
  let look = lookAt(choice, views);
  let at: { column: number; row: number } | null = null;
  const canvas = h("canvas", { class: "map-canvas", "aria-hidden": "true" });
  const over = s("svg", { class: "map-over", "aria-hidden": "true" });
  const legend = h("div", { class: "map-legend" });
  const spoken = h("p", { class: "unseen", role: "status" });
  const area = h("div", { class: "map-area", tabindex: "0", role: "application", "aria-roledescription": "unrolled wall",
    "aria-label": `The wall unrolled, ${map.columns} cells round and ${map.rows} deep. Arrow keys move, Enter opens the waveform.`,
    onkeydown: (event: KeyboardEvent) => key(event), onclick: (event: MouseEvent) => tap(event) }, canvas, over);
  const press = (words: string, pressed: boolean, act: () => void, label = words) =>
    h("button", { type: "button", "aria-pressed": String(pressed), "aria-label": label, class: pressed ? "go" : "", onclick: act }, words);
  const chooser = h("div", { class: "map-chooser" });
  const size = () => ({ width: Math.max(200, area.clientWidth), height: mapHeight(area.clientWidth, map) });
  const box = () => {
    const { width, height } = size();
    return { x: left, y: top, w: width - left - room, h: height - top - foot };
  };
  const show = (one: Choice, kept = true) => {
    const focused = chooser.contains(document.activeElement) ? document.activeElement?.textContent : null;
    choice = one;
    look = lookAt(choice, views);
    if (kept) {
      keep(choice);
    }
    const layers = layersOf(views, choice.of);
    fill(chooser, h("div", { class: "segments", role: "group", "aria-label": "What the map shows" },
      kinds.map(([of, words]) => press(words, of === choice.of, () => show({ of, layer: choice.layer })))),
      layers.length === 0 ? null : h("div", { class: "segments map-layers", role: "group", "aria-label": "Which layer" },
        press("All layers", look.layer === null, () => show({ of: choice.of, layer: null })),
        layers.map((layer) => press(String(layer), look.layer === layer, () => show({ of: choice.of, layer }), `Layer ${layer}`))));
    [...chooser.querySelectorAll("button")].find((button) => button.textContent === focused)?.focus();
    draw();
  };
  const draw = () => {
    const { width, height } = size();
    area.style.height = `${height}px`;
    paint(canvas, width, height, box(), map, look);
    over.setAttribute("viewBox", `0 0 ${width} ${height}`);
    over.setAttribute("width", String(width));
    over.setAttribute("height", String(height));
    fill(over, rulers(box(), map), patches(box(), map, look.of), extents(box(), map, review.extents), tags(box(), map, review), cursor(box(), map, at));
    fill(legend, legendOf(look), unmarked(box(), map, review));
  };
  const choose = (column: number, row: number) => {
    at = { column: (column + map.columns) % map.columns, row: Math.min(map.rows - 1, Math.max(0, row)) };
    over.querySelector(".map-cursor")?.replaceWith(cursor(box(), map, at));
    chosen(at);
  };
  const tap = (event: MouseEvent) => {
    const b = box();
    const rect = area.getBoundingClientRect();
    const x = (event.clientX - rect.left - b.x) / b.w;
    const y = (event.clientY - rect.top - b.y) / b.h;
    if (x > -0.03 && x < 1.03 && y > -0.05 && y < 1.08) {
      choose(Math.min(map.columns - 1, Math.max(0, Math.floor(x * map.columns))), Math.floor(y * map.rows));
    }
  };
  const key = (event: KeyboardEvent) => {
    const now = at ?? { column: 0, row: 0 };
    const far = event.shiftKey ? 6 : 1;
    const moves: Record<string, [number, number]> = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, -far], ArrowDown: [0, far] };
    const move = moves[event.key];
    if (move) {
      event.preventDefault();
      choose(at ? now.column + move[0] : 0, at ? now.row + move[1] : 0);
    } else if (event.key === "Enter" && at) {
      event.preventDefault();
      open();
    }
  };
  const watch = new ResizeObserver(() => draw());
  watch.observe(area);
  const off = onPrefs(draw);
  show(choice, false);
  return {
    element: h("section", { class: "map", "aria-label": "The wall unrolled" },
      chooser, area, legend, spoken),
    choose,
    say: (where, cell) => {
      spoken.textContent = cellWords(cell, where.row * map.columns + where.column, map, look);
    },
    end: () => {
      watch.disconnect();
      off();
    },
  };
}

interface Box {
  x: number;
  y: number;
  w: number;
  h: number;
}

function mapHeight(width: number, map: WallMap): number {
  const least = map.rows * 7;
  return Math.round(top + foot + Math.min(430, Math.max(least, Math.min(300, 0.36 * width, 0.32 * innerHeight), 170)));
}

// lookAt is the view that was chosen.
function lookAt(choice: Choice, views: View[]): View {
  return viewOf(views, choice.of, choice.layer) ?? views[0]!;
}

function paint(canvas: HTMLCanvasElement, width: number, height: number, box: Box, map: WallMap, look: View): void {
  const scale = Math.min(3, devicePixelRatio || 1);
  canvas.width = Math.round(width * scale);
  canvas.height = Math.round(height * scale);
  canvas.style.width = `${width}px`;
  canvas.style.height = `${height}px`;
  const c = canvas.getContext("2d");
  if (!c) {
    return;
  }
  c.scale(scale, scale);
  const inks = new Map<string, string>();
  const ink = (name: string) => inks.get(name) ?? (inks.set(name, colour(name)), inks.get(name)!);
  for (let row = 0; row < map.rows; row++) {
    for (let column = 0; column < map.columns; column++) {
      // Edges on whole pixels, so that no seam shows.
      const x = Math.round(box.x + (column * box.w) / map.columns);
      const y = Math.round(box.y + (row * box.h) / map.rows);
      const w = Math.round(box.x + ((column + 1) * box.w) / map.columns) - x;
      const hgt = Math.round(box.y + ((row + 1) * box.h) / map.rows) - y;
      paintClass(c, look.classes[row * map.columns + column] ?? "?", x, y, w, hgt, ink);
    }
  }
  c.strokeStyle = ink("line-strong");
  c.lineWidth = 1.5;
  c.strokeRect(box.x, box.y, box.w, box.h);
}

function rulers(box: Box, map: WallMap): SVGElement {
  const marks: SVGElement[] = [];
  const step = box.w < 420 ? 90 : 45;
  for (let deg = 0; deg <= 360; deg += 15) {
    const x = box.x + (deg / 360) * box.w;
    const long = deg % step === 0;
    marks.push(s("line", { x1: x, x2: x, y1: box.y - (long ? 8 : 4), y2: box.y, class: "d-tick" }));
    if (long) {
      marks.push(s("text", { x, y: box.y - 11, "text-anchor": "middle", class: "map-text" }, `${deg}°`));
    }
  }
  marks.push(s("text", { x: 2, y: 15, class: "map-text" }, `Entry face at 0${box.w < 240 ? "" : "; depth below it"}, ${unitFor("mm")}`));
  const length = lengthOf(map);
  for (const tick of ruler(length, Math.max(2, Math.floor(box.h / 24)))) {
    const y = box.y + (tick.mm / length) * box.h;
    marks.push(s("line", { x1: box.x - 7, x2: box.x, y1: y, y2: y, class: "d-tick" }),
      s("text", { x: box.x - 10, y: y + 5, "text-anchor": "end", class: "map-text" }, tick.text));
  }
  return s("g", {}, marks);
}

// patches frame where more metal is needed.
function patches(box: Box, map: WallMap, of: string): SVGElement | null {
  const short = (map.clean_up as { more_metal?: { from_deg: number; to_deg: number; from_mm: number; to_mm: number }[] } | undefined)?.more_metal ?? [];
  if (of !== "build-up" || short.length === 0) {
    return null;
  }
  const length = lengthOf(map);
  return s("g", {}, short.flatMap((patch) => {
    const spans: [number, number][] = patch.to_deg > patch.from_deg ? [[patch.from_deg, patch.to_deg]] : [[patch.from_deg, 360], [0, patch.to_deg]];
    return spans.map(([from, to]) => s("rect", { x: box.x + (from / 360) * box.w, width: ((to - from) / 360) * box.w,
      y: box.y + (patch.from_mm / length) * box.h, height: ((patch.to_mm - patch.from_mm) / length) * box.h, class: "map-short" }));
  }));
}

function cursor(box: Box, map: WallMap, at: { column: number; row: number } | null): SVGElement {
  if (!at) {
    return s("g", { class: "map-cursor" });
  }
  const w = box.w / map.columns;
  const hgt = box.h / map.rows;
  const place = { x: box.x + at.column * w - 2, y: box.y + at.row * hgt - 2, width: w + 4, height: hgt + 4 };
  return s("g", { class: "map-cursor" }, s("rect", { ...place, class: "map-cursor-out" }), s("rect", { ...place, class: "map-cursor-in" }));
}

// extents are how far each finding went on, along the bead: on a helix deeper turn by turn.
function extents(box: Box, map: WallMap, found: Review["extents"]): SVGElement {
  const length = lengthOf(map);
  return s("g", {}, found.flatMap((f) => {
    const y = (turns: number) => box.y + Math.min(1, Math.max(0, (f.depth_mm + turns * map.fall_per_turn_mm) / length)) * box.h;
    return spans(f.angle_deg, f.way_deg).map((part) => s("line", { class: "map-extent",
      x1: box.x + (part.from / 360) * box.w, x2: box.x + (part.to / 360) * box.w, y1: y(part.turnsFrom), y2: y(part.turnsTo) }));
  }));
}

// hungOf are the events that have a place, each with its tag if there is room: at their angle; what concerns a whole pass has no angle, and no tag.
function hungOf(box: Box, map: WallMap, review: Review) {
  const length = lengthOf(map);
  const placed = review.events.filter((e) => isNumber(e.angle_deg) && isNumber(e.depth_mm));
  const tags = hang(placed.map((e) => ({ angle: e.angle_deg!, depth: e.depth_mm! / length })), box);
  return placed.map((event, k) => ({ event, tag: tags[k] ?? null }));
}

function tags(box: Box, map: WallMap, review: Review): SVGElement {
  return s("g", {}, hungOf(box, map, review).flatMap(({ event, tag }) => {
    if (!tag) {
      return [];
    }
    const { x, y, toX, toY } = tag;
    return [s("g", { class: "map-tag", "data-event": event.number }, s("line", { x1: toX, y1: toY, x2: x, y2: y, class: "d-tick" }), s("circle", { cx: x, cy: y - 1, r: 16 }),
      signGroup(stateSign(event.state), x, y, 28), s("text", { x, y: y + 3, "text-anchor": "middle" }, String(event.number)))];
  }));
}

// unmarked says which events stand nowhere on the wall, and why.
function unmarked(box: Box, map: WallMap, review: Review): Child {
  const { events } = review;
  const crowded = hungOf(box, map, review).filter((one) => one.tag === null).length;
  const elsewhere = (words: string, some: typeof events) => (some.length === 0 ? "" : `${words}: ${some.length === 1 ? "event" : "events"} ${some.map((e) => e.number).join(", ")}. `);
  const words = (crowded > 0 ? `${crowded} more ${crowded === 1 ? "event" : "events"} where others are marked: see the list. ` : "") +
    elsewhere("Of whole passes, at no one place", events.filter((e) => e.whole_passes)) + elsewhere("At many places", events.filter((e) => e.spread));
  return words === "" ? null : h("p", { class: "map-words" }, words);
}

// cellWords say a cell to somebody who cannot see it.
function cellWords(all: CellAlone, at: number, map: WallMap, look: View): string {
  const cell = all.cell;
  const place = `${digits(cell.angle_deg, 0)} to ${digits(cell.angle_deg + map.angle_step_deg, 0)} degrees, ${figure(cell.depth_mm, "mm")} to ${withUnit(cell.depth_mm + map.depth_step_mm, "mm")} deep`;
  const found = cell.findings > 0 ? `, ${cell.findings} ${cell.findings === 1 ? "finding" : "findings"}` : "";
  return `${place}: ${[valueWords(look, at, valueIn(all, look)), classWords(look, look.classes[at] ?? "?")].filter((words) => words !== "").join(", ")}${found}`;
}

// valueIn is the value of a cell in a view; null is not known.
export function valueIn(cell: CellAlone, view: View): number | null {
  return cell.values.find((one) => one.of === view.of && one.layer === view.layer)?.value ?? null;
}

// valueWords is the value of a cell; one beyond a limit is never printed like the limit.
export function valueWords(view: View, at: number, value: number | null): string {
  if (!isNumber(value)) {
    return "";
  }
  const limit = view.classes[at] === "l" ? view.low : view.classes[at] === "h" ? view.high : null;
  return isNumber(limit) ? against(value, limit, view.unit)[0] : view.unit === "1" ? digits(value, 3) : withUnit(value, view.unit, view.unit === "mm" ? 2 : undefined);
}

function legendOf(look: View): Child {
  return [
    h("p", { class: "map-words" }, `${look.title}.`),
    h("ul", { class: "legend" }, look.keys.map((key) => h("li", {}, keyOf(key.class), classWords(look, key.class)))),
  ];
}

function keyOf(letter: string): HTMLElement {
  const canvas = h("canvas", { class: "key-hatch", width: 44, height: 24, "aria-hidden": "true" });
  const c = canvas.getContext("2d");
  if (c) {
    paintClass(c, letter, 0, 0, 44, 24, colour);
    c.strokeStyle = colour("line-strong");
    c.strokeRect(0.5, 0.5, 43, 23);
  }
  return canvas;
}
