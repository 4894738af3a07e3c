// What the pages compute by themselves, without a browser: units, the geometry of the bore, the colours of the map.
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
    contents: ["units", "draw", "values", "fields", "prefs", "mapscale", "reviewdata", "time", "state"].map((name) => `export * as ${name} from "./${name}";`).join("\n"),
    resolveDir: web, loader: "ts",
  },
  bundle: true, format: "esm", write: false, target: "node20",
});
const { units, draw, values, fields, prefs, mapscale, reviewdata, time, state } =
  await import(`data:text/javascript;base64,${Buffer.from(bundled.outputFiles[0].text).toString("base64")}`);

const near = (a, b, what) => assert.ok(Math.abs(a - b) <= 1e-12 * Math.max(1, Math.abs(b)), `${what}: ${a} is not ${b}`);

test("units: factors that are exact by definition", () => {
  const inch = 25.4; // mm, and 1 lb = 0.45359237 kg: the international yard and pound
  near(units.convert(1, "in", "mm"), inch, "inch");
  near(units.convert(1, "ft", "m"), 0.3048, "foot");
  near(units.convert(1, "lb", "kg"), 0.45359237, "pound");
  near(units.convert(16, "oz", "lb"), 1, "ounce");
  near(units.convert(1, "kJ/in", "kJ/mm"), 1 / inch, "kJ/in");
  near(units.convert(25400, "J/in", "kJ/mm"), 1, "J/in");
  near(units.convert(1, "in/min", "mm/min"), inch, "in/min");
  near(units.convert(1, "ft3", "L"), 28.316846592, "cubic foot"); // 0.3048^3 m3
  near(units.convert(60, "ft3/h", "L/min"), 28.316846592, "ft3/h");
  near(units.convert(1, "in2", "mm2"), 645.16, "square inch");
  near(units.convert(212, "degF", "degC"), 100, "boiling in degF");
  near(units.convert(-40, "degF", "degC"), -40, "where both scales meet");
  near(units.convert(0, "degC", "K"), 273.15, "ice in kelvin");
});

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
  assert.equal(units.convert(1, "mm", "s"), null);
  assert.equal(units.convert(1, "parsec", "mm"), null);
  for (const family of families) {
    for (const other of families.filter((one) => one !== family)) {
      assert.equal(units.convert(1, family[0], other[0]), null, `${family[0]} is no ${other[0]}`);
    }
  }
});

test("units: what a person reads", () => {
  prefs.setUnits("metric");
  assert.equal(units.withUnit(92.04, "mm"), "92.0 mm");
  assert.equal(units.withUnit(null, "mm"), "—");
  assert.equal(units.withUnit(undefined, "V"), "—");
  assert.equal(units.digits(-0.04, 1), "0.0");
  assert.equal(units.digits(-1.26, 1), "−1.3");
  assert.equal(units.range(16.5, 19, "V"), "16.5 to 19.0 V");
  assert.equal(units.range(null, 250, "degC"), "at most 250 °C");
  prefs.setUnits("us");
  assert.equal(units.withUnit(92.0, "mm"), "3.622 in");
  assert.equal(units.withUnit(180, "degC"), "356 °F");
  assert.equal(units.withUnit(0.25, "kJ/mm"), "6.3 kJ/in"); // 6.35
  assert.equal(units.unitFor("L/min"), "ft³/h");
  assert.equal(units.shown(10, "degC", true).value, 18); // a difference has no zero
  prefs.setUnits("metric");
});

test("fields: the text of a file is parted into number and unit, and nothing typed is lost", () => {
  assert.deepEqual(fields.splitQuantity("92.0 mm"), ["92.0", "mm"]);
  assert.deepEqual(fields.splitQuantity("-40degF"), ["-40", "degF"]);
  assert.deepEqual(fields.splitQuantity("5 ml/100g"), ["5", "ml/100g"]);
  assert.deepEqual(fields.splitQuantity("about nine"), ["about nine", ""]);
  near(values.numberOf({ d: "3.622 in" }, "d", "mm"), 91.9988, "a diameter in inch");
  assert.equal(values.numberOf({ d: "wide" }, "d", "mm"), null);
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
  const spans = draw.laid([{ from: 80, to: 116 }]);
  const sum = spans.reduce((all, span) => all + span.to - span.from, 0);
  near(sum, 324, "laid round a gap of 36 degrees");
  const across = draw.laid([{ from: 350, to: 20 }]); // a gap over the mark
  near(across.reduce((all, span) => all + span.to - span.from, 0), 330, "laid round a gap over the mark");
  assert.deepEqual(across.map((span) => [draw.wrap(span.from), draw.wrap(span.to)]), [[20, 350]]);
});

test("map: darker is more, at every step", () => {
  const light = (text) => {
    const [r, g, b] = text.match(/\d+/g).map((n) => (n / 255 <= 0.04045 ? n / 255 / 12.92 : ((n / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  let last = Infinity;
  for (let share = 0; share <= 1.0001; share += 0.02) {
    const now = light(mapscale.shade(share));
    assert.ok(now < last, `at ${share.toFixed(2)} it is not darker than before`);
    last = now;
  }
  assert.equal(mapscale.shade(-1), mapscale.shade(0));
  assert.equal(mapscale.shade(2), mapscale.shade(1));
  assert.equal(mapscale.outside(0.6, { low: 0.25, high: 0.55 }), true);
  assert.equal(mapscale.outside(0.55, { low: 0.25, high: 0.55 }), false);
  assert.equal(mapscale.outside(1e9, { low: 0.25, high: null }), false);
});

test("review: the window of the procedure is read as it is written", () => {
  const review = (window) => ({ window: [{ quantity: "Heat input", window }] });
  assert.deepEqual(reviewdata.limitsOf(review("0.25 to 0.55 kJ/mm"), /^Heat/), { low: 0.25, high: 0.55, unit: "kJ/mm" });
  assert.deepEqual(reviewdata.limitsOf(review("at most 250 degC"), /^Heat/), { low: null, high: 250, unit: "degC" });
  assert.deepEqual(reviewdata.limitsOf(review("at least −5 V"), /^Heat/), { low: -5, high: null, unit: "V" });
  assert.deepEqual(reviewdata.limitsOf(review("as it comes"), /^Heat/), { low: null, high: null, unit: "" });
});

test("times and states", () => {
  assert.equal(time.lasting(null), "—");
  assert.equal(time.lasting(3.21), "3.2 s");
  assert.equal(time.lasting(964), "16:04 min");
  assert.equal(time.lasting(59.96), "60 s");
  assert.equal(time.lasting(3840), "1:04 h");
  assert.equal(state.stateSign("within"), "within");
  assert.equal(state.stateSign("within, near a limit"), "near");
  assert.equal(state.stateSign("outside, near a limit"), "nearout");
  assert.equal(state.stateSign("outside"), "outside");
  assert.equal(state.stateSign(null), "unjudged");
});
