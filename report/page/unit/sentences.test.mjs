// The sentences of the program in the units of the person: the same words as the program's own (report/sheet/unitwords_test.go).
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

globalThis.localStorage = { getItem: () => null, setItem: () => undefined };
globalThis.matchMedia = () => ({ matches: false });
Object.defineProperty(globalThis, "navigator", { value: { language: "de" }, configurable: true });

const made = await build({
  stdin: { contents: 'export * from "./base/sentences"; export { setUnits } from "./base/prefs";', resolveDir: fileURLToPath(new URL("../web", import.meta.url)), loader: "ts" },
  bundle: true, format: "esm", write: false,
});
const { inWords, speaking, setUnits } = await import("data:text/javascript;base64," + Buffer.from(made.outputFiles[0].contents).toString("base64"));

test("a sentence reads on a page as it reads on paper", async () => {
  const table = await readFile(new URL("../../../testdata/units/sentences.tsv", import.meta.url), "utf8");
  const rows = table.trim().split("\n").slice(1).map((row) => row.split("\t"));
  assert.ok(rows.length > 20);
  for (const [metric, us] of rows) {
    setUnits("us");
    assert.equal(inWords(metric), us);
    assert.equal(inWords(us), us);
    setUnits("metric");
    assert.equal(inWords(metric), metric);
  }
});

test("an answer speaks in the units that hold when it is read, and keeps what a person typed", () => {
  const answer = speaking({
    findings: [{ sentence: "from 10 deg at 25.4 mm depth", state: "open" }], remark: "ground 2 mm", values: { "bore.length": "60 mm" },
    warnings: [{ kind: "short", text: "86.00 mm are missing" }], typed: [{ text: "wiped 5 mm" }], facts: [{ label: "Length", value: "60.0 mm" }],
    check: { figures: [], sentence: "temperature: corrected = reading * 1 +0.5 degC" }, text: "at 25.4 mm", sentences: ["92.00 mm", null],
  });
  const read = () => [answer.findings[0].sentence, answer.warnings[0].text, answer.facts[0].value, answer.text, answer.sentences[0]];
  setUnits("us");
  assert.deepEqual(read(), ["from 10 deg at 1.000 in depth", "3.3858 in are missing", "2.362 in", "at 1.000 in", "3.6220 in"]);
  assert.deepEqual([answer.remark, answer.values["bore.length"], answer.typed[0].text, answer.check.sentence], ["ground 2 mm", "60 mm", "wiped 5 mm", "temperature: corrected = reading * 1 +0.5 degC"]);
  setUnits("metric");
  assert.deepEqual(read(), ["from 10 deg at 25.4 mm depth", "86.00 mm are missing", "60.0 mm", "at 25.4 mm", "92.00 mm"]);
});
