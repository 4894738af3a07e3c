// No two parts of the arc page contradict each other, in whatever state a recording is: thousands of states, odd ones among them.
import assert from "node:assert/strict";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import { alarm, calm, states } from "../browser/livestates.mjs";

globalThis.localStorage = { getItem: () => null, setItem: () => undefined };
globalThis.matchMedia = () => ({ matches: false });
Object.defineProperty(globalThis, "navigator", { value: { language: "en-GB" }, configurable: true });

const made = await build({
  stdin: { contents: 'export * from "./live/say"; export { setUnits } from "./base/prefs";', resolveDir: fileURLToPath(new URL("../web", import.meta.url)), loader: "ts" },
  bundle: true, format: "esm", write: false, target: "node20",
});
const { sayLive, sayTones, setUnits } = await import("data:text/javascript;base64," + Buffer.from(made.outputFiles[0].contents).toString("base64"));

const momentOf = (live, more = {}) => ({ live, good: true, newsAt: 1e12, now: 1e12 + 100, touched: new Set(), ...more });

// random is a stream of numbers that a seed gives again.
function random(seed) {
  let s = seed;
  const next = () => {
    s = (s + 0x6d2b79f5) | 0;
    let t = Math.imul(s ^ (s >>> 15), 1 | s);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const pick = (list) => list[Math.floor(next() * list.length)];
  return { next, pick, perhaps: (p) => next() < p };
}

const margins = ["within", "near", "outside", "not judged"];
const verdicts = [null, "within", "within, near a limit", "outside", "outside, near a limit"];

// anyState is one that no program has to be able to reach: the words have to agree all the same.
function anyState({ next, pick, perhaps }) {
  const live = calm();
  const mild = perhaps(0.3); // most of what is random is out of a limit somewhere
  const odd = (value) => (perhaps(0.15) ? null : value);
  const channels = (list) => list.filter(() => !perhaps(0.1)).map((c) => {
    const value = odd(c.value * (mild ? 1 : 0.7 + 0.6 * next()));
    return { ...c, value, low: odd(c.low), high: odd(c.high), state: value === null ? pick(["not judged", "outside"]) : pick(mild ? ["within", "near"] : margins), basis: odd(pick(["measured", "derived", "declared"])) };
  });
  const pass = () => ({ ...live.pass, number: 1 + Math.floor(9 * next()), layer: odd(1), pattern: pick(["helix", "rings", "segment-reversing", "segment-one-way", null]), value: odd(mild ? 0.4 : 0.6 * next()), low: odd(0.25), high: odd(0.55),
    planned_turns: pick([null, 0, 0.4, 1, 4]), verdict: pick(mild ? [null, "within"] : verdicts), expanded_uncertainty: odd(0.01), forecast: odd({ value: odd(0.5), remaining_s: odd(10), state: mild ? "within" : pick(margins) }), judged: pick(["heat input", "arc energy"]) });
  const alarms = Array.from({ length: mild ? 0 : Math.floor(4 * next()) }, (_, k) => alarm({ id: k, rule: pick(["voltage", "current", "wire_speed", "heat_input", "arc_energy", "interpass", "link", "arc_out", "wire_without_arc"]),
    now: perhaps(0.5), finding: perhaps(0.5), seen: perhaps(0.3), value: odd(22.1), limit: odd(pick([19, 22.1, 22.0999999999])), unit: pick(["V", "m/min", "s", ""]), words: pick(["", "sensor box silent", "sensor box unplugged: gone", "voltage 22.1 V, limit 19.0 V"]),
    began: pick(["2026-05-04T08:03:10Z", "", "yesterday"]), pass: odd(3), layer: odd(0), turn: odd(1), angle_deg: odd(97), angle_uncertainty_deg: odd(2), depth_mm: odd(1), lasted_s: pick([0, 0.2, 42, 5000]) }));
  const state = pick(["good", "good", "good", "doubtful", "silent", "unplugged"]);
  return {
    ...live, title: pick(["", live.title]), phase: pick(["waiting", "recording", "recording", "recording", "recording", "ended", "failed"]), arc_on: perhaps(0.6), in_gap: perhaps(0.3), steady_s: odd(3), channels: channels(live.channels), raw: odd(live.raw),
    pass: perhaps(0.3) ? null : pass(), held: perhaps(0.4), last: perhaps(0.5) ? null : { channels: channels(live.channels), pass: odd(pass()), ended_s: odd(42) },
    place: odd({ ...live.place, turn: odd(pick([0, 1, 5])), layer: odd(pick([0, 1, 4])), layers: odd(3), angle_deg: odd(118), angle_uncertainty_deg: odd(4), depth_mm: odd(6.9), angle_by: odd("counted") }),
    alarms, alarms_more: pick([0, 0, 7]), ending: odd(null) ?? pick([null, { words: "it waits for the arc to go out" }]), seen: pick([null, null, "the wire is jogged"]),
    link: { ...live.link, state, silent_s: odd(state === "silent" || state === "unplugged" ? 4 : pick([0.1, 0.1, 0.1, 3])) },
    boxes: perhaps(0.7) ? [] : [{ box: 0, name: null, serial: null, link: live.link }, { box: 1, name: odd("gas"), serial: odd("G-7"), link: { ...live.link, state: pick(["good", "silent", "unplugged"]) } }],
    counts: { passes: pick([0, 1, 3]), findings: pick([0, 2]), events: pick([0, 1]), warnings: 0 }, bore: odd(live.bore), next: odd(live.next),
  };
}

const out = (sign) => sign === "outside" || sign === "nearout";
const praise = /no value is out/i;

// agree holds what is said of one state against itself.
function agree(said, m) {
  const { live } = m;
  const all = [...said.values, ...said.more];
  const marks = [...all.map((v) => v.sign), said.heat.sign, said.heat.endsSign];
  const words = JSON.stringify(said);

  // What stands in red has a call that is out now; and nobody says that nothing is out.
  if (marks.some(out)) {
    assert.ok(said.calls.some((c) => c.now && !c.lost), "what is marked outside has a call");
  }
  if (marks.some(out) || said.calls.length > 0) {
    assert.equal(said.calm, "", "calm words beside a mark or a call");
    assert.equal(praise.exec(words)?.[0], undefined);
  }
  assert.ok(said.calls.length > 0 || said.calm !== "", "something is said of the limits");
  if (praise.test(said.calm)) {
    assert.ok(all.some((v) => v.age === "now" && (v.sign === "within" || v.sign === "near")), "nothing is out, of what is judged");
  }
  for (const v of all) {
    assert.equal(out(v.sign), v.reading.state === "outside", `${v.name}: mark and gauge`);
    assert.ok(!out(v.sign) || v.age === "now", `${v.name}: only what is of now is marked`);
    const { value, low, high } = v.reading;
    if (v.age === "now" && ((low !== null && value < low) || (high !== null && value > high))) {
      assert.equal(v.sign, "outside", `${v.name}: ${value} of ${low} to ${high}`);
    }
  }
  assert.equal(out(said.heat.sign), said.heat.reading.state === "outside", "heat: mark and gauge");

  // Where page or box is not heard nothing is shown as present.
  if (said.stale !== "") {
    assert.ok([...all, said.heat, said.place].every((v) => v.age === "old" || v.age === "none"), "every value is struck out");
    assert.ok(!marks.some((sign) => sign === "within" || sign === "near" || out(sign)), "no mark is of now");
    assert.ok(said.arc.kind === "lost" || said.arc.kind === "waiting", "nothing is said of the arc");
    assert.ok(!said.place.burning && said.values.every((v) => v.raw === "" && v.reading.value === null));
    assert.ok(said.calls.every((c) => !c.now || c.lost), "no call about the arc is of now");
    if (live.phase === "recording" || said.stale === "page") {
      assert.ok(said.calls.some((c) => c.lost && c.now), "who is not heard has a call");
    }
    assert.equal(/The torch is at/.exec(words)?.[0], undefined);
  }
  for (const v of [...all, said.heat]) {
    assert.equal(v.age === "none", v.figure === "—", `${v.name ?? "heat"}: a figure has an age`);
    const now = v === said.heat ? live.pass : live.channels.find((c) => c.name === v.name)?.value ?? null;
    assert.ok(v.age !== "now" || now !== null, `${v.name ?? "heat"}: what is of the last arc is held`);
    assert.ok(v.age !== "held" || /last arc/.test(v.mark), "what is held says so");
  }

  // Numbers of what there is none of.
  assert.equal(/\b0 of|of 0\b|turn 0\b|layer 0\b|NaN|undefined|Infinity|null(?! *[,}\]])/.exec(words)?.[0], undefined);
  for (const part of [said.place.turn, said.place.layer]) {
    const of = /of (\d+)/.exec(part.more);
    assert.ok(!of || Number(of[1]) >= Number(part.figure), `${part.figure} ${part.more}`);
  }
  if (live.counts.passes > 0 || live.pass || live.last?.pass || live.alarms.some((a) => a.pass > 0)) {
    assert.equal(/No pass has begun/.exec(words)?.[0], undefined);
  }

  // Calls.
  const ids = said.calls.map((c) => c.id);
  assert.equal(new Set(ids).size, ids.length, "no call stands there twice");
  for (const c of said.calls) {
    assert.ok(c.forms.length > 0 && c.forms.every((one) => one.trim() !== "") && c.whole.trim() !== "", `${c.id} has words`);
    assert.ok(c.forms.every((one, k) => k === 0 || one.length <= c.forms[k - 1].length), `shorter and shorter: ${c.forms}`);
    assert.ok(c.states.every((one) => !c.now || !/over/.test(one)), "what is out is not over");
    assert.ok(c.lost || c.finding === false || c.states.some((one) => /a finding/.test(one)), "a finding is called one");
    assert.ok(!(c.loud && c.touched), "what was touched is silent");
  }
  for (const a of live.alarms) {
    const seen = a.seen || m.touched.has(`alarm ${a.id}`);
    assert.equal(said.calls.some((c) => c.alarm === a.id), a.now || !seen, `alarm ${a.id}: it stands until it is over and touched`);
    const call = said.calls.find((c) => c.alarm === a.id);
    if (call && !a.finding && call.lost === false) {
      assert.ok(call.states.every((one) => /not yet a finding|no finding/.test(one)), call.states);
    }
    if (call && !a.now) {
      assert.ok(call.states.every((one) => /over/.test(one)), "what is over says so");
    }
  }
  const rank = (c) => (c.now ? (c.lost ? 0 : 1) : 2);
  assert.ok(said.calls.every((c, k) => k === 0 || rank(c) >= rank(said.calls[k - 1])), "what is out stands before what was out");
}

test("no two parts of the page contradict each other, in any state", () => {
  const seen = { out: 0, stale: 0, held: 0, calm: 0 };
  for (let seed = 1; seed <= 4000; seed++) {
    const r = random(seed);
    const m = momentOf(anyState(r), { good: !r.perhaps(0.1), now: 1e12 + (r.perhaps(0.1) ? 5000 : 100), touched: new Set(r.perhaps(0.2) ? ["alarm 0", "box"] : []) });
    setUnits(r.perhaps(0.3) ? "us" : "metric");
    const said = sayLive(m);
    try {
      agree(said, m);
    } catch (thrown) {
      thrown.message = `seed ${seed}: ${thrown.message}\n${JSON.stringify(m.live)}\n${JSON.stringify(said)}`;
      throw thrown;
    }
    seen.out += said.values.some((v) => out(v.sign)) ? 1 : 0;
    seen.stale += said.stale === "" ? 0 : 1;
    seen.held += said.values.some((v) => v.age === "held") ? 1 : 0;
    seen.calm += praise.test(said.calm) ? 1 : 0;
  }
  setUnits("metric");
  assert.ok(Object.values(seen).every((n) => n > 40), `states of every kind were seen: ${JSON.stringify(seen)}`);
});

test("the states that have a name say what they are", () => {
  const all = states();
  const said = Object.fromEntries(Object.entries(all).map(([name, live]) => [name, sayLive(momentOf(live))]));
  Object.entries(all).forEach(([name, live]) => agree(said[name], momentOf(live)));
  assert.equal(said.calm.calm, "No value is out of its limits.");
  assert.equal(said.near.calm, "No value is out of its limits; near one: voltage.");
  assert.equal(said.waiting.calm, "Waiting for the first sample.");
  assert.equal(said["between passes"].calm, "No arc: nothing is judged now.");
  assert.deepEqual(said["between passes"].values.map((v) => [v.figure, v.age]), [["17.5", "held"], ["142", "held"], ["5.52", "held"], ["361", "held"]]);
  assert.equal(said["between passes"].heat.title, "Heat input, pass 2");
  assert.equal(said["between passes"].heat.mark, "last arc, 0:42 ago");
  assert.deepEqual(said["out, not yet a finding"].calls.map((c) => [c.forms[0], c.states[0]]), [["Voltage 22.1 V, above 19.0 V", "for 0.4 s, not yet a finding"]]);
  assert.deepEqual(said["out, and nobody says so"].calls.map((c) => [c.forms[0], c.states[0], c.loud]), [["Voltage 22.1 V, above 19.0", "not yet a finding", false]]);
  assert.deepEqual(said.over.calls.map((c) => c.whole), ["Voltage 22.1 V, above 19.0 V; over, no finding. At 97° ± 2.0°, 12.3 mm deep, layer 1, turn 3, pass 2, from " + said.over.calls[0].where.split("from ")[1]]);
  assert.match(said.over.calls[0].where, /from \d\d:\d\d:10 \S+, for 2\.4 s$/);
  assert.deepEqual(said["heat out"].calls.map((c) => c.forms[0]), ["Heat input 0.612 kJ/mm, outside so far"]);
  const told = { ...all["heat out"], alarms: [alarm({ rule: "heat_input", value: 0.612, limit: 0.55, unit: "kJ/mm" })] };
  assert.deepEqual(sayLive(momentOf(told)).calls.map((c) => c.id), ["alarm 1"], "what the program tells is not told twice");
  assert.equal(said.strokes.place.turn.label, "stroke");
  assert.equal(said.strokes.place.turn.figure, "7");
  assert.equal(said["arc out, pass waits for its end"].acts.ending, "it waits for the arc to go out and stay out for 0.3 s");
  assert.deepEqual(said["silent, and nobody says so"].calls.map((c) => c.forms[0]), ["Sensor box silent"]);
  assert.equal(said.many.calls.length, 9);
});

test("what was touched is silent, and stands there as long as it is out", () => {
  const live = { ...states()["out, a finding"] };
  const before = sayLive(momentOf(live));
  assert.equal(before.calls[0].loud, true);
  const touched = sayLive(momentOf(live, { touched: new Set(["alarm 1"]) }));
  assert.deepEqual([touched.calls.length, touched.calls[0].loud, touched.calls[0].touched], [1, false, true]);
  const over = { ...calm(), alarms: [alarm({ now: false })] };
  assert.equal(sayLive(momentOf(over)).calls.length, 1);
  assert.equal(sayLive(momentOf(over, { touched: new Set(["alarm 1"]) })).calls.length, 0);
});

test("the tones say whether they would be heard", () => {
  assert.deepEqual([sayTones(false, true).word, sayTones(true, true).word, sayTones(true, false).word], ["Tones off", "Tones on", "Tones wait"]);
});
