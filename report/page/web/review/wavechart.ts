// One chart of a stack: a quantity over a shared axis, with the procedure's limits, what is missing, and marks.
import "uplot/dist/uPlot.min.css";
import uPlot from "uplot";
import { h } from "../base/dom";
import { colour, hatchIn } from "../base/hatch";
import { digits } from "../base/units";
import { cutsOf } from "./wavescale";
import { handle, type View } from "./waveview";

export interface Mark {
  from: number;
  until: number;
  text: string; // beside it, on the first chart
  kind: "finding" | "chosen" | "place";
}

export interface Curve {
  stroke: string; // a colour of the theme
  dash?: number[];
  width: number;
}

export interface ChartOptions {
  words: string; // name and unit
  decimals: number;
  height: number;
  curves: Curve[];
  axis: boolean; // figures under it
  label(at: number, step: number): string;
  steps?: number[];
  low: number | null;
  high: number | null;
  first: boolean;
}

export type Data = (number | null)[][]; // the axis first

const gutter = 62; // px, for the figures of the values

export class WaveChart {
  readonly element: HTMLElement;
  private readonly box = h("div", { class: "wave-box", "aria-hidden": "true" });
  private plot: uPlot | null = null;
  private range: [number, number] = [0, 1];
  private holes: [number, number][] = [];
  private marks: Mark[] = [];
  private means: Data = [[], []]; // what is held against the limits
  private data: Data;

  constructor(private readonly options: ChartOptions, private readonly view: View, private readonly sync: string, private readonly tapped: (at: number) => void, private readonly pointed: (at: number | null) => void) {
    this.element = h("figure", { class: "wave-figure" }, h("figcaption", {}, options.words), this.box);
    this.data = [[], ...options.curves.map(() => [])];
    this.box.style.height = `${options.height}px`;
  }

  limits(): (number | null)[] {
    return [this.options.low, this.options.high];
  }

  // span is what the values span. It stays as it is where it fits about, so that they do not jump while one shifts.
  span(low: number, high: number): void {
    const [a, b] = [Math.min(low, this.options.low ?? low), Math.max(high, this.options.high ?? high)];
    const rim = 0.07 * (b - a || Math.abs(b) || 1);
    const wanted: [number, number] = [a >= 0 && a < 0.4 * b ? -0.3 * rim : a - rim, b + rim];
    const [now, next] = [this.range[1] - this.range[0], wanted[1] - wanted[0]];
    if (a < this.range[0] || b > this.range[1] || next < 0.7 * now) {
      this.range = wanted;
    }
  }

  set(data: Data, holes: [number, number][], means: Data = [[], []]): void {
    this.data = data;
    this.means = means;
    this.holes = holes;
    if (this.plot) {
      this.plot.batch(() => {
        this.plot!.setData(data as uPlot.AlignedData, false);
        this.plot!.setScale("y", { min: this.range[0], max: this.range[1] });
        this.move();
      });
    } else if (this.box.isConnected) {
      this.build();
    }
  }

  mark(marks: Mark[]): void {
    this.marks = marks;
    this.plot?.redraw(false);
  }

  move(): void {
    this.plot?.setScale("x", { min: this.view.from, max: this.view.until });
  }

  // columns is how many pixels of the screen the curves have.
  columns(): number {
    return Math.max(50, Math.round((this.box.clientWidth - gutter - 30) * (devicePixelRatio || 1)));
  }

  size(): void {
    this.plot?.setSize({ width: this.width(), height: this.options.height });
  }

  rebuild(): void {
    this.end();
    this.build();
  }

  end(): void {
    this.plot?.destroy();
    this.plot = null;
  }

  // value is what a curve has nearest to a point; in a hole there is none.
  value(at: number): number | null {
    const xs = this.data[0] as number[];
    if (!this.plot || xs.length === 0 || this.holes.some(([from, until]) => at > from && at < until)) {
      return null;
    }
    const value = this.data[1]![this.plot.valToIdx(at)];
    return value ?? null;
  }

  // mean is what was held against the limits at a point; null where nothing was.
  mean(at: number): number | null {
    const [xs, ys] = this.means as [number[], (number | null)[]];
    const k = xs.findIndex((x) => x >= at);
    const [a, b] = [ys[k - 1], ys[k]];
    return k < 1 || a === null || b === null || a === undefined || b === undefined ? null : a + ((at - xs[k - 1]!) / (xs[k]! - xs[k - 1]!)) * (b - a);
  }

  private width(): number {
    return Math.max(120, this.box.clientWidth);
  }

  private build(): void {
    const o = this.options;
    const stroke = () => colour("ink-2");
    const grid = { stroke: () => colour("line"), width: 0.5 };
    this.plot = new uPlot({
      width: this.width(),
      height: o.height,
      padding: [o.first ? 28 : 22, 30, 0, 0],
      legend: { show: false },
      cursor: { sync: { key: this.sync }, drag: { x: false, y: false }, y: false, points: { show: false }, bind: { dblclick: () => null, mousedown: () => null, mouseup: () => null } },
      scales: { x: { time: false, auto: false, range: () => [this.view.from, this.view.until] }, y: { auto: false, range: () => this.range } },
      series: [{}, ...o.curves.map((curve) => ({ stroke: () => colour(curve.stroke), width: curve.width, ...(curve.dash ? { dash: curve.dash } : {}), points: { show: (u: uPlot) => this.sparse(u), size: 7, fill: () => colour("ink") }, spanGaps: false }))],
      axes: [
        { stroke, grid, ticks: grid, size: o.axis ? 52 : 8, gap: 4, space: 130, font: "15px system-ui, sans-serif", lineGap: 1.25,
          ...(o.steps ? { incrs: o.steps } : {}),
          values: (_, splits, _axis, _space, step) => splits.map((at) => (o.axis ? o.label(at, step) : "")) },
        { stroke, grid, ticks: grid, size: gutter, space: 34, font: "15px system-ui, sans-serif", values: (_, splits) => splits.map((v) => digits(v, splits.some((one) => !Number.isInteger(one)) ? o.decimals : 0)) },
      ],
      hooks: {
        drawClear: [(u) => this.below(u)],
        draw: [(u) => this.above(u)],
        setCursor: [(u) => this.pointed(u.cursor.left !== undefined && u.cursor.left !== null && u.cursor.left >= 0 ? u.posToVal(u.cursor.left, "x") : null)],
      },
    }, this.data as uPlot.AlignedData, this.box);
    handle(this.plot.over, this.view, this.tapped);
    this.move();
  }

  // sparse tells whether single samples can be told apart.
  private sparse(u: uPlot): boolean {
    const xs = u.data[0];
    return xs.length > 0 && u.bbox.width / uPlot.pxRatio / xs.length > 9;
  }

  private below(u: uPlot): void {
    const { ctx, bbox } = u;
    const { low, high } = this.options;
    ctx.save();
    ctx.beginPath();
    ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.clip();
    if (low !== null || high !== null) {
      const y0 = high === null ? bbox.top : u.valToPos(high, "y", true);
      const y1 = low === null ? bbox.top + bbox.height : u.valToPos(low, "y", true);
      ctx.fillStyle = colour("plate-2");
      ctx.fillRect(bbox.left, y0, bbox.width, y1 - y0);
    }
    for (const m of this.marks) {
      const x = u.valToPos(m.from, "x", true);
      const w = Math.max(2, u.valToPos(m.until, "x", true) - x);
      ctx.globalAlpha = m.kind === "chosen" ? 0.4 : 0.22;
      hatchIn(ctx, "rising", x, bbox.top, w, bbox.height, colour("open"), 14 * uPlot.pxRatio);
      ctx.globalAlpha = 1;
    }
    ctx.restore();
  }

  private above(u: uPlot): void {
    const { ctx, bbox } = u;
    const px = uPlot.pxRatio;
    ctx.save();
    for (const [from, until] of this.holes) {
      const x = Math.max(bbox.left, u.valToPos(from, "x", true));
      const w = Math.min(bbox.left + bbox.width, Math.max(x + 3 * px, u.valToPos(until, "x", true))) - x;
      hatchIn(ctx, "cross", x, bbox.top, w, bbox.height, colour("outside"), 8 * px);
    }
    ctx.strokeStyle = colour("within");
    ctx.lineWidth = 2 * px;
    ctx.setLineDash([9 * px, 6 * px]);
    for (const limit of [this.options.low, this.options.high]) {
      if (limit !== null) {
        const y = u.valToPos(limit, "y", true);
        ctx.beginPath();
        ctx.moveTo(bbox.left, y);
        ctx.lineTo(bbox.left + bbox.width, y);
        ctx.stroke();
      }
    }
    ctx.setLineDash([]);
    this.line(u);
    this.cuts(u);
    let taken = 0; // how far to the right tags stand already
    [...this.marks].sort((a, b) => a.from - b.from).forEach((m) => {
      taken = this.flag(u, m, taken);
    });
    ctx.restore();
  }

  // line draws the mean over its window, on ground of its own so that it stands out of the samples.
  private line(u: uPlot): void {
    const { ctx, bbox } = u;
    const [xs, ys] = this.means as [number[], (number | null)[]];
    ctx.save();
    ctx.beginPath();
    ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.clip();
    ctx.beginPath();
    let drawn = false;
    xs.forEach((x, k) => {
      const y = ys[k];
      if (y === null || y === undefined) {
        drawn = false;
        return;
      }
      ctx[drawn ? "lineTo" : "moveTo"](u.valToPos(x, "x", true), u.valToPos(y, "y", true));
      drawn = true;
    });
    ctx.lineJoin = "round";
    for (const [ink, width] of [["plate", 6], ["ink", 3]] as const) {
      ctx.strokeStyle = colour(ink);
      ctx.lineWidth = width * uPlot.pxRatio;
      ctx.stroke();
    }
    ctx.restore();
  }

  // cuts mark what goes beyond the scale at its edge, with its true value where there is room.
  private cuts(u: uPlot): void {
    const { ctx, bbox } = u;
    const px = uPlot.pxRatio;
    const perPixel = (this.view.until - this.view.from) / (bbox.width / px);
    const xs = this.data[0] as number[];
    ctx.font = `700 ${14 * px}px system-ui, sans-serif`;
    ctx.textBaseline = "middle";
    ctx.textAlign = "left";
    const right = { up: -Infinity, down: -Infinity };
    for (const one of cutsOf(xs, this.data[1] ?? [], this.range[0], this.range[1], 12 * perPixel)) {
      if (one.x < this.view.from || one.x > this.view.until) {
        continue;
      }
      const x = u.valToPos(one.x, "x", true);
      const edge = one.up ? bbox.top : bbox.top + bbox.height;
      const inward = one.up ? 9 * px : -9 * px;
      ctx.fillStyle = colour("outside");
      ctx.beginPath();
      ctx.moveTo(x, edge);
      ctx.lineTo(x - 6 * px, edge + inward);
      ctx.lineTo(x + 6 * px, edge + inward);
      ctx.fill();
      const side = one.up ? "up" : "down";
      const words = digits(one.value, this.options.decimals);
      const width = ctx.measureText(words).width;
      const left = x + 9 * px + width > bbox.left + bbox.width ? x - 9 * px - width : x + 9 * px;
      if (left > right[side]) {
        ctx.lineWidth = 4 * px;
        ctx.strokeStyle = colour("plate");
        ctx.strokeText(words, left, edge + inward);
        ctx.fillStyle = colour("ink");
        ctx.fillText(words, left, edge + inward);
        right[side] = left + width + 16 * px;
      }
    }
  }

  // flag draws the edge of a mark, and on the first chart its number on a tag, beside the tags that stand there.
  private flag(u: uPlot, m: Mark, taken: number): number {
    const { ctx, bbox } = u;
    const px = uPlot.pxRatio;
    const x = Math.max(bbox.left, u.valToPos(m.from, "x", true));
    if (x > bbox.left + bbox.width + 1 || Math.max(m.until, m.from) < this.view.from) {
      return taken;
    }
    ctx.strokeStyle = colour(m.kind === "place" ? "straw" : "open");
    ctx.lineWidth = (m.kind === "chosen" ? 3 : 1.5) * px;
    ctx.beginPath();
    ctx.moveTo(x, bbox.top - (this.options.first ? 4 * px : 0));
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
    if (!this.options.first) {
      return taken;
    }
    ctx.font = `700 ${15 * px}px system-ui, sans-serif`;
    ctx.textAlign = "left";
    ctx.textBaseline = "middle";
    const w = ctx.measureText(m.text).width + 14 * px;
    const left = Math.max(taken, Math.min(bbox.left + bbox.width - w, Math.max(bbox.left, x - w / 2)));
    ctx.fillStyle = m.kind === "chosen" ? colour("open") : colour("plate");
    ctx.fillRect(left, bbox.top - 25 * px, w, 21 * px);
    ctx.lineWidth = 2 * px;
    ctx.strokeRect(left, bbox.top - 25 * px, w, 21 * px);
    ctx.fillStyle = m.kind === "chosen" ? colour("plate") : colour("ink");
    ctx.fillText(m.text, left + 7 * px, bbox.top - 14 * px);
    return left + w + 4 * px;
  }
}
