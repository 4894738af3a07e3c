// Who put an entry on record: a typed name reads otherwise than a signed one, whatever was typed.
import assert from "node:assert/strict";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

test("a typed name is told from a signed one", async () => {
  const made = await build({ entryPoints: [fileURLToPath(new URL("../web/review/rows.ts", import.meta.url))], bundle: true, format: "esm", write: false });
  const { who } = await import("data:text/javascript;base64," + Buffer.from(made.outputFiles[0].contents).toString("base64"));
  const signed = who({ by: "Inspector 1", signed_by: "SHA256:x" });
  assert.equal(signed, "Inspector 1 (signed)");
  for (const by of ["Inspector 1", signed]) assert.equal(who({ by }), `${by} (name typed)`);
});
