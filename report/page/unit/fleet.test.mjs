// What the picture of all jobs works out by itself: its addresses, how a place is told, and where the words beside a chart stand.
import assert from "node:assert/strict";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

globalThis.localStorage = { getItem: () => null, setItem: () => undefined };
globalThis.matchMedia = () => ({ matches: false });
globalThis.navigator ??= { language: "en-GB" };
globalThis.document = { documentElement: { dataset: {} } };

const made = await build({
  stdin: { contents: 'export * from "./fleet/asked"; export * from "./fleet/place"; export { decimalsFor, spread } from "./fleet/chart";', resolveDir: fileURLToPath(new URL("../web", import.meta.url)), loader: "ts" },
  bundle: true, format: "esm", write: false, loader: { ".tsv": "text" },
});
const { askedIn, askedLink, askedQuery, decimalsFor, leadsTo, named, spread } = await import("data:text/javascript;base64," + Buffer.from(made.outputFiles[0].contents).toString("base64"));

test("what is asked is found again in its address, and nothing else is asked", () => {
  const read = (address) => {
    const [question, query] = decodeURI(address).replace("#/jobs/", "").split("?");
    return askedIn(question, new URLSearchParams(query ?? ""));
  };
  for (const asked of [{ question: "heat-input", by: "layer", days: 60, most: 60 }, { question: "since", by: "procedure", days: 7, most: 20 }, { question: "calibrations", by: "procedure", days: 365, most: 200 }]) {
    assert.deepEqual(read(askedLink(asked)), asked);
  }
  assert.equal(askedLink({ question: "since", by: "procedure", days: 30, most: 20 }), "#/jobs/since");
  for (const query of ["by=moon&days=-1&most=0", "most=201&days=1.5", "most=&days=x", ""]) {
    assert.deepEqual(askedIn("since", new URLSearchParams(query)), { question: "since", by: "procedure", days: 30, most: 20 }, query);
  }
  for (const unknown of [undefined, "weather", "toString"]) {
    assert.equal(askedIn(unknown, new URLSearchParams()).question, "heat-input", unknown);
  }
  assert.deepEqual(askedQuery(askedIn("open", new URLSearchParams("by=box&days=3"))), { by: undefined, days: undefined, most: 20 });
});

test("a place leads to the record that is here under whatever name, and else nowhere", () => {
  const here = { aa: "boom pin" };
  const place = { record: "older name.arctally", digest: "aa", pass: 2 };
  assert.equal(named(place, here), "boom pin");
  assert.equal(named({ ...place, simulated: true }, here), "boom pin (simulated)");
  assert.equal(named({ ...place, simulated: false }, here), "boom pin");
  assert.equal(leadsTo(place, here), "#/record/boom%20pin/pass/2");
  assert.equal(leadsTo(place, here, 7), "#/record/boom%20pin/event/7");
  assert.equal(leadsTo({ ...place, pass: null }, here), "#/record/boom%20pin");
  const away = { record: "older name.arctally", digest: "bb", pass: 2 };
  assert.equal(leadsTo(away, here), null);
  assert.equal(named(away, here), "older name");
  assert.equal(named({ ...away, record: `${"0a".repeat(32)}/record.arctally` }, here), "bundle 0a0a0a0a0a0a");
});

test("words beside a chart stand apart, each nearest to its line", () => {
  assert.deepEqual(spread([20, 90, 150], 17), [20, 90, 150]);
  assert.deepEqual(spread([100, 95, 90], 17), [124, 107, 90]);
  assert.deepEqual(spread([50], 17), [50]);
});

test("mean and limits are told with as many decimals as tell them apart", () => {
  assert.equal(decimalsFor([0.3081, 0.3192, 0.3303], "kJ/mm"), 3);
  assert.equal(decimalsFor([0.3151, 0.3156, 0.3162], "kJ/mm"), 4);
  assert.equal(decimalsFor([0.31, 0.3100001, 0.5], "kJ/mm"), 7, "no more than these");
  assert.equal(decimalsFor([0.9, 0.9, 0.9], "1"), 3, "what does not vary is alike");
  assert.equal(decimalsFor([null, 0.4, null], "kJ/mm"), 3);
});
