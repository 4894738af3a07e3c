// The wall unrolled: angle across, depth down, the entry face at the top. A cell is chosen by touch or with the arrow keys.
import { fill, h, s, type Child } from "../base/dom";
import { isNumber } from "../base/gauge";
import { colour, hatchIn } from "../base/hatch";
import { onPrefs } from "../base/prefs";
import { ruler } from "../base/ruler";
import { signGroup, stateSign } from "../base/state";
import { digits, figure, unitFor, withUnit } from "../base/units";
import { lengthOf, type Cell, type Review, type WallMap } from "./data";
import { hang, spans } from "./marks";
import { domainOf, flagged, looksOf, shade, type Domain, type Look } from "./mapscale";

export interface Chosen {
  column: number;
  row: number;
  cell: Cell | null;
}

export interface WallView {
  element: HTMLElement;
  choose(column: number, row: number): void;
  end(): void;
}

const left = 50;
const top = 30;
const foot = 10;
const room = 16; // to the right, for half a label

// wallView draws the map. chosen is told which cell a person looks at; open, that it is to be opened.
export function wallView(review: Review, map: WallMap, chosen: (where: Chosen) => void, open: () => void): WallView {
  const looks = looksOf(review);
  let look = looks[0]!;
  let at: { column: number; row: number } | null = null;
  const canvas = h("canvas", { class: "map-canvas", "aria-hidden": "true" });
  const over = s("svg", { class: "map-over", "aria-hidden": "true" });
  const legend = h("div", { class: "map-legend" });
  const spoken = h("p", { class: "unseen", role: "status" });
  const area = h("div", { class: "map-area", tabindex: "0", role: "application", "aria-roledescription": "unrolled wall",
    "aria-label": `The wall unrolled, ${map.columns} cells round and ${map.rows} deep. Arrow keys move, Enter opens the waveform.`,
    onkeydown: (event: KeyboardEvent) => key(event), onclick: (event: MouseEvent) => tap(event) }, canvas, over);
  const buttons = looks.map((one) => h("button", { type: "button", "aria-pressed": String(one === look), "data-mode": one.mode, onclick: () => show(one) }, one.name));
  const cellAt = (column: number, row: number) => map.cells[row * map.columns + column] ?? null;
  const size = () => ({ width: Math.max(200, area.clientWidth), height: mapHeight(area.clientWidth, map) });
  const box = () => {
    const { width, height } = size();
    return { x: left, y: top, w: width - left - room, h: height - top - foot };
  };
  const show = (one: Look) => {
    look = one;
    buttons.forEach((button, k) => {
      button.setAttribute("aria-pressed", String(looks[k] === one));
      button.classList.toggle("go", looks[k] === one);
    });
    draw();
  };
  const draw = () => {
    const { width, height } = size();
    area.style.height = `${height}px`;
    const domain = domainOf(look, map.cells);
    paint(canvas, width, height, box(), map, look, domain);
    over.setAttribute("viewBox", `0 0 ${width} ${height}`);
    over.setAttribute("width", String(width));
    over.setAttribute("height", String(height));
    fill(over, rulers(box(), map), patches(box(), map, look), extents(box(), map, review), tags(box(), map, review), cursor(box(), map, at));
    fill(legend, legendOf(look, domain, map));
  };
  const choose = (column: number, row: number) => {
    at = { column: (column + map.columns) % map.columns, row: Math.min(map.rows - 1, Math.max(0, row)) };
    const cell = cellAt(at.column, at.row);
    over.querySelector(".map-cursor")?.replaceWith(cursor(box(), map, at));
    spoken.textContent = cell ? cellWords(cell, map, look) : "nothing is known of this cell";
    chosen({ ...at, cell });
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
  show(look);
  return {
    element: h("section", { class: "map", "aria-label": "The wall unrolled" },
      h("div", { class: "segments", role: "group", "aria-label": "What the map shows" }, buttons), area, legend, spoken),
    choose,
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

const inGap = (cell: Cell) => (cell.planned_share ?? 1) < 0.5;

function paint(canvas: HTMLCanvasElement, width: number, height: number, box: Box, map: WallMap, look: Look, domain: Domain | null): void {
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
  const ink = { line: colour("line-strong"), hollow: colour("hollow"), plate: colour("plate-2") };
  for (let row = 0; row < map.rows; row++) {
    for (let column = 0; column < map.columns; column++) {
      const cell = map.cells[row * map.columns + column];
      // Edges on whole pixels, so that no seam shows.
      const x = Math.round(box.x + (column * box.w) / map.columns);
      const y = Math.round(box.y + (row * box.h) / map.rows);
      const w = Math.round(box.x + ((column + 1) * box.w) / map.columns) - x;
      const hgt = Math.round(box.y + ((row + 1) * box.h) / map.rows) - y;
      paintCell(c, cell, look, domain, x, y, w, hgt, ink);
    }
  }
  c.strokeStyle = ink.line;
  c.lineWidth = 1.5;
  c.strokeRect(box.x, box.y, box.w, box.h);
}

function paintCell(c: CanvasRenderingContext2D, cell: Cell | undefined, look: Look, domain: Domain | null, x: number, y: number, w: number, hgt: number,
  ink: { line: string; hollow: string; plate: string }): void {
  const value = cell ? look.value(cell) : null;
  if (cell && inGap(cell)) {
    c.fillStyle = ink.plate;
    c.fillRect(x, y, w, hgt);
    hatchIn(c, "level", x, y, w, hgt, ink.line, 5);
    return;
  }
  if (look.mode === "findings") {
    c.fillStyle = cell && isNumber(cell.arc_time_s) && cell.arc_time_s > 0 ? ink.plate : ink.hollow;
    c.fillRect(x, y, w, hgt);
    if (value) {
      hatchIn(c, "cross", x, y, w, hgt, colour("open"), 6);
    }
    return;
  }
  if (!isNumber(value) || domain === null) {
    c.fillStyle = ink.hollow;
    c.fillRect(x, y, w, hgt);
    hatchIn(c, "dots", x, y, w, hgt, ink.line, 5);
    return;
  }
  const share = (value - domain.min) / (domain.max - domain.min);
  c.fillStyle = shade(share);
  c.fillRect(x, y, w, hgt);
  if (cell && flagged(look, cell)) {
    hatchIn(c, "cross", x, y, w, hgt, share > 0.5 ? "#ffffff" : "#000000", 6);
  } else if (isNumber(cell?.without_data_s) && cell.without_data_s > 0) {
    hatchIn(c, "dots", x, y, w, hgt, share > 0.5 ? "#ffffff" : "#000000", 5);
  }
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
  const length = lengthOf(map);
  for (const tick of ruler(length, Math.max(2, Math.floor(box.h / 24)))) {
    const y = box.y + (tick.mm / length) * box.h;
    marks.push(s("line", { x1: box.x - 7, x2: box.x, y1: y, y2: y, class: "d-tick" }),
      s("text", { x: box.x - 10, y: y + 5, "text-anchor": "end", class: "map-text" }, tick.mm === 0 ? unitFor("mm") : tick.text));
  }
  return s("g", {}, marks);
}

// patches frame where more metal is needed.
function patches(box: Box, map: WallMap, look: Look): SVGElement | null {
  const short = (map.clean_up as { more_metal?: { from_deg: number; to_deg: number; from_mm: number; to_mm: number }[] } | undefined)?.more_metal ?? [];
  if (look.mode !== "height" || short.length === 0) {
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
function extents(box: Box, map: WallMap, review: Review): SVGElement {
  const length = lengthOf(map);
  return s("g", {}, review.findings.findings.flatMap((f) => {
    if (!isNumber(f.angle_deg) || !isNumber(f.depth_mm) || !isNumber(f.way_deg)) {
      return [];
    }
    const y = (turns: number) => box.y + Math.min(1, Math.max(0, (f.depth_mm! + turns * map.fall_per_turn_mm) / length)) * box.h;
    return spans(f.angle_deg, f.way_deg).map((part) => s("line", { class: "map-extent",
      x1: box.x + (part.from / 360) * box.w, x2: box.x + (part.to / 360) * box.w, y1: y(part.turnsFrom), y2: y(part.turnsTo) }));
  }));
}

// tags hang findings on their places, at their angle; what concerns a whole pass has no angle, and no tag.
function tags(box: Box, map: WallMap, review: Review): SVGElement {
  const length = lengthOf(map);
  const placed = review.findings.findings.filter((f) => isNumber(f.angle_deg) && isNumber(f.depth_mm));
  const hung = hang(placed.map((f) => ({ angle: f.angle_deg!, depth: f.depth_mm! / length })), box);
  return s("g", {}, placed.flatMap((f, k) => {
    const tag = hung[k];
    if (!tag) {
      return [];
    }
    const { x, y, toX, toY } = tag;
    return [s("g", { class: "map-tag" }, s("line", { x1: toX, y1: toY, x2: x, y2: y, class: "d-tick" }), s("circle", { cx: x, cy: y - 1, r: 16 }),
      signGroup(stateSign(f.state), x, y, 28), s("text", { x, y: y + 3, "text-anchor": "middle" }, String(f.number)))];
  }));
}

// cellWords say a cell to somebody who cannot see it.
function cellWords(cell: Cell, map: WallMap, look: Look): string {
  const place = `${digits(cell.angle_deg, 0)} to ${digits(cell.angle_deg + map.angle_step_deg, 0)} degrees, ${figure(cell.depth_mm, "mm")} to ${withUnit(cell.depth_mm + map.depth_step_mm, "mm")} deep`;
  const value = look.value(cell);
  const what = inGap(cell) ? "planned gap" : value === null ? "not known" : look.unit ? `${look.name} ${withUnit(value, look.unit)}` : "";
  const found = (cell.findings ?? 0) > 0 ? `, ${cell.findings} ${cell.findings === 1 ? "finding" : "findings"}` : "";
  return `${place}: ${what}${found}`;
}

function legendOf(look: Look, domain: Domain | null, map: WallMap): Child {
  const keys: [string, string][] = [];
  if (map.cells.some(inGap)) {
    keys.push(["gap", "planned gap"]);
  }
  if (look.mode !== "findings" && map.cells.some((cell) => !inGap(cell) && (look.value(cell) === null || (cell.without_data_s ?? 0) > 0))) {
    keys.push(["unknown", "not known"]);
  }
  if (look.mode !== "findings" && map.cells.some((cell) => !inGap(cell) && flagged(look, cell))) {
    keys.push(["out", look.mode === "height" ? "short of metal" : "outside the window"]);
  }
  if (look.mode === "findings") {
    keys.push(["found", "cells with findings"]);
  }
  const bar = h("span", { class: "scale-bar" });
  bar.style.background = `linear-gradient(90deg, ${[0, 0.2, 0.4, 0.6, 0.8, 1].map(shade).join(", ")})`;
  const window = look.limits.low === null && look.limits.high === null ? "" : look.mode === "height" ? "" :
    ` window ${look.limits.low === null ? "" : figure(look.limits.low, look.unit)} to ${look.limits.high === null ? "" : withUnit(look.limits.high, look.unit)}`;
  return [
    h("p", { class: "map-words" }, `${look.words}${look.unit ? `, ${unitFor(look.unit)}` : ""}.${window ? ` The procedure's${window}.` : ""}`),
    h("ul", { class: "legend" },
      look.mode === "findings" || domain === null ? null : h("li", {}, h("span", {}, figure(domain.min, look.unit, look.decimals)), bar, h("span", {}, figure(domain.max, look.unit, look.decimals)), h("span", { class: "muted" }, "and beyond")),
      keys.map(([name, words]) => h("li", {}, keyOf(name), words))),
  ];
}

function keyOf(name: string): HTMLElement {
  const canvas = h("canvas", { class: "key-hatch", width: 44, height: 24, "aria-hidden": "true" });
  const c = canvas.getContext("2d");
  if (c) {
    const line = colour("line-strong");
    c.fillStyle = name === "out" ? shade(0.2) : colour(name === "gap" || name === "found" ? "plate-2" : "hollow");
    c.fillRect(0, 0, 44, 24);
    hatchIn(c, name === "gap" ? "level" : name === "unknown" ? "dots" : "cross", 0, 0, 44, 24, name === "out" ? "#000000" : name === "found" ? colour("open") : line, name === "found" || name === "out" ? 6 : 5);
    c.strokeStyle = line;
    c.strokeRect(0.5, 0.5, 43, 23);
  }
  return canvas;
}
