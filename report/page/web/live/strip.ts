// Voltage and current of the last half minute: the extremes as a band, the mean as a line. A break stays a break.
import "uplot/dist/uPlot.min.css";
import uPlot from "uplot";
import { api, aborted, type Live, type Strip } from "../base/api";
import { fill, h } from "../base/dom";
import { onEvent } from "../base/events";
import { isNumber } from "../base/gauge";
import { colour } from "../base/hatch";
import { onPrefs } from "../base/prefs";
import { digits, shown, unitFor } from "../base/units";

const window30 = 30; // s on the clock of the box

interface Line {
  unit: string;
  at: number[];
  low: (number | null)[];
  high: (number | null)[];
  mean: (number | null)[];
}

const names: [string, string][] = [["voltage", "Voltage"], ["current", "Current"]];

export interface Strips {
  element: HTMLElement;
  limits(live: Live): void;
}

// liveStrips asks for the strip once and goes on with the events; after a break it asks anew.
export function liveStrips(signal: AbortSignal): Strips {
  const charts = names.map(([channel, words]) => new Chart(channel, words));
  const element = h("section", { class: "strip-charts", "aria-label": "The last half minute" }, charts.map((c) => c.element));
  let epoch = -1;
  let waiting: Strip[] | null = []; // events that came while the whole was on its way
  const take = (strip: Strip, whole: boolean) => {
    if (whole || strip.epoch !== epoch) {
      epoch = strip.epoch;
      charts.forEach((c) => c.empty());
    }
    charts.forEach((c) => c.take(strip));
  };
  const ask = async () => {
    waiting = [];
    try {
      take(await api.strip(signal), true);
    } catch (thrown) {
      if (aborted(thrown)) {
        return;
      }
      charts.forEach((c) => c.empty());
    }
    const later = waiting ?? [];
    waiting = null;
    later.forEach((strip) => take(strip, false));
    charts.forEach((c) => c.draw());
  };
  const offs = [
    onEvent("strip", (strip) => {
      if (waiting) {
        waiting.push(strip);
        return;
      }
      take(strip, false);
      charts.forEach((c) => c.draw());
    }),
    onEvent("restart", ask),
    onPrefs(() => charts.forEach((c) => c.rebuild())),
  ];
  const watch = new ResizeObserver(() => charts.forEach((c) => c.size()));
  charts.forEach((c) => watch.observe(c.element));
  signal.addEventListener("abort", () => {
    offs.forEach((off) => off());
    watch.disconnect();
    charts.forEach((c) => c.end());
  }, { once: true });
  void ask();
  return { element, limits: (live) => charts.forEach((c) => c.limits(live)) };
}

class Chart {
  readonly element: HTMLElement;
  private readonly box = h("div", { class: "strip-chart", "aria-hidden": "true" });
  private readonly head: HTMLElement;
  private line: Line = { unit: "", at: [], low: [], high: [], mean: [] };
  private low: number | null = null;
  private high: number | null = null;
  private plot: uPlot | null = null;

  constructor(private readonly channel: string, private readonly words: string) {
    this.head = h("figcaption", {}, words);
    this.element = h("figure", { class: "strip-figure" }, this.head, this.box);
  }

  empty(): void {
    this.line = { unit: this.line.unit, at: [], low: [], high: [], mean: [] };
  }

  take(strip: Strip): void {
    const more = strip.lines.find((l) => l.channel === this.channel);
    if (!more) {
      return;
    }
    const line = this.line;
    line.unit = more.unit;
    const last = line.at[line.at.length - 1] ?? -Infinity;
    more.at_s.forEach((t, k) => {
      if (t > last) {
        line.at.push(t);
        line.low.push(more.low[k] ?? null);
        line.high.push(more.high[k] ?? null);
        line.mean.push(more.mean[k] ?? null);
      }
    });
    const old = line.at.findIndex((t) => t >= (line.at[line.at.length - 1] ?? 0) - window30);
    if (old > 0) {
      [line.at, line.low, line.high, line.mean].forEach((list) => list.splice(0, old));
    }
  }

  limits(live: Live): void {
    const c = live.channels.find((one) => one.name === this.channel);
    this.low = c?.low ?? null;
    this.high = c?.high ?? null;
  }

  draw(): void {
    if (this.line.at.length === 0) {
      this.end();
      fill(this.head, `${this.words}: nothing yet`);
      return;
    }
    if (!this.plot) {
      this.build();
    }
    this.plot!.setData(this.data());
  }

  rebuild(): void {
    this.end();
    this.draw();
  }

  size(): void {
    this.plot?.setSize({ width: Math.max(80, this.box.clientWidth), height: Math.max(60, this.box.clientHeight) });
  }

  end(): void {
    this.plot?.destroy();
    this.plot = null;
  }

  private data(): uPlot.AlignedData {
    const l = this.line;
    return [l.at, l.high, l.low, l.mean];
  }

  private build(): void {
    fill(this.head, `${this.words}, ${unitFor(this.line.unit)}: extremes and mean, last 30 s`);
    const newest = () => this.line.at[this.line.at.length - 1] ?? 0;
    const axis = { stroke: () => colour("ink-2"), grid: { stroke: () => colour("line"), width: 0.5 }, ticks: { stroke: () => colour("line") }, font: "14px system-ui, sans-serif" };
    const edge = { stroke: () => colour("line-strong"), width: 0.5, points: { show: false } };
    this.plot = new uPlot({
      width: Math.max(80, this.box.clientWidth),
      height: Math.max(60, this.box.clientHeight),
      padding: [6, 18, 0, 0],
      legend: { show: false },
      cursor: { show: false },
      scales: {
        x: { time: false, range: () => [newest() - window30, newest()] },
        y: { range: (_, min, max) => this.span(min, max) },
      },
      series: [{}, edge, edge, { stroke: () => colour("straw"), width: 2, points: { show: false } }],
      bands: [{ series: [1, 2], fill: () => colour("plate-2") }],
      axes: [
        { ...axis, size: 26, incrs: [10], values: (_, splits) => splits.map((t) => `${digits(t - newest(), 0)} s`), splits: () => [-30, -20, -10, 0].map((t) => newest() + t) },
        { ...axis, size: 48, values: (_, splits) => splits.map((v) => digits(shown(v, this.line.unit).value ?? v, 0)) },
      ],
      hooks: { draw: [(u) => this.limitLines(u)] },
    }, this.data(), this.box);
  }

  private span(min: number | null, max: number | null): [number, number] {
    const lows = [min, this.low].filter(isNumber);
    const highs = [max, this.high].filter(isNumber);
    const [a, b] = [Math.min(0, ...lows), Math.max(1, ...highs)];
    return [a, b + 0.06 * (b - a)];
  }

  private limitLines(u: uPlot): void {
    const { ctx, bbox } = u;
    ctx.save();
    ctx.strokeStyle = colour("within");
    ctx.lineWidth = 1.5 * uPlot.pxRatio;
    ctx.setLineDash([8 * uPlot.pxRatio, 5 * uPlot.pxRatio]);
    for (const limit of [this.low, this.high].filter(isNumber)) {
      const y = u.valToPos(limit, "y", true);
      ctx.beginPath();
      ctx.moveTo(bbox.left, y);
      ctx.lineTo(bbox.left + bbox.width, y);
      ctx.stroke();
    }
    ctx.restore();
  }
}
