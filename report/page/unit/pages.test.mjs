// What the pages compute by themselves: units there and back, the geometry of the bore, the colours of the map, words for times and states.
import assert from "node:assert/strict";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const web = path.join(path.dirname(fileURLToPath(import.meta.url)), "../web");

// The pages remember what a person chose in the browser; here nothing is remembered.
globalThis.localStorage = { getItem: () => null, setItem: () => undefined };
globalThis.matchMedia = () => ({ matches: false });
globalThis.navigator ??= { language: "en-GB" };
globalThis.document = { documentElement: { dataset: {} } };

const bundled = await build({
  stdin: {
    contents: ["base/units", "base/draw", "setup/values", "review/mapscale", "review/marks", "review/data", "review/rows", "review/eventlink", "review/wavescale", "base/time", "base/state", "base/keys"].map((file) => `export * as ${path.basename(file)} from "./${file}";`).join("\n"),
    resolveDir: web, loader: "ts",
  },
  bundle: true, format: "esm", write: false, target: "node20", loader: { ".tsv": "text" },
});
const { units, draw, values, mapscale, marks, data, rows, eventlink, wavescale, time, state, keys } =
  await import(`data:text/javascript;base64,${Buffer.from(bundled.outputFiles[0].text).toString("base64")}`);

const near = (a, b, what) => assert.ok(Math.abs(a - b) <= 1e-12 * Math.max(1, Math.abs(b)), `${what}: ${a} is not ${b}`);

test("units: there and back is the same, and never from one family to another", () => {
  const families = [["mm", "um", "cm", "m", "in", "ft"], ["mm/min", "cm/min", "m/min", "mm/s", "m/s", "in/min"], ["kJ/mm", "kJ/cm", "J/mm", "kJ/in", "J/in"],
    ["L/min", "ft3/h", "ft3/min"], ["L", "ft3"], ["g", "kg", "oz", "lb"], ["degC", "degF", "K"], ["mm2", "in2"], ["s", "ms", "min", "h"]];
  for (const family of families) {
    for (const a of family) {
      for (const b of family) {
        for (const value of [-17.5, 0.001, 1, 92.04, 123456]) {
          near(units.convert(units.convert(value, a, b), b, a), value, `${value} ${a} over ${b}`);
        }
      }
    }
  }
  for (const family of families) {
    for (const other of families.filter((one) => one !== family)) {
      assert.equal(units.convert(1, family[0], other[0]), null, `${family[0]} is no ${other[0]}`);
    }
  }
});

test("nobody is shown a key: words come from the table that paper reads", () => {
  assert.deepEqual(["stroke_count", "off_centre", "clock-back", "wire_speed"].map(keys.spaced), ["number of strokes", "torch off centre", "clock set back", "wire speed"]);
});

test("a finding is drawn as long as it went on, either way round, cut at the reference mark", () => {
  const flat = (angle, way) => marks.spans(angle, way).map((one) => [one.from, one.to]);
  assert.deepEqual(flat(100, 50), [[100, 150]]);
  assert.deepEqual(flat(350, 30), [[350, 360], [0, 20]]);
  assert.deepEqual(flat(10, -30), [[0, 10], [340, 360]]);
  assert.deepEqual(flat(90, 540), [[90, 360], [0, 270]]);
  assert.deepEqual(flat(0, -360), [[0, 360]]);
  assert.deepEqual(flat(90, 0), []);
  assert.equal(marks.spans(5, 1e9).length, 201);
  assert.deepEqual(marks.spans(10, -30)[1], { from: 340, to: 360, turnsFrom: 30 / 360, turnsTo: 10 / 360 });
  for (let k = 0; k < 500; k++) {
    const [angle, way] = [(k * 37.7) % 360, (k % 2 ? 1 : -1) * ((k * 91.3) % 1500) || 1];
    const sum = marks.spans(angle, way).reduce((all, one) => all + one.to - one.from, 0);
    assert.ok(Math.abs(sum - Math.abs(way)) < 1e-6, `${angle} ${way}`);
  }
});

test("a tag never leaves its angle: where one hangs already the next hangs below or above, or not at all", () => {
  const box = { x: 50, y: 30, w: 720, h: 200 };
  const places = Array.from({ length: 60 }, (_, k) => ({ angle: (k * k) % 360, depth: (k % 7) / 6 }));
  const hung = marks.hang(places, box);
  hung.forEach((tag, k) => {
    if (tag) {
      const x = box.x + places[k].angle * 2;
      near(tag.toX, x, "the place");
      near(tag.x, Math.min(box.x + box.w - 14, Math.max(box.x + 14, x)), "the tag");
      assert.ok(tag.y >= box.y && tag.y <= box.y + box.h);
    }
  });
  const there = hung.filter(Boolean);
  assert.ok(there.length > 40);
  there.forEach((a, k) => there.slice(k + 1).forEach((b) => assert.ok(Math.abs(a.x - b.x) >= 27 || Math.abs(a.y - b.y) >= 24, "two tags lie apart")));
  const one = Array.from({ length: 30 }, () => ({ angle: 90, depth: 0.5 }));
  assert.equal(marks.hang(one, box).filter(Boolean).length, 7, "as many as the wall is deep");
});

test("a drawing takes what was typed in any unit of length", () => {
  near(values.numberOf({ d: "3.622 in" }, "d", "mm"), 91.9988, "a diameter in inch");
  assert.equal(values.numberOf({ d: "wide" }, "d", "mm"), null);
  assert.equal(values.numberOf({ d: "90 deg" }, "d", "mm"), null);
  assert.equal(values.numberOf({}, "d", "mm"), null);
});

test("geometry: clockwise from the mark at the top", () => {
  for (const [deg, x, y] of [[0, 0, -10], [90, 10, 0], [180, 0, 10], [270, -10, 0]]) {
    const [a, b] = draw.at(0, 0, 10, deg);
    near(a, x, `x at ${deg}`);
    near(b, y, `y at ${deg}`);
  }
  assert.equal(draw.wrap(-10), 350);
  assert.equal(draw.wrap(370), 10);
});

test("map: darker is more, at every step", () => {
  const light = (text) => {
    const [r, g, b] = text.match(/\d+/g).map((n) => (n / 255 <= 0.04045 ? n / 255 / 12.92 : ((n / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  let last = Infinity;
  for (let step = 0; step < 5; step++) {
    const now = light(mapscale.lookOf(String(step)).fill);
    assert.ok(now < last - 0.03, `step ${step} is not darker than the one before`);
    last = now;
  }
});

test("map: no two classes look alike, with colour or without", () => {
  const letters = ["w", "n", "l", "h", "?", "b", ".", "f", "0", "1", "2", "3", "4"];
  const seen = new Set(letters.map((letter) => JSON.stringify(mapscale.lookOf(letter))));
  assert.equal(seen.size, letters.length);
  const hatches = ["n", "l", "h", "?", "."].map((letter) => mapscale.lookOf(letter).hatch);
  assert.equal(new Set(hatches).size, hatches.length, "what is near, below, above, not known or a gap is told by its hatching alone");
  assert.ok(hatches.every(Boolean));
});

test("map: a layer is shown where there is one, else all of them; words are those of the program, in the person's units", () => {
  const views = [{ of: "heat", layer: null }, { of: "heat", layer: 1 }, { of: "heat", layer: 2 }, { of: "arc-on", layer: null }];
  assert.deepEqual(mapscale.layersOf(views, "heat"), [1, 2]);
  assert.equal(mapscale.viewOf(views, "heat", 2), views[2]);
  assert.equal(mapscale.viewOf(views, "heat", 7), views[0]);
  assert.equal(mapscale.viewOf(views, "arc-on", 1), views[3]);
  assert.equal(mapscale.viewOf(views, "findings", null), null);
  const view = { keys: [{ class: "w", metric: "within 0.250 to 0.550 kJ/mm", us: "within 6.35 to 13.97 kJ/in" }] };
  assert.match(mapscale.classWords(view, "w"), /^within /);
  assert.equal(mapscale.classWords(view, "l"), "");
});

test("waveform: a strike does not set the scale, what is judged does; what is beyond is cut and keeps its value", () => {
  const points = Array.from({ length: 1000 }, (_, k) => 17 + 4 * Math.sin(k));
  const calm = wavescale.scaleOf(points, [17.5], [16.5, 19]);
  const struck = wavescale.scaleOf([...points, 78, 80, 0, 79], [17.5], [16.5, 19]);
  assert.ok(calm.high < 22 && Math.abs(struck.high - calm.high) < 0.2, "with the strike as without it");
  assert.equal(wavescale.scaleOf([...points, 80], [40], [16.5, 19]).high, 40, "a mean is never cut");
  assert.deepEqual(wavescale.scaleOf([], [], [16.5, null]), { low: 16.5, high: 16.5 });
  assert.equal(wavescale.scaleOf([], [], [null, null]), null);
  const xs = [0, 1, 2, 3, 4, 50, 51, 52];
  const ys = [17, 60, 78, 55, 17, null, -3, 70];
  assert.deepEqual(wavescale.cutsOf(xs, ys, 10, 25, 2), [{ x: 2, value: 78, up: true }, { x: 51, value: -3, up: false }, { x: 52, value: 70, up: true }]);
  assert.deepEqual(wavescale.cutsOf(xs, ys, -10, 90, 2), []);
  assert.equal(wavescale.cutsOf([0, 1], [25, 10], 10, 25, 1).length, 0, "at the edge of the scale nothing is cut");
});

test("the next event is the next cause: findings of one stand together, the one that tells it first", () => {
  const finding = (number, event, tick_ns) => ({ number, event, tick_ns });
  const events = [{ number: 1, cause: "wire slip", lead: 3 }, { number: 2, cause: "arc out", lead: 2 }];
  const causes = data.causesOf({ events, findings: [finding(1, 1, 10), finding(2, 2, 20), finding(3, 1, 30), finding(4, 2, 40)] });
  assert.deepEqual(causes.map((one) => [one.number, one.words, one.findings.map((f) => f.number)]), [[1, "wire slip", [3, 1]], [2, "arc out", [2, 4]]]);
});

test("review: limits are those of the window; a line without limits has none", () => {
  const review = { window: [{ quantity: "Heat input", unit: "kJ/mm", low: 0.25, high: 0.55 }, { quantity: "Interpass", unit: "degC", low: null, high: 250 }, { quantity: "Process", unit: null, low: null, high: null }] };
  assert.deepEqual(data.limitsOf(review, /^Heat/), { low: 0.25, high: 0.55, unit: "kJ/mm" });
  assert.deepEqual(data.limitsOf(review, /^Interpass/), { low: null, high: 250, unit: "degC" });
  assert.deepEqual(data.limitsOf(review, /^Process/), { low: null, high: null, unit: "" });
  assert.deepEqual(data.limitsOf(review, /^Voltage/), { low: null, high: null, unit: "" });
  assert.equal(data.energyRules(review), false);
});

test("times and states", () => {
  assert.equal(time.lasting(null), "—");
  assert.equal(time.lasting(3.21), "3.2 s");
  assert.equal(time.lasting(964), "16:04 min");
  assert.equal(time.lasting(59.96), "1:00 min");
  assert.equal(time.lasting(3840), "1:04 h");
  assert.equal(state.stateSign("within"), "within");
  assert.equal(state.stateSign("within, near a limit"), "near");
  assert.equal(state.stateSign("outside, near a limit"), "nearout");
  assert.equal(state.stateSign("outside"), "outside");
  assert.equal(state.stateSign(null), "unjudged");
});

test("a typed diameter is held against typed limits as soon as all of them can be read", () => {
  for (const [diameter, low, high, beyond] of [["90.02", "90.00", "90.035", 0], ["90.1", "90.00", "90.035", 0.065], ["89,9", "90.00", "", -0.1], ["90.1", "", "90", 0.1], ["90", "90", "90", 0],
    ["90.1", "", "", null], ["", "90", "91", null], ["90,012", "90", "91", null], ["95", "9o", "91", null], ["3 5/8", "3.6", "3.63", 0], ["nine", "1", "2", null]]) {
    const got = rows.beyondTyped(diameter, low, high);
    assert.equal(got === null ? null : Number(got.toFixed(9)), beyond, `${diameter} in ${low}..${high}`);
  }
});

test("what is asked of the list of events is found again in its address", () => {
  const asked = { state: "open", cause: "wire stubs: contact tip or set voltage", rule: "arc_out", pass: "12", group: "pass", from: "25" };
  const address = eventlink.listLink("a record", asked);
  const parts = address.replace(/^#\//, "").split("/").map(decodeURIComponent); // as the pages read it
  assert.equal(parts.length, 3);
  assert.deepEqual(eventlink.askedIn(new URLSearchParams(parts[2].split("?")[1])), asked);
  assert.doesNotMatch(eventlink.eventLink("a record", 7, asked), /from=/, "an event is not on a page");
  assert.deepEqual(eventlink.askedIn(new URLSearchParams("state=&colour=red")), {}, "what is empty or not known is not asked");
});
