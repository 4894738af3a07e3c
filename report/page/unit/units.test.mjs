// Conversions, against figures that follow from the definitions of inch, pound and degree Fahrenheit.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

globalThis.localStorage = { getItem: () => null, setItem: () => undefined };
globalThis.matchMedia = () => ({ matches: false });
Object.defineProperty(globalThis, "navigator", { value: { language: "de" }, configurable: true });

// load bundles modules that share what they remember.
async function load(source) {
  const made = await build({
    stdin: { contents: source, resolveDir: fileURLToPath(new URL("../web", import.meta.url)), loader: "ts" },
    bundle: true, format: "esm", write: false,
  });
  return import("data:text/javascript;base64," + Buffer.from(made.outputFiles[0].contents).toString("base64"));
}

const { convert, withUnit, range, shown, against, setUnits, numberOf, splitQuantity, laid, lasting } = await load(
  'export { convert, withUnit, range, shown, against } from "./base/units"; export { lasting } from "./base/time"; export { setUnits } from "./base/prefs"; export { numberOf, splitQuantity } from "./base/number"; export { laid } from "./base/draw";');

test("factors are those of the definitions", () => {
  const cases = [
    [25.4, "mm", "in", 1], [304.8, "mm", "ft", 1], [25.4, "mm/min", "in/min", 1], [0.0254, "m/min", "in/min", 1],
    [1, "kJ/mm", "kJ/in", 25.4], [28.316846592 / 60, "L/min", "ft3/h", 1], [28.316846592, "L", "ft3", 1],
    [453.59237, "g", "lb", 1], [453.59237 / 16, "g", "oz", 1], [0.45359237, "kg", "lb", 1],
    [100, "degC", "degF", 212], [-40, "degF", "degC", -40], [0, "degC", "K", 273.15],
  ];
  for (const [value, from, to, want] of cases) {
    assert.ok(Math.abs(convert(value, from, to) - want) <= 1e-12 * Math.abs(want), `${value} ${from} in ${to}: ${convert(value, from, to)}`);
  }
});

test("there is no way from one family to another", () => {
  assert.equal(convert(1, "mm", "V"), null);
  assert.equal(convert(1, "mm", "furlong"), null);
});

test("a person reads the units that were chosen; what is not known is a dash", () => {
  setUnits("metric");
  assert.equal(withUnit(92, "mm"), "92.0 mm");
  assert.equal(range(null, 250, "degC"), "at most 250 °C");
  assert.equal(range(90, 90.05, "mm", 3), "90.000 to 90.050 mm");
  setUnits("us");
  assert.equal(withUnit(92, "mm"), "3.622 in");
  assert.equal(withUnit(0.316, "kJ/mm"), "8.0 kJ/in");
  assert.equal(withUnit(17.5, "V"), "17.5 V");
  assert.equal(shown(10, "degC", true).value, 18);
  assert.equal(withUnit(null, "mm"), "—");
});

test("a text of a file comes apart into digits and unit, and nothing of it is lost", () => {
  assert.deepEqual(splitQuantity("92.0 mm"), ["92.0", "mm"]);
  assert.deepEqual(splitQuantity("5 ml/100g"), ["5", "ml/100g"]);
  assert.deepEqual(splitQuantity("about ninety"), ["about ninety", ""]);
});

test("metal is laid between the gaps, all round where there is none", () => {
  assert.deepEqual(laid([]), [{ from: 0, to: 360 }]);
  assert.deepEqual(laid([{ from: 80, to: 116 }]), [{ from: 116, to: 440 }]);
  assert.deepEqual(laid([{ from: 350, to: 10 }, { from: 80, to: 116 }]), [{ from: 116, to: 350 }, { from: 370, to: 440 }]);
});

test("a value and the limit that it passed are not printed alike", () => {
  setUnits("metric");
  assert.deepEqual(against(22, 19, "V"), ["22.0 V", "19.0 V"]);
  assert.deepEqual(against(19.04, 19, "V"), ["19.04 V", "19.00 V"]);
  assert.deepEqual(against(19.000000001, 19, "V"), ["just above 19.0 V", "19.0 V"]);
  assert.deepEqual(against(18.999999999, 19, "V"), ["just below 19.0 V", "19.0 V"]);
  assert.deepEqual(against(0.8696, 0.87, "1"), ["0.8696", "0.8700"]);
  setUnits("us");
  assert.deepEqual(against(300.1, 300, "mm/min"), ["11.815 in/min", "11.811 in/min"]);
  setUnits("metric");
});

test("no length of time is 60 of its unit, and a long one is told in days", () => {
  const cases = [
    [null, "—"], [1.74, "1.7 s"], [9.96, "10 s"], [59.4, "59 s"], [59.6, "1:00 min"], [3599.6, "1:00 h"], [7180, "2:00 h"], [964, "16:04 min"],
    [53760744.031, "622 days"],
  ];
  for (const [seconds, want] of cases) {
    assert.equal(lasting(seconds), want);
  }
});

test("a typed number is what the program makes of it", async () => {
  const table = await readFile(new URL("../../../testdata/typed/numbers.tsv", import.meta.url), "utf8");
  const rows = table.trim().split("\n").slice(2).map((row) => row.split("\t"));
  assert.ok(rows.length > 30);
  for (const [typed, want] of rows) {
    assert.equal(numberOf(typed), want === "-" ? null : Number(want), typed);
  }
  assert.deepEqual(splitQuantity("3 5/8 in"), ["3 5/8", "in"]);
  assert.deepEqual(splitQuantity("3-5/8in"), ["3-5/8", "in"]);
  assert.deepEqual(splitQuantity("92,5 mm"), ["92,5", "mm"]);
});
