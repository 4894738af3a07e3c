// A time reads on a page as it reads on paper: the same table holds report/sheet/instant.go (instant_test.go).
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const made = await build({
  stdin: { contents: 'export { localText } from "./base/time";', resolveDir: fileURLToPath(new URL("../web", import.meta.url)), loader: "ts" },
  bundle: true, format: "esm", write: false,
});
const { localText } = await import("data:text/javascript;base64," + Buffer.from(made.outputFiles[0].contents).toString("base64"));

test("the same instant in the same zone is the same text", async () => {
  const table = await readFile(new URL("../../../testdata/times/instants.tsv", import.meta.url), "utf8");
  const rows = table.trim().split("\n").slice(1).map((row) => row.split("\t"));
  assert.ok(rows.length > 10);
  for (const [instant, zone, text] of rows) {
    process.env.TZ = zone;
    assert.equal(localText(instant), text, zone);
  }
});
