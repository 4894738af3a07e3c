// The calls: what is out, what was out and was not touched yet, and who is not heard. The program keeps them, so that they outlive
// a page; what stands in red on the page and is in none of them gets a call of its own here.
import type { Live } from "../base/api";
import { isNumber } from "../base/gauge";
import type { Sign } from "../base/state";
import { clockOf, lasting, zone } from "../base/time";
import { against, digits, withUnit } from "../base/units";
import type { Heat } from "./sayheat";
import { capital, isOut, type Moment, type Stale, type Value } from "./sayterms";

export type Alarm = Live["alarms"][number];

export interface Call {
  id: string;
  alarm: number | null; // by which the program keeps it until it is touched
  sign: Sign;
  forms: string[]; // the same in fewer and fewer words: the first that fits is shown
  states: string[]; // now or over, for how long, a finding or not yet one; in fewer and fewer words
  side: string; // of which limit, where the words gave that up
  where: string; // at which place, since when
  whole: string; // all of it
  now: boolean;
  lost: boolean; // somebody is not heard, in place of out of limits
  finding: boolean;
  touched: boolean; // it was, and is out still
  loud: boolean; // a tone is due
}

// callsOf are all calls, the most important first: who is not heard, what is out, what was out; the newest first in each.
export function callsOf(m: Moment, stale: Stale, values: Value[], heat: Heat): Call[] {
  const { live } = m;
  const kept = live.alarms.filter((a) => a.now || !(a.seen || m.touched.has(idOf(a))));
  const calls = kept.map((a) => callOf(a, m, stale));
  const outNow = new Set(kept.filter((a) => a.now).map((a) => a.rule));
  const unheard = kept.some((a) => a.now && a.rule === link);
  const mine: Call[] = [];
  if (stale === "page") {
    mine.push(noNews(m));
  }
  if (live.phase === "recording" && stale !== "page" && !unheard) {
    mine.push(...silent(live, stale));
  }
  values.filter((v) => v.sign === "outside" && !outNow.has(v.name === "temperature" ? "interpass" : v.name)).forEach((v) => mine.push(marked(v)));
  if (!outNow.has(heat.rule) && (isOut(heat.sign) || isOut(heat.endsSign))) {
    mine.push(heated(heat));
  }
  const rank = (c: Call) => (c.now ? (c.lost ? 0 : c.finding ? 1 : c.alarm !== null ? 2 : 3) : 4);
  const all = [...mine.map((c) => (m.touched.has(c.id) ? { ...c, touched: true, loud: false } : c)), ...calls];
  return all.map((c, k) => ({ c, k })).sort((a, b) => rank(a.c) - rank(b.c) || a.k - b.k).map(({ c }) => c);
}

const link = "link"; // the rule of an alarm about a box that is not heard well
const idOf = (a: Alarm) => `alarm ${a.id}`;

function signOf(a: Alarm): Sign {
  return a.rule !== link ? "outside" : /unplugged/i.test(a.words) ? "unplugged" : /silent/i.test(a.words) ? "silent" : "doubtful";
}

function callOf(a: Alarm, m: Moment, stale: Stale): Call {
  const lost = a.rule === link;
  const now = a.now && (stale === "" || (lost && stale === "box")); // what is not heard of cannot be called present
  const lasted = isNumber(a.lasted_s) ? lasting(a.lasted_s) : "";
  const judged = lost ? "" : a.finding ? "a finding" : a.now ? "not yet a finding" : "no finding";
  const time = a.now ? (now ? lasted && `for ${lasted}` : "when last heard of") : "over";
  const states = shrinking([joined([time, judged], ", "), joined([a.now ? "" : "over", judged], ", ")]);
  const [forms, side, where] = [formsOf(a), sideOf(a), whereOf(a)];
  const touched = a.seen || m.touched.has(idOf(a));
  return {
    id: idOf(a), alarm: a.id, sign: signOf(a), forms, states, side, where,
    whole: `${joined([forms[0]!, states[0] ?? ""], "; ")}. ${capital(where)}`.trim(), now, lost, finding: a.finding, touched, loud: now && !touched,
  };
}

const short: Record<string, string> = { wire_speed: "Wire", travel_speed: "Travel", heat_input: "Heat", arc_energy: "Energy", gas_flow: "Gas" };

// formsOf gives up words in order of importance: the limit first, then the figure; what is out stays.
function formsOf(a: Alarm): string[] {
  const rule = capital(a.rule.replaceAll("_", " "));
  const brief = short[a.rule] ?? rule;
  const side = sideOf(a);
  if (side !== "") {
    const [value] = against(a.value!, a.limit!, a.unit);
    const both = side === value ? side : `${value}, ${side}`; // "just above 19.0 V" says both
    return shrinking([`${rule} ${both}`, `${brief} ${both}`, `${brief} ${value}`, brief]);
  }
  const words = capital(a.words.trim()) || rule;
  return shrinking([words, words.split(/[:;]|, /)[0]!, brief]);
}

// sideOf names the limit that was passed, in the units of the person.
function sideOf(a: Alarm): string {
  if (!isNumber(a.value) || !isNumber(a.limit) || !a.unit || a.unit === "s") {
    return "";
  }
  const [value, limit] = against(a.value, a.limit, a.unit);
  const above = a.value === a.limit ? a.sign : a.value - a.limit;
  return value.startsWith("just ") ? value : `${above > 0 ? "above" : above < 0 ? "below" : "at"} ${limit}`;
}

const joined = (parts: string[], by: string) => parts.filter((one) => one !== "").join(by);
// shrinking leaves out what is no shorter than what stands before it.
const shrinking = (forms: string[]) => forms.filter((one) => one !== "").reduce<string[]>((list, one) => (list.length === 0 || one.length < list[list.length - 1]!.length ? [...list, one] : list), []);

function whereOf(a: Alarm): string {
  const began = new Date(a.began);
  const numbered = (what: string, n: number | null) => (isNumber(n) && n > 0 ? `${what} ${n}` : "");
  const doubt = isNumber(a.angle_uncertainty_deg) ? ` ± ${digits(a.angle_uncertainty_deg, a.angle_uncertainty_deg < 10 ? 1 : 0)}°` : "";
  return joined([
    isNumber(a.angle_deg) ? `at ${digits(a.angle_deg, 0)}°${doubt}` : "", isNumber(a.depth_mm) ? `${withUnit(a.depth_mm, "mm")} deep` : "",
    numbered("layer", a.layer), numbered("turn", a.turn), numbered("pass", a.pass), Number.isNaN(began.getTime()) ? "" : `${a.now ? "since" : "from"} ${clockOf(began)} ${zone(began)}`, !a.now && isNumber(a.lasted_s) ? `for ${lasting(a.lasted_s)}` : "",
  ], ", ");
}

// own is a call that the program does not keep: it is there as long as what it tells of.
function own(id: string, sign: Sign, forms: string[], state: string, where: string, lost: boolean): Call {
  return { id, alarm: null, sign, forms, states: shrinking([state]), side: "", where, whole: `${joined([forms[0]!, state], "; ")}. ${where}`.trim(), now: true, lost, finding: false, touched: false, loud: lost };
}

function noNews(m: Moment): Call {
  const at = clockOf(new Date(m.newsAt));
  return own("page", "unplugged", [`No news since ${at}`, "No news"], `for ${lasting(Math.max(0, (m.now - m.newsAt) / 1000))}`, "This tablet does not hear the program. The recording goes on without it", true);
}

function silent(live: Live, stale: Stale): Call[] {
  const calls: Call[] = [];
  const since = (l: Live["link"]) => (isNumber(l.silent_s) ? `for ${lasting(l.silent_s)}` : "");
  if (stale === "box") {
    calls.push(live.link.state === "unplugged"
      ? own("box", "unplugged", ["Sensor box unplugged", "Box unplugged"], since(live.link), live.link.words, true)
      : own("box", "silent", ["Sensor box silent", "Box silent"], since(live.link), "Check its cable and its supply", true));
  }
  for (const b of live.boxes) {
    if (b.box !== 0 && (b.link.state === "silent" || b.link.state === "unplugged")) {
      const name = [b.name, b.serial].filter((one) => one).join(" ");
      calls.push(own(`box ${b.box}`, b.link.state, [`Sensor box ${name || `on ${b.link.port}`} ${b.link.state}`, `Second box ${b.link.state}`, `Box ${b.link.state}`], since(b.link), "The arc is recorded without it", true));
    }
  }
  return calls;
}

function marked(v: Value): Call {
  const brief = short[v.name] ?? v.label;
  const said = `${v.figure} ${v.unit}`;
  return own(`mark ${v.name}`, v.sign, shrinking([`${v.label} ${said}, ${v.mark}`, `${brief} ${said}, ${v.mark}`, `${brief} ${said}`, brief]), "not yet a finding", "", false);
}

function heated(heat: Heat): Call {
  const said = `${heat.figure} ${heat.unit}`;
  const so = isOut(heat.sign) ? `${said}, ${heat.mark}` : heat.ends;
  const what = heat.rule === "arc_energy" ? "Arc energy" : "Heat input";
  return own("mark heat", isOut(heat.sign) ? heat.sign : heat.endsSign, shrinking([`${what} ${so}`, `${short[heat.rule]} ${so}`, ...(isOut(heat.sign) ? [`${short[heat.rule]} ${said}`] : []), short[heat.rule]!]), "not yet a finding", "Judged when the pass is complete", false);
}
