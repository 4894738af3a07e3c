// All words and marks of the arc page, made from one state by one function without a document: so no two parts of the page can
// contradict each other, and a test can hold it over any state. Its parts are in the files beside
// it; sayterms has the terms.
import type { Live, Schemas } from "../base/api";
import { besideLimits, isNumber, type Reading } from "../base/gauge";
import { stateSign, type Sign } from "../base/state";
import { clockOf, lasting } from "../base/time";
import { counted, digits, figure, shown, unitFor } from "../base/units";
import { callsOf, type Call } from "./saycalls";
import { sayHeat, type Heat } from "./sayheat";
import { sayPlace, type Place } from "./sayplace";
import { ageOf, beyond, capital, clock, fresh, type Age, type Moment, type Stale, type Value } from "./sayterms";

export type Arc = "on" | "off" | "gap" | "lost" | "waiting";
type Channel = Schemas["LiveChannel"];

export interface Said {
  stale: Stale;
  arc: { kind: Arc; word: string; since: string };
  title: string;
  clocks: { pass: string; job: string };
  values: Value[]; // voltage, current, wire speed, travel
  more: Value[]; // rotation, gas flow, temperature
  heat: Heat;
  place: Place;
  calls: Call[];
  unlisted: number; // further ones that the program keeps
  calm: string; // in the place of calls where there are none
  found: string;
  acts: { open: boolean; pass: boolean; ending: string };
}

const main: [string, string, string][] = [["voltage", "Voltage", "V"], ["current", "Current", "A"], ["wire_speed", "Wire speed", "m/min"], ["travel_speed", "Travel", "mm/min"]];
const beside: [string, string, string][] = [["rotation", "Rotation", "rpm"], ["gas_flow", "Gas", "L/min"], ["temperature", "Part", "degC"]];

// sayLive says everything.
export function sayLive(m: Moment): Said {
  const { live } = m;
  const news = m.good && m.now - m.newsAt < fresh;
  const heard = hears(live);
  const stale: Stale = !news ? "page" : heard ? "" : "box";
  const arc = sayArc(m, news, heard);
  const values = main.map((one) => valueOf(live, stale, one));
  const more = beside.map((one) => valueOf(live, stale, one));
  const heat = sayHeat(live, stale);
  const calls = callsOf(m, stale, [...values, ...more], heat);
  return {
    stale, arc, values, more, heat, calls, unlisted: live.alarms_more,
    title: live.title || live.job,
    clocks: { pass: clock((live.pass ?? live.last?.pass)?.arc_time_s), job: clock(live.arc_time_s) },
    place: sayPlace(live, stale),
    calm: calls.length > 0 ? "" : calmOf(live, [...values, ...more]),
    found: foundWords(live),
    acts: { open: live.phase === "recording" && news, pass: live.pass !== null, ending: live.ending?.words ?? "" },
  };
}

// hears tells whether the sensor box is heard: else the numbers are of some time ago.
function hears(live: Live): boolean {
  return live.link.state !== "silent" && live.link.state !== "unplugged" && (live.link.silent_s ?? 0) * 1000 <= fresh;
}

const arcWords: Record<Arc, string> = { on: "ARC ON", off: "ARC OFF", gap: "IN THE GAP", lost: "NO SIGNAL", waiting: "WAITING" };

function sayArc(m: Moment, news: boolean, heard: boolean): Said["arc"] {
  const { live } = m;
  if (!news) {
    return { kind: "lost", word: "NO NEWS", since: `since ${clockOf(new Date(m.newsAt))}` };
  }
  const kind: Arc = live.phase === "waiting" ? "waiting" : !heard ? "lost" : live.arc_on ? "on" : live.in_gap ? "gap" : "off";
  const lasted = kind === "lost" ? live.link.silent_s : kind === "waiting" ? null : live.steady_s;
  const since = isNumber(lasted) ? `for ${lasting(lasted)}${kind === "on" && live.in_gap ? ", where a gap is planned" : ""}` : "";
  return { kind, word: arcWords[kind], since };
}

function valueOf(live: Live, stale: Stale, [name, label, unit]: [string, string, string]): Value {
  const current = live.channels.find((c) => c.name === name);
  const last = live.last?.channels.find((c) => c.name === name);
  const held = !isNumber(current?.value) && isNumber(last?.value);
  const c = held ? last : current;
  const age = ageOf(isNumber(c?.value), held, stale);
  const reading = readingOf(c, unit, age);
  const there = shown(c?.value, reading.unit);
  const { sign, mark } = age === "now" ? { sign: stateSign(reading.state), mark: besideLimits(reading) } : unmarked(age, c !== undefined);
  return {
    name, label, age, sign, mark, reading, unit: unitFor(reading.unit),
    figure: there.value === null ? "—" : digits(there.value, Math.abs(there.value) >= 100 ? 0 : there.decimals), // three figures are read at a glance
    basis: c?.basis && c.basis !== "measured" ? c.basis : "",
    raw: stale === "" ? rawOf(name, live.raw) : "",
  };
}

// readingOf is what the gauge shows: its window always, a value only where it is of now or held.
function readingOf(c: Channel | undefined, unit: string, age: Age): Reading {
  const value = age === "now" || age === "held" ? c?.value : null;
  const out = isNumber(value) && beyond(value, c?.low, c?.high);
  return { value, low: c?.low, high: c?.high, unit: c?.unit ?? unit, state: age !== "now" ? "not judged" : out ? "outside" : c?.state ?? "not judged" };
}

function unmarked(age: Age, sensor: boolean): { sign: Sign; mark: string } {
  switch (age) {
    case "old": return { sign: "silent", mark: "not fresh" };
    case "held": return { sign: "note", mark: "last arc" };
    default: return { sign: "unjudged", mark: sensor ? "not judged" : "no sensor" };
  }
}

// rawOf is what the box reads of a channel, before anything is made of it.
function rawOf(name: string, raw: Live["raw"]): string {
  switch (raw && name) {
    case "voltage": return `box ${figure(raw!.voltage_v, "V")}`;
    case "current": return `box ${figure(raw!.current_a, "A")}`;
    default: return "";
  }
}

// calmOf says that nothing is out only where something is judged: silence about limits is no praise.
function calmOf(live: Live, values: Value[]): string {
  if (live.phase === "waiting") {
    return "Waiting for the first sample.";
  }
  if (live.seen) {
    return `${capital(live.seen)}.`;
  }
  const judged = values.filter((v) => v.sign === "within" || v.sign === "near");
  if (judged.length === 0) {
    return live.arc_on ? "Nothing is judged yet." : "No arc: nothing is judged now.";
  }
  const near = judged.filter((v) => v.sign === "near").map((v) => v.label.toLowerCase());
  return near.length === 0 ? "No value is out of its limits." : `No value is out of its limits; near one: ${near.join(", ")}.`;
}

function foundWords(live: Live): string {
  const { findings, events } = live.counts;
  return findings === 0 ? "No findings so far" : `${counted(findings, "finding", "findings")} so far, in ${counted(events, "event", "events")}`;
}

// sayTones says whether an alarm would be heard; a browser gives no tone before the page was touched once.
export function sayTones(on: boolean, can: boolean): { sign: Sign; word: string; more: string } {
  if (!on) {
    return { sign: "idle", word: "Tones off", more: "touch for on" };
  }
  return can ? { sign: "good", word: "Tones on", more: "touch for off" } : { sign: "caution", word: "Tones wait", more: "touch once" };
}
