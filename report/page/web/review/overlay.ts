// One pass laid over another, or over the median of the good ones, place by place.
import { api, aborted, troubleOf, type PassRow, type Reviewed, type Schemas } from "../base/api";
import { fill, h, s, uid, type Child } from "../base/dom";
import { isNumber } from "../base/gauge";
import { again, noteBox, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { onPrefs } from "../base/prefs";
import { icon } from "../base/state";
import { digits, shown, unitText } from "../base/units";
import { limitsOf } from "./data";
import { overlayLink, parted, passLink } from "./passlink";
import { judgedReview } from "./review";
import { WaveChart, type Mark } from "./wavechart";
import { onKeys, View, viewButtons } from "./waveview";

type Comparison = Schemas["Comparison"];
type Bin = NonNullable<Comparison["bins"]>[number];
type Key = "voltage_v" | "current_a" | "power_w" | "wire_speed_m_min";

interface Part {
  quantity?: string;
  first_bin?: number;
  last_bin?: number;
  sentence?: string;
}

const rows: { key: Key; words: string; unit: string; part: string; window: RegExp }[] = [
  { key: "voltage_v", words: "Voltage", unit: "V", part: "voltage", window: /^Voltage/ },
  { key: "current_a", words: "Current", unit: "A", part: "current", window: /^Current/ },
  { key: "power_w", words: "Power", unit: "W", part: "power", window: /^Power/ },
  { key: "wire_speed_m_min", words: "Wire speed", unit: "m/min", part: "wire speed", window: /^Wire speed/ },
];

export function overlayPage(record: string, part: string | undefined): Page {
  const where = parted(part)[1];
  return {
    title: "Passes laid over",
    trail: [{ text: "Home", href: "#/" }, { text: record, href: link("record", record) }],
    quiet: true,
    wide: true,
    render: (root, signal) => {
      root.classList.add("pass-page");
      const ask = async () => {
        try {
          fill(root, waitBox("Reading the record …"));
          const reviewed = await judgedReview(root, record, signal);
          await show(root, record, reviewed, where, signal);
        } catch (thrown) {
          if (!aborted(thrown)) {
            fill(root, troubleBox(troubleOf(thrown)), again(ask), h("p", {}, h("a", { class: "button", href: link("record", record) }, "To the review")));
          }
        }
      };
      return ask();
    },
    leave: () => undefined,
  };
}

async function show(root: HTMLElement, record: string, reviewed: Reviewed, where: URLSearchParams, signal: AbortSignal): Promise<void> {
  const numbers = reviewed.review.passes.map((one) => one.number);
  if (numbers.length < 2) {
    fill(root, noteBox(h("p", {}, "There are no two passes in this record to lay over.")), h("a", { class: "button go", href: link("record", record) }, "To the review"));
    return;
  }
  const asked = Number(where.get("pass") ?? NaN);
  const pass = numbers.includes(asked) ? asked : numbers[numbers.length - 1]!;
  const other = Number(where.get("with") ?? NaN);
  const only = numbers.length === 2 ? numbers.find((one) => one !== pass)! : null; // two passes have no median
  const over = numbers.includes(other) && other !== pass ? other : only;
  const chooser = choose(record, reviewed, pass, over);
  const body = h("div", {}, waitBox("Laying over …"));
  fill(root, chooser, body);
  try {
    const query = over === null ? { pass } : { pass, with: over };
    const comparison = await api.comparison(record, query, (share) => fill(body, waitBox(`${Math.floor(100 * share)} % of the record is judged …`)), signal);
    const { pass: row } = await api.pass(record, pass, () => undefined, signal);
    charts(body, record, reviewed, row, comparison, signal);
  } catch (thrown) {
    if (!aborted(thrown)) {
      const trouble = troubleOf(thrown);
      fill(body, troubleBox(trouble.status === 422 ? Object.assign(trouble, { hint: "Choose another pass above." }) : trouble));
    }
  }
}

function choose(record: string, reviewed: Reviewed, pass: number, over: number | null): HTMLElement {
  const passes = reviewed.review.passes;
  const option = (one: (typeof passes)[number], now: number | null) => h("option", { value: one.number, selected: one.number === now }, `Pass ${one.number}${isNumber(one.layer) ? `, layer ${one.layer}` : ""}`);
  const [a, b] = [uid("this"), uid("other")];
  const go = () => {
    location.hash = overlayLink(record, Number(first.value), second.value === "" ? undefined : Number(second.value));
  };
  const first: HTMLSelectElement = h("select", { id: a, onchange: go }, passes.map((one) => option(one, pass)));
  const second: HTMLSelectElement = h("select", { id: b, onchange: go }, passes.length === 2 ? null : h("option", { value: "", selected: over === null }, "the median of the good ones"),
    passes.filter((one) => one.number !== pass).map((one) => option(one, over)));
  return h("section", { class: "pass-title", "aria-label": "What is laid over what" },
    h("label", { for: a }, lineKey(true), "This pass"), first, h("label", { for: b }, lineKey(false), "laid over"), second,
    h("div", { class: "acts" }, h("a", { class: "button", href: passLink(record, pass) }, `Waveform of pass ${pass}`)));
}

// lineKey shows how a curve is drawn: whole for this pass, dashes for the other.
function lineKey(whole: boolean): SVGElement {
  return s("svg", { viewBox: "0 0 44 14", class: "line-key", "aria-hidden": "true" }, s("path", { d: "M1 7h42", class: whole ? "line-this" : "line-other" }));
}

function charts(body: HTMLElement, record: string, reviewed: Reviewed, pass: PassRow, comparison: Comparison, signal: AbortSignal): void {
  const bins = comparison.bins ?? [];
  if (bins.length === 0) {
    fill(body, noteBox(h("p", {}, "The two have no place in common.")));
    return;
  }
  const width = comparison.bin_width ?? 1;
  const xs = bins.map((bin) => (bin.from ?? 0) + width / 2);
  const turns = comparison.along === "turns";
  const view = new View((bins[0]!.from ?? 0), (bins[bins.length - 1]!.from ?? 0) + width, 8 * width);
  const parts = (comparison.parts ?? []) as Part[];
  const readout = h("p", { class: "wave-readout" }, hint);
  const binAt = (at: number) => bins[Math.min(bins.length - 1, Math.max(0, Math.floor((at - (bins[0]!.from ?? 0)) / width)))]!;
  const used = rows.filter((row) => bins.some((bin) => isNumber(bin.this?.[row.key]) || isNumber(bin.reference?.[row.key])));
  const made = used.map((row, k) => {
    const unit = shown(0, row.unit);
    const limits = limitsOf(reviewed.review, row.window);
    const to = (value: number | null | undefined) => (isNumber(value) ? shown(value, row.unit).value : null);
    const chart = new WaveChart({ words: `${row.words}, ${unitText(unit.unit)}`, decimals: unit.decimals, height: k === used.length - 1 ? 174 : 130,
      curves: [{ stroke: "ink-2", width: 2, dash: [7, 5] }, { stroke: "straw", width: 2 }], axis: k === used.length - 1,
      label: (at) => (turns ? `turn ${digits(Math.floor(at + 1e-6) + 1, 0)}\n${angleWords(binAt(at))}` : `${digits(at, 0)} s of arc`), low: to(limits.low), high: to(limits.high), first: k === 0 },
    view, "overlay", () => undefined, (at) => {
      readout.textContent = at === null ? hint : readWords(binAt(at), turns, at, used);
    });
    const data = [xs, bins.map((bin) => to(bin.reference?.[row.key])), bins.map((bin) => to(bin.this?.[row.key]))];
    const there = [...data[1]!, ...data[2]!].filter(isNumber);
    chart.span(Math.min(...there), Math.max(...there));
    return { chart, data, row };
  });
  const element = h("section", { class: "wave plate", tabindex: "0", role: "group", "aria-label": "Passes laid over. Plus and minus zoom, arrows shift, Home shows all." },
    h("div", { class: "wave-bar" }, viewButtons(view, "Whole pass")), made.map((one) => one.chart.element), readout);
  onKeys(element, view);
  view.onChange(() => made.forEach((one) => one.chart.move()));
  const list = partList(record, comparison, parts, bins, pass, (part) => {
    const [from, until] = stretchOf(part, width);
    view.set(from - 0.5 * Math.max(until - from, 20 * width), until + 0.5 * Math.max(until - from, 20 * width));
    element.scrollIntoView({ block: "start" });
  });
  fill(body, element, list);
  made.forEach((one) => {
    one.chart.set(one.data, []);
    one.chart.mark(parts.filter((part) => part.quantity === one.row.part).map((part): Mark => {
      const [from, until] = stretchOf(part, width);
      return { from, until, text: "apart", kind: "finding" };
    }));
  });
  const watch = new ResizeObserver(() => made.forEach((one) => one.chart.size()));
  watch.observe(element);
  let theme = document.documentElement.dataset["theme"];
  const off = onPrefs(() => {
    if (theme !== document.documentElement.dataset["theme"]) {
      theme = document.documentElement.dataset["theme"];
      made.forEach((one) => one.chart.rebuild());
    }
  });
  signal.addEventListener("abort", () => {
    off();
    watch.disconnect();
    made.forEach((one) => one.chart.end());
  }, { once: true });
}

const hint = "Drag to shift, pinch or turn the wheel to zoom.";

const stretchOf = (part: Part, width: number): [number, number] => [(part.first_bin ?? 0) * width, ((part.last_bin ?? part.first_bin ?? 0) + 1) * width];

function angleWords(bin: Bin): string {
  return isNumber(bin.angle_deg) ? `${digits(bin.angle_deg, 0)}°` : "";
}

function readWords(bin: Bin, turns: boolean, at: number, used: typeof rows): string {
  const values = used.map((row) => {
    const unit = shown(0, row.unit);
    const say = (value: number | null | undefined) => (isNumber(value) ? digits(shown(value, row.unit).value ?? value, unit.decimals) : "—");
    return `${say(bin.this?.[row.key])} over ${say(bin.reference?.[row.key])} ${unitText(unit.unit)}`;
  });
  return `${turns ? `turn ${Math.floor(at) + 1}, ${angleWords(bin)}` : `${digits(at, 1)} s of arc`}: ${values.join(", ")}`;
}

// partList says where the two part, and leads there in the charts and in the waveform.
function partList(record: string, comparison: Comparison, parts: Part[], bins: Bin[], pass: PassRow, look: (part: Part) => void): Child {
  const about = comparison.with === null || comparison.with === undefined
    ? `over the median of ${(comparison.good_passes ?? []).length} good passes (${(comparison.good_passes ?? []).join(", ")})` : `over pass ${comparison.with}`;
  return h("section", { class: "plate", "aria-label": "Where they part" }, h("h2", {}, parts.length === 0 ? `Pass ${comparison.pass} ${about}: they do not part` : `Pass ${comparison.pass} ${about}: apart ${parts.length === 1 ? "once" : `${parts.length} times`}`),
    h("ul", { class: "finding-list" }, parts.map((part) => h("li", { class: "finding-line" }, icon("caution"),
      h("div", {}, h("p", {}, part.sentence), h("p", { class: "finding-acts" },
        h("button", { type: "button", onclick: () => look(part) }, "In the charts"),
        h("a", { class: "button", href: waveformOf(record, comparison, part, bins, pass) }, "Waveform")))))));
}

// waveformOf leads to the waveform of a part: by turns where the two are laid over by turns, else about, by the arc time gone.
function waveformOf(record: string, comparison: Comparison, part: Part, bins: Bin[], pass: PassRow): string {
  const from = bins.find((bin) => bin.bin === part.first_bin)?.from ?? (part.first_bin ?? 0) * (comparison.bin_width ?? 1);
  if (comparison.along === "turns") {
    return passLink(record, comparison.pass, { turns: from.toFixed(4) });
  }
  if (!isNumber(pass.start_tick_ns) || !isNumber(pass.end_tick_ns) || !pass.arc_time_s) {
    return passLink(record, comparison.pass);
  }
  return passLink(record, comparison.pass, { at: String(Math.round(pass.start_tick_ns + (from / pass.arc_time_s) * (pass.end_tick_ns - pass.start_tick_ns))) });
}
