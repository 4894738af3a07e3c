// States of a recording, to be fed to the arc page without a program: each what may happen while somebody looks away.

const began = "2026-05-04T08:03:10Z";

const channel = (name, unit, value, low, high, state = "within", basis = "measured") => ({ name, unit, value, low, high, state, basis });

export const alarm = (more) => ({
  id: 1, rule: "voltage", sign: 1, words: "voltage 22.1 V, limit 19.0 V", value: 22.1, limit: 19, unit: "V", began, lasted_s: 42, pass: 2, layer: 1, turn: 3,
  angle_deg: 97, angle_uncertainty_deg: 2, depth_mm: 12.3, now: true, finding: false, seen: false, ...more,
});

export function calm() {
  return {
    record: "demo", job: "demo", title: "Demo loader, lower boom pin bore", job_file: "demo", zone: { words: "UTC", offset_s: 0 }, phase: "recording", trouble: null, at: began, epoch: 0, tick_ns: 9e10,
    elapsed_s: 90, arc_on: true, in_gap: false, steady_s: 12.4, arc_time_s: 377, held: false, last: null, ending: null, alarms: [], alarms_more: 0, last_events: [],
    channels: [channel("voltage", "V", 17.5, 16.5, 19), channel("current", "A", 142, 110, 160), channel("wire_speed", "m/min", 5.52, 4.5, 6.5), channel("travel_speed", "mm/min", 361, 280, 420, "within", "derived"),
      channel("rotation", "rpm", 1.25, 0.97, 1.45, "within", "derived"), channel("gas_flow", "L/min", 14.8, 12, 18), channel("temperature", "degC", 123, null, 250)],
    raw: { voltage_v: 17.4, current_a: 141.6 },
    pass: { number: 2, layer: 1, pattern: "helix", elapsed_s: 60, arc_time_s: 54, arc_on_ratio: 0.9, planned_arc_on_ratio: 0.9, turns: 2.3, planned_turns: 4, energy_j: 240e3, judged: "heat input", unit: "kJ/mm",
      value: 0.328, expanded_uncertainty: 0.012, low: 0.25, high: 0.55, verdict: "within", power_basis: "instantaneous", travel_basis: "derived", forecast: { value: 0.331, remaining_s: 74, state: "within" } },
    place: { turn: 3, layer: 1, layers: 3, angle_deg: 118, angle_uncertainty_deg: 4, angle_by: "counted from the first strike", depth_mm: 6.9, layer_done: 0.5 },
    deviations: [], seen: null, next: { layer: 2, diameter_mm: 90, rpm: 1.273, low_rpm: 0.99, high_rpm: 1.48, present_rpm: 1.25 },
    ring: [], gaps: [{ from_deg: 80, to_deg: 116 }], bore: { worn_mm: 92, finish_mm: 90, weld_to_mm: 86, length_mm: 18, layers: 3, start_deg: 0 },
    whose: { words: "measured by box demo 1", change: null, without: [] },
    link: { state: "good", words: "heard", port: "/dev/serial/by-id/box", silent_s: 0.1, frames: 5210, lost: 0, damaged: 0, gaps: 0, rate: 2000 }, boxes: [],
    counts: { passes: 1, findings: 0, events: 0, warnings: 0 }, last_findings: [], durable_samples: 180000,
  };
}

// with gives a channel another value.
function withChannel(live, name, value, state) {
  return { ...live, channels: live.channels.map((c) => (c.name === name ? { ...c, value, state } : c)) };
}

const many = (n, more = {}) => Array.from({ length: n }, (_, k) => alarm({ id: 10 + k, rule: ["voltage", "wire_speed", "travel_speed", "gas_flow", "wire_without_arc"][k % 5],
  words: "wire is fed and no arc burns, at a place that nobody has told this program of", ...(k % 5 === 4 ? { value: null, limit: null, unit: "" } : { value: 22.1 + k, limit: 19, unit: ["V", "m/min", "mm/min", "L/min"][k % 5] }), ...more }));

const none = (live) => ({ ...live, channels: live.channels.map((c) => ({ ...c, value: null, state: "not judged", basis: null })), pass: null, place: null, raw: null });

// states are named; each is a whole Live.
export function states() {
  const live = calm();
  const out = withChannel(live, "voltage", 22.1, "outside");
  const lastArc = { channels: live.channels.filter((c) => c.value !== null), pass: live.pass, ended_s: 42 };
  const unheard = { state: "silent", words: "nothing has come for 4 s", silent_s: 4.2 };
  return {
    waiting: { ...none(live), phase: "waiting", arc_on: false, steady_s: null, arc_time_s: 0, counts: { passes: 0, findings: 0, events: 0, warnings: 0 } },
    calm: live,
    near: withChannel(live, "voltage", 18.9, "near"),
    "out, not yet a finding": { ...out, alarms: [alarm({ lasted_s: 0.4 })] },
    "out, a finding": { ...out, alarms: [alarm({ finding: true })], counts: { ...live.counts, findings: 1, events: 1 }, last_events: [{ number: 1, cause: "a long arc", findings: 1, pass: 2, angle_deg: 97, depth_mm: 12.3, sentence: "Pass 2: voltage up to 22.1 V over 2.4 s, limit 19.0 V." }] },
    "out, and nobody says so": out,
    over: { ...live, alarms: [alarm({ now: false, lasted_s: 2.4 })] },
    many: { ...out, alarms: [...many(3), ...many(6, { now: false }).map((a) => ({ ...a, id: 50 + a.id }))] },
    "long words": { ...live, title: "A job whose title is so long that no place of any page has room for all of it, whatever is done", alarms: [alarm({ rule: "voltage_without_current", value: null, limit: null, unit: "", words: "a voltage is measured without any current, so that the tap may have come off its clamp" })] },
    "heat out": { ...live, pass: { ...live.pass, value: 0.612, verdict: "outside", forecast: { value: 0.62, remaining_s: 20, state: "outside" } } },
    "in the gap": { ...none(live), pass: live.pass, place: live.place, arc_on: false, in_gap: true, held: true, last: lastArc, raw: { voltage_v: 61.2, current_a: 0.1 } },
    "between passes": { ...none(live), arc_on: false, raw: { voltage_v: 0.02, current_a: 0.1 }, held: true, last: lastArc, place: live.place, counts: { passes: 3, findings: 0, events: 0, warnings: 0 } },
    "arc out, pass waits for its end": { ...live, arc_on: false, held: true, last: lastArc, ending: { words: "it waits for the arc to go out and stay out for 0.3 s" } },
    strokes: { ...live, pass: { ...live.pass, pattern: "segment-reversing", number: 7, planned_turns: 0 }, place: { ...live.place, turn: 1 } },
    "jogged wire": { ...none(live), arc_on: false, seen: "the wire is fed and no arc burns, as when it is jogged", place: live.place },
    silent: { ...out, link: { ...live.link, ...unheard }, alarms: [alarm({ id: 2, rule: "link", sign: 0, words: "Sensor box silent", value: null, limit: null, unit: "", lasted_s: 4.2 })] },
    "silent, and nobody says so": { ...live, link: { ...live.link, ...unheard } },
    unplugged: { ...live, link: { ...live.link, state: "unplugged", words: "the port is gone", silent_s: 9 } },
    "two boxes": { ...live, boxes: [{ box: 0, name: "demo", serial: "1", link: live.link }, { box: 1, name: "gas", serial: "G-7", link: { ...live.link, ...unheard, port: "/dev/ttyUSB1" } }],
      alarms: [alarm({ id: 3, rule: "link", sign: 0, words: "sensor box gas G-7 silent: the arc is recorded without it", value: null, limit: null, unit: "", lasted_s: 30 })] },
    "nothing known": { ...none(live), bore: null, next: null, steady_s: null, arc_on: false },
  };
}

// bead is a helix laid over a wall, up to a turn.
export function bead(turns = 3, layer = 1) {
  const pieces = [];
  for (let k = 0; k < turns * 36; k++) {
    const from = (k * 10) % 360;
    if (from < 80 || from >= 120) {
      pieces.push({ pass: layer, layer, turn: Math.floor(k / 36) + 1, from_deg: from, to_deg: from + 10, depth_mm: 1.5 + k / 12,
        state: k % 41 < 3 ? "outside" : k % 29 < 3 ? "near" : k % 53 === 5 ? "not judged" : "within", finding: k % 41 === 1 });
    }
  }
  return pieces;
}

// feed opens the page with a program that says only what it is told.
export async function feed(device, first, pieces = []) {
  const { page, context } = device;
  const seen = [];
  let live = first;
  const json = (route, body) => route.fulfill({ status: 200, contentType: "application/json", body: JSON.stringify(body) });
  await context.addInitScript(() => {
    window.EventSource = class extends EventTarget {
      static CLOSED = 2;
      readyState = 1;
      constructor() {
        super();
        window.told = (kind, body) => this.dispatchEvent(new MessageEvent(kind, { data: JSON.stringify(body) }));
        setTimeout(() => this.onopen?.(), 0);
        setInterval(async () => window.told("live", await (await fetch("/api/recording")).json()), 400); // a page trusts no state for longer than 2 s
      }
      close() {}
    };
  });
  await context.route("**/api/recording", (route) => json(route, live));
  await context.route("**/api/recording/strip", (route) => json(route, { record: "demo", epoch: 0, step_s: 0.25, lines: [] }));
  await context.route("**/api/live/bead", (route) => json(route, { record: "demo", pieces, gone: 0 }));
  await context.route("**/api/live/seen", (route) => {
    seen.push(...route.request().postDataJSON().ids);
    live = { ...live, alarms: live.alarms.filter((a) => a.now || !seen.includes(a.id)).map((a) => ({ ...a, seen: seen.includes(a.id) })) };
    return json(route, live);
  });
  await page.goto(`${new URL(page.url()).origin}/#/live`);
  await page.reload();
  await page.locator(".live-grid").waitFor();
  const tell = (now) => page.evaluate((body) => window.told("live", body), live = now);
  return { seen, tell, state: () => live };
}
