// One pass: its waveform, why it was flagged, and the way to its places.
import { api, aborted, troubleOf, type FindingRow, type PassAlone, type PassRow, type Reviewed } from "../base/api";
import { fill, h, uid } from "../base/dom";
import { isNumber } from "../base/gauge";
import { again, noteBox, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { icon, signWords, stateMark, stateSign } from "../base/state";
import { lasting } from "../base/time";
import { digits, figure, withUnit } from "../base/units";
import { causesOf, doubtOf, energyRules, judgedOf, type Cause } from "./data";
import { overlayLink, parted, passLink } from "./passlink";
import { judgedReview } from "./review";
import { waveOf, zoneWords } from "./wave";
import type { Mark } from "./wavechart";
import { turningOf, type Turning } from "./waveturns";

export function passPage(record: string, part: string | undefined): Page {
  const [name, where] = parted(part);
  const number = Number(name);
  return {
    title: `Pass ${name}`,
    trail: [{ text: "Home", href: "#/" }, { text: record, href: link("record", record) }],
    quiet: true,
    wide: true,
    render: (root, signal) => {
      root.classList.add("pass-page");
      const ask = async () => {
        try {
          fill(root, waitBox("Reading the record …"));
          const reviewed = await judgedReview(root, record, signal);
          if (!reviewed.review.passes.some((one) => one.number === number)) {
            fill(root, noteBox(h("p", {}, `There is no pass ${name} in this record.`)), h("a", { class: "button go", href: link("record", record) }, "To the review"));
            return;
          }
          fill(root, waitBox("Reading the waveform …"));
          const alone = await api.pass(record, number, () => undefined, signal);
          show(root, record, reviewed, alone, await readTurning(record, reviewed, alone.pass, signal), where, signal);
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

// readTurning reads the turn counter over the pass. Without one the charts are still there.
async function readTurning(record: string, reviewed: Reviewed, pass: PassRow, signal: AbortSignal): Promise<Turning> {
  const { review, channels } = reviewed;
  const [from, until] = [pass.start_tick_ns, pass.end_tick_ns];
  if (channels?.includes("turns") && isNumber(from) && isNumber(until) && until > from) {
    try {
      const trace = await api.trace(record, { epoch: pass.epoch ?? 0, from, until, columns: 4096, channels: "turns" }, signal);
      return turningOf(pass, trace.lines[0] ?? null, trace.from_ns, review.map);
    } catch (thrown) {
      if (aborted(thrown)) {
        throw thrown;
      }
    }
  }
  return turningOf(pass, null, 0, review.map);
}

function show(root: HTMLElement, record: string, reviewed: Reviewed, alone: PassAlone, turning: Turning, where: URLSearchParams, signal: AbortSignal): void {
  const { pass, findings } = alone;
  const causes = causesOf(alone);
  let chosen: FindingRow | null = findings.find((f) => String(f.number) === where.get("finding")) ?? null;
  const place = placeOf(turning, where);
  const why = h("section", { class: "why", "aria-label": "Why it was flagged", role: "status" });
  const wave = waveOf(record, reviewed, pass, turning, (x) => tapped(x), signal);
  const end = (f: FindingRow) => wave.x(f.tick_ns) + (f.duration_s ?? 0);
  const marks = () => {
    const all: Mark[] = findings.map((f) => ({ from: wave.x(f.tick_ns), until: end(f), text: String(f.number), kind: f === chosen ? "chosen" : "finding" }));
    if (place) {
      all.push({ from: wave.x(place.tick), until: wave.x(place.tick), text: place.words, kind: "place" });
    }
    wave.mark(all);
  };
  const choose = (f: FindingRow | null, move: boolean) => {
    chosen = f;
    fill(why, whyWords(record, alone.flagged, causes, f, (next) => choose(next, true)));
    marks();
    if (f && move) {
      const rim = Math.max(1, 1.2 * (f.duration_s ?? 0));
      wave.view.set(wave.x(f.tick_ns) - rim, end(f) + rim);
    }
  };
  const tapped = (x: number) => {
    const slack = 0.02 * (wave.view.until - wave.view.from);
    const near = findings.filter((f) => x >= wave.x(f.tick_ns) - slack && x <= end(f) + slack);
    if (near.length > 0) {
      choose(near[(near.indexOf(chosen!) + 1) % near.length]!, false);
    }
  };
  fill(root, head(record, reviewed, alone), why, wave.element,
    h("p", { class: "muted" }, zoneWords(reviewed, pass), turning.counted ? " Angles are read from the turn counter." : turning.known ? " Angles are about: the pass is taken to have turned evenly." : " Of the rotation nothing is known."),
    layOver(record, reviewed, pass));
  onCauseKeys(wave.element, why);
  choose(chosen, false);
  const at = Number(where.get("at") ?? NaN);
  if (chosen) {
    choose(chosen, true);
  } else if (Number.isFinite(at)) {
    wave.view.set(wave.x(at) - 3, wave.x(at) + 3);
  } else if (place) {
    wave.view.set(wave.x(place.tick) - 3, wave.x(place.tick) + 3);
  } else {
    wave.view.whole();
  }
}

// placeOf finds when the torch was at a place of the address: an angle and a depth, or turns since the pass began.
function placeOf(turning: Turning, where: URLSearchParams): { tick: number; words: string } | null {
  const number = (key: string) => (where.has(key) ? Number(where.get(key)) : NaN);
  const [angle, depth, turns] = [number("angle"), number("depth"), number("turns")];
  if (Number.isFinite(turns)) {
    const tick = turning.whenTurned(turns);
    return tick === null ? null : { tick, words: "here" };
  }
  if (!Number.isFinite(angle)) {
    return null;
  }
  const tick = turning.whenAt(angle, Number.isFinite(depth) ? depth : null);
  return tick === null ? null : { tick, words: `about ${digits(angle, 0)}°` };
}

function head(record: string, reviewed: Reviewed, { pass, before, after }: PassAlone): HTMLElement {
  const energy = energyRules(reviewed.review);
  const go = (words: string, other: number | null) => (other === null ? null : h("a", { class: "button", href: passLink(record, other), "aria-label": `To pass ${other}` }, words));
  const sign = stateSign(pass.verdict);
  const facts: [string, string][] = [
    [energy ? "Arc energy" : "Heat input", `${figure(judgedOf(pass, energy), "kJ/mm")} ± ${withUnit(doubtOf(pass), "kJ/mm")}`],
    ["Arc time", lasting(pass.arc_time_s)], ["Voltage", withUnit(pass.voltage_mean_v, "V")], ["Current", withUnit(pass.current_mean_a, "A")], ["Travel", withUnit(pass.travel_speed_mm_min, "mm/min")],
  ];
  return h("section", { class: "pass-title", "aria-label": "The pass" },
    h("p", { class: "pass-name" }, h("strong", {}, `Pass ${pass.number}`), isNumber(pass.layer) ? ` layer ${pass.layer} ` : " ", stateMark(sign, signWords[sign])),
    h("dl", { class: "pass-facts" }, facts.map(([what, value]) => h("div", {}, h("dt", {}, what), h("dd", {}, value)))),
    h("div", { class: "acts" }, go(`◀ Pass ${before}`, before), go(`Pass ${after} ▶`, after)));
}

// whyWords says why something was flagged, and leads from one cause to the next, then from finding to finding of a cause.
function whyWords(record: string, inJob: number, causes: Cause[], chosen: FindingRow | null, choose: (f: FindingRow) => void): HTMLElement {
  if (causes.length === 0) {
    return h("div", { class: "box" }, icon("within"), h("p", {}, inJob === 0 ? "Nothing was flagged in this job." : "Nothing was flagged in this pass."));
  }
  const k = causes.findIndex((cause) => chosen !== null && cause.findings.includes(chosen));
  const cause = causes[k];
  const i = cause ? cause.findings.indexOf(chosen!) : -1;
  const step = (words: string, name: string, next: FindingRow | undefined) => h("button", { type: "button", "data-step": name, disabled: next === undefined, onclick: () => {
    choose(next!);
    document.querySelector<HTMLElement>(`.why [data-step="${name}"]:not(:disabled)`)?.focus();
  } }, words);
  return h("div", { class: "box why-box" }, icon(chosen ? stateSign(chosen.state) : "open"),
    h("div", {}, chosen && cause
      ? [h("p", {}, h("strong", {}, `Finding ${chosen.number}: `), chosen.sentence, h("span", { class: "muted" }, ` (${chosen.state})`)),
        h("p", { class: "muted" }, `Event ${cause.number}, ${cause.words}${cause.findings.length > 1 ? `: finding ${i + 1} of its ${cause.findings.length} in this pass` : ""}.`)]
      : h("p", {}, `${causes.length} ${causes.length === 1 ? "event" : "events"} in this pass.`)),
    h("div", { class: "acts" }, step("Event before", "before", k > 0 ? causes[k - 1]!.findings[0] : undefined), step("Next event", "next", causes[k + 1]?.findings[0]),
      cause && cause.findings.length > 1 ? step("Next of this event", "within", cause.findings[(i + 1) % cause.findings.length]) : null,
      chosen ? h("a", { class: "button", href: link("record", record, "inspect") }, "Inspect") : null));
}

// onCauseKeys lets N and P lead over the waveform from event to event, and F from finding to finding of one.
function onCauseKeys(wave: HTMLElement, why: HTMLElement): void {
  const steps: Record<string, string> = { n: "next", p: "before", f: "within" };
  wave.addEventListener("keydown", (event) => {
    const name = steps[event.key.toLowerCase()];
    if (name && !event.ctrlKey && !event.metaKey && !event.altKey) {
      event.preventDefault();
      why.querySelector<HTMLButtonElement>(`[data-step="${name}"]`)?.click();
      wave.focus();
    }
  });
}

function layOver(record: string, reviewed: Reviewed, pass: PassRow): HTMLElement {
  const others = reviewed.review.passes.filter((one) => one.number !== pass.number);
  const id = uid("over");
  const select: HTMLSelectElement = h("select", { id }, others.map((one) => h("option", { value: one.number }, `Pass ${one.number}${isNumber(one.layer) ? `, layer ${one.layer}` : ""}`)));
  return h("section", { class: "plate lay-over", "aria-label": "Lay over" }, h("h2", {}, "Lay this pass over another"),
    others.length === 0 ? h("p", {}, "There is no other pass in this record.") : h("div", { class: "buttons" },
      others.length === 1 ? null : h("a", { class: "button", href: overlayLink(record, pass.number) }, "Over the median of the good ones"),
      h("label", { for: id }, others.length === 1 ? "Over" : "or over"), select,
      h("button", { type: "button", onclick: () => {
        location.hash = overlayLink(record, pass.number, Number(select.value));
      } }, "Lay over")));
}
