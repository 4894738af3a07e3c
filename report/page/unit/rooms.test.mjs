// The rooms of the pages: base knows none of the others, door, setup, live, review and fleet know base alone, and nothing goes round in a circle.
import assert from "node:assert/strict";
import { existsSync } from "node:fs";
import { readdir, readFile } from "node:fs/promises";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import ts from "typescript";

const web = fileURLToPath(new URL("../web/", import.meta.url));
const knows = { base: [], door: ["base"], setup: ["base"], live: ["base"], review: ["base"], fleet: ["base"] }; // what stands beside the rooms joins them, and may know all

// importsOf are the files that each file of a folder imports, types as well as values; libraries and tables are left out.
async function importsOf(folder) {
  const names = (await readdir(folder, { recursive: true })).filter((name) => name.endsWith(".ts") && !name.endsWith(".d.ts"));
  return new Map(await Promise.all(names.map(async (name) => {
    const { importedFiles } = ts.preProcessFile(await readFile(path.join(folder, name), "utf8"));
    const own = importedFiles.map((one) => one.fileName).filter((one) => one.startsWith(".") && !one.endsWith(".tsv")).map((one) => path.join(path.dirname(name), one));
    return [name, own.map((one) => [one, `${one}.ts`].find((file) => existsSync(path.join(folder, file))) ?? `${one}.ts`)];
  })));
}

const roomOf = (name) => (name.includes("/") ? name.split("/")[0] : null);

// wrongArrows are the imports that lead from one room into another that it does not know.
function wrongArrows(imports) {
  return [...imports].flatMap(([from, others]) => {
    const room = roomOf(from);
    const may = room === null ? [null, ...Object.keys(knows)] : [room, ...(knows[room] ?? [])];
    return others.filter((to) => !may.includes(roomOf(to))).map((to) => `${from} -> ${to}`);
  });
}

// circles are the ways that lead from a file back to itself, each told once.
function circles(imports) {
  const found = [];
  const done = new Set();
  const walk = (name, way) => {
    if (way.includes(name)) {
      found.push([...way.slice(way.indexOf(name)), name].join(" -> "));
    } else if (!done.has(name)) {
      (imports.get(name) ?? []).forEach((next) => walk(next, [...way, name]));
      done.add(name);
    }
  };
  [...imports.keys()].forEach((name) => walk(name, []));
  return found;
}

test("what is wrong is found: an arrow from room to room, an arrow up, a circle", () => {
  const imports = new Map([
    ["main.ts", ["routes.ts", "base/a.ts"]], ["routes.ts", ["live/b.ts", "setup/d.ts"]],
    ["base/a.ts", ["base/e.ts", "live/b.ts"]], ["base/e.ts", ["base/a.ts"]],
    ["live/b.ts", ["base/e.ts", "setup/d.ts"]], ["setup/d.ts", ["routes.ts"]],
    ["attic/f.ts", ["base/e.ts"]],
  ]);
  assert.deepEqual(wrongArrows(imports), ["base/a.ts -> live/b.ts", "live/b.ts -> setup/d.ts", "setup/d.ts -> routes.ts", "attic/f.ts -> base/e.ts"]);
  assert.deepEqual(circles(imports), [
    "base/e.ts -> base/a.ts -> base/e.ts", "live/b.ts -> base/e.ts -> base/a.ts -> live/b.ts", "routes.ts -> live/b.ts -> setup/d.ts -> routes.ts",
  ]);
  assert.deepEqual(circles(new Map([["a", ["b", "c"]], ["b", ["c"]], ["c", []]])), [], "two ways to one file are no circle");
});

test("the pages keep to their rooms", async () => {
  const imports = await importsOf(web);
  assert.deepEqual([...new Set([...imports.keys()].map(roomOf))].sort(), [...Object.keys(knows), null].sort(), "there are these rooms and no others");
  assert.ok(imports.get("setup/checkform.ts").includes("setup/checkstate.ts"), "an import of types alone counts");
  const lost = [...imports.values()].flat().filter((name) => !existsSync(path.join(web, name)) && name !== "base/api.d.ts");
  assert.deepEqual(lost, [], "every import is found");
  assert.deepEqual(wrongArrows(imports), []);
  assert.deepEqual(circles(imports), []);
});
