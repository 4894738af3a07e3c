// The bead as it grows, on the unrolled wall: the angle across, the depth down from the entry face. What is laid is drawn once and
// stays; a higher layer is a narrower band on the one below, as the terraces of a hill are. A state has a hatching beside its colour.
import { api, aborted, type Bead, type Live } from "../base/api";
import { fill, h, s } from "../base/dom";
import { full, wrap } from "../base/draw";
import { onEvent } from "../base/events";
import { isNumber } from "../base/gauge";
import { colour, hatchIn } from "../base/hatch";
import { onPrefs } from "../base/prefs";
import { ruler } from "../base/ruler";
import { withUnit } from "../base/units";
import type { Said } from "./say";

type Piece = Bead["pieces"][number];

export interface Wall {
  element: HTMLElement;
  set(live: Live, said: Said): void;
}

const margin = { left: 58, right: 16, top: 8, bottom: 26 };

export function liveWall(signal: AbortSignal): Wall {
  const canvas = h("canvas", { "aria-hidden": "true" });
  const axes = s("g", {});
  const torch = s("g", { class: "w-torch" });
  const svg = s("svg", { role: "img", "aria-label": "The unrolled wall" }, axes, torch);
  const caption = h("p", { class: "wall-key" }, "As laid, unrolled. Hatched: near a limit; crossed: out of it; dots: not judged; lozenge: a finding. A narrower band is a higher layer.");
  const element = h("figure", { class: "wall-box" }, h("div", { class: "wall-area" }, canvas, svg), caption);
  const sheet = new Sheet(canvas, svg);
  let live: Live | null = null;
  let told = "";
  const redraw = () => {
    if (live) {
      sheet.scale(live);
      fill(axes, axesOf(sheet, live));
      sheet.draw();
    }
  };
  let waiting: Piece[] | null = [];
  const ask = async () => {
    waiting = [];
    let all: Piece[] = [];
    try {
      all = (await api.bead(signal)).pieces;
    } catch (thrown) {
      if (aborted(thrown)) {
        return;
      }
    }
    sheet.empty();
    sheet.add([...all, ...waiting]);
    waiting = null;
    redraw();
  };
  const offs = [
    onEvent("bead", (bead) => {
      if (waiting) {
        waiting.push(...bead.pieces);
      } else {
        const before = sheet.step;
        sheet.add(bead.pieces);
        if (sheet.step === before) {
          bead.pieces.forEach((p) => sheet.paint(p));
        } else {
          sheet.draw(); // how wide a band is was not known before
        }
      }
    }),
    onEvent("restart", ask), onPrefs(redraw),
  ];
  const watch = new ResizeObserver(redraw);
  watch.observe(element);
  signal.addEventListener("abort", () => {
    offs.forEach((off) => off());
    watch.disconnect();
  }, { once: true });
  void ask();
  return {
    element,
    set: (now, said) => {
      const first = live === null;
      live = now;
      const key = JSON.stringify([now.bore, now.gaps]);
      if (first || key !== told) {
        told = key;
        redraw();
      }
      torchAt(torch, sheet, said);
      element.dataset["age"] = said.place.age;
      const words = `The unrolled wall, angle across and depth down: ${sheet.words()} ${said.place.whole}`;
      if (svg.getAttribute("aria-label") !== words) {
        svg.setAttribute("aria-label", words);
      }
    },
  };
}

// Sheet is the canvas with what is laid on it.
class Sheet {
  private readonly pieces = new Map<string, Piece>();
  step: number | null = null; // mm from one turn to the next; null until a second turn is laid
  private wide = 0;
  private high = 0;
  length = 0; // of the bore in mm; 0 is not known
  private gaps: Live["gaps"] = [];

  constructor(private readonly canvas: HTMLCanvasElement, private readonly svg: SVGSVGElement) {}

  scale(live: Live): void {
    this.length = live.bore?.length_mm ?? 0;
    this.gaps = live.gaps;
    const box = this.svg.parentElement!;
    [this.wide, this.high] = [Math.max(160, box.clientWidth), Math.max(60, box.clientHeight)];
    this.svg.setAttribute("viewBox", `0 0 ${this.wide} ${this.high}`);
  }

  x(deg: number): number {
    return margin.left + (deg / full) * (this.wide - margin.left - margin.right);
  }

  y(mm: number): number {
    return margin.top + (this.length > 0 ? mm / this.length : 0) * (this.high - margin.top - margin.bottom);
  }

  empty(): void {
    this.pieces.clear();
    this.step = null;
  }

  // add keeps pieces; one that is told again takes the place of the former.
  add(pieces: Piece[]): void {
    for (const p of pieces) {
      this.pieces.set(`${p.pass} ${p.turn} ${p.from_deg}`, p);
      const before = this.pieces.get(`${p.pass} ${p.turn - 1} ${p.from_deg}`);
      if (this.step === null && isNumber(before?.depth_mm) && isNumber(p.depth_mm) && before.depth_mm !== p.depth_mm) {
        this.step = Math.abs(p.depth_mm - before.depth_mm);
      }
    }
  }

  words(): string {
    const all = [...this.pieces.values()];
    const out = all.filter((p) => p.state === "outside").length;
    return all.length === 0 ? "nothing is laid yet." : `${all.length} pieces are laid, ${out} of them out of a limit.`;
  }

  draw(): void {
    const ratio = devicePixelRatio || 1;
    this.canvas.width = Math.round(this.wide * ratio);
    this.canvas.height = Math.round(this.high * ratio);
    const c = this.context();
    c.fillStyle = colour("hollow");
    c.fillRect(this.x(0), this.y(0), this.x(full) - this.x(0), this.high - margin.top - margin.bottom);
    for (const gap of this.gaps ?? []) {
      const from = wrap(gap.from_deg);
      this.parts(from, from + wrap(gap.to_deg - gap.from_deg)).forEach(([a, b]) => hatchIn(c, "level", a, margin.top, b - a, this.high - margin.top - margin.bottom, colour("line"), 8));
    }
    this.pieces.forEach((p) => this.paint(p));
  }

  // paint draws one piece over what lies there.
  paint(p: Piece): void {
    if (!isNumber(p.depth_mm) || this.length <= 0) {
      return;
    }
    const c = this.context();
    const row = this.y(this.step ?? this.length / 20) - this.y(0);
    const band = Math.max(2, row * Math.max(0.25, 1 - 0.22 * ((p.layer ?? 1) - 1)));
    const y = this.y(p.depth_mm) - band / 2;
    for (const [a, b] of this.parts(p.from_deg, p.to_deg)) {
      c.fillStyle = colour(p.state === "within" ? ((p.layer ?? 1) % 2 === 0 ? "straw" : "bead") : "hollow");
      c.fillRect(a, y, b - a, band);
      if (p.state !== "within") {
        hatchIn(c, p.state === "outside" ? "cross" : p.state === "near" ? "rising" : "dots", a, y, b - a, band, colour(p.state === "outside" ? "outside" : p.state === "near" ? "near" : "off"), 6);
      }
      c.strokeStyle = colour("plate");
      c.lineWidth = 1;
      c.strokeRect(a - 0.5, y, b - a + 1, band);
    }
    if (p.finding) {
      this.lozenge(c, this.x(wrap((p.from_deg + p.to_deg) / 2)), this.y(p.depth_mm));
    }
  }

  private lozenge(c: CanvasRenderingContext2D, x: number, y: number): void {
    c.beginPath();
    [[0, -6], [6, 0], [0, 6], [-6, 0]].forEach(([a, b]) => c.lineTo(x + a!, y + b!));
    c.closePath();
    c.fillStyle = colour("open");
    c.fill();
    c.lineWidth = 1.5;
    c.strokeStyle = colour("hollow");
    c.stroke();
  }

  // parts cuts an arc at the reference mark, where the wall is unrolled.
  parts(from: number, to: number): [number, number][] {
    const [a, b] = [Math.min(from, to), Math.max(from, to)];
    const start = wrap(a);
    const end = start + Math.min(full, b - a);
    return end <= full ? [[this.x(start), this.x(end)]] : [[this.x(start), this.x(full)], [this.x(0), this.x(end - full)]];
  }

  private context(): CanvasRenderingContext2D {
    const c = this.canvas.getContext("2d")!;
    const ratio = devicePixelRatio || 1;
    c.setTransform(ratio, 0, 0, ratio, 0, 0);
    return c;
  }
}

function axesOf(sheet: Sheet, live: Live): SVGElement[] {
  const [left, right, top] = [sheet.x(0), sheet.x(full), sheet.y(0)];
  const bottom = sheet.length > 0 ? sheet.y(sheet.length) : top;
  const angles = [0, 90, 180, 270, 360].map((deg) => s("g", {}, s("line", { x1: sheet.x(deg), x2: sheet.x(deg), y1: bottom, y2: bottom + 6, class: "d-tick" }),
    s("text", { x: sheet.x(deg), y: bottom + 22, "text-anchor": deg === 360 ? "end" : "middle" }, `${deg}°`)));
  const depths = sheet.length <= 0 ? [s("text", { x: left + 8, y: top + 24 }, "The length of the bore is not known.")] : ruler(sheet.length, 6).map((tick) => s("g", {},
    s("line", { x1: left - 6, x2: left, y1: sheet.y(tick.mm), y2: sheet.y(tick.mm), class: "d-tick" }), s("text", { x: left - 9, y: sheet.y(tick.mm) + 6, "text-anchor": "end" }, tick.text)));
  return [s("title", {}, `Entry face at the top, end at ${withUnit(live.bore?.length_mm, "mm")}`), ...angles, ...depths, s("line", { x1: left, x2: right, y1: top, y2: top, class: "d-face" })];
}

// torchAt draws where the torch stands, as wide as that is uncertain: a star while it burns, else a ring.
function torchAt(torch: SVGGElement, sheet: Sheet, said: Said): void {
  const { deg, mm, doubtDeg, burning } = said.place;
  torch.toggleAttribute("hidden", deg === null || sheet.length <= 0);
  if (deg === null || sheet.length <= 0) {
    return;
  }
  const y = sheet.y(Math.min(sheet.length, Math.max(0, mm ?? 0)));
  const at = wrap(deg);
  const half = Math.min(full / 2, doubtDeg ?? full / 2);
  const bars = ["w-halo", "w-doubt"].map((look) => sheet.parts(at - half, at + half).map(([a, b]) => s("path", { d: `M${a} ${y}H${b}M${a} ${y - 11}v22M${b} ${y - 11}v22`, class: look })));
  fill(torch, bars, s("g", { transform: `translate(${sheet.x(at).toFixed(1)} ${y.toFixed(1)})` }, burning
    ? s("path", { class: "w-star", transform: "scale(.6)", d: "M0-15 4-5 14-8 7 0l7 8-10-3-4 10-4-10-10 3 7-8-7-8 10 3z" }) : s("circle", { class: "w-ring", r: 9 })));
}
