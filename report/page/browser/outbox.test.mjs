// The home page says of each record how it stands to the store into which closed ones are handed over.
import assert from "node:assert/strict";
import { copyFile, readdir, utimes } from "node:fs/promises";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { browse, emptyFolder, lenient, serve, visit } from "./rig.mjs";

test("what was handed over, what waits and what is not closed is told", lenient, async (t) => {
  const folder = await emptyFolder(t);
  const store = path.join(await emptyFolder(t), "store");
  const put = async (name, of, written) => {
    const file = path.join(folder, `${name}.arctally`);
    await copyFile(fileURLToPath(new URL(`../../../testdata/record/${of}.arctally`, import.meta.url)), file);
    await utimes(file, written, written);
  };
  const long = Date.now() / 1000 - 3600;
  await put("closed", "version-4-capture", long);
  await put("open", "version-3-box", long);
  await put("fresh", "version-2-box", Date.now() / 1000 + 24 * 3600); // somebody has just written into it, as far as this test may last
  const server = await serve(t, folder, { demo: false, more: ["--hand-over", store] });
  const device = await visit(t, await browse(t), server);
  const row = (name) => device.page.locator(".strip").filter({ has: device.page.getByText(name, { exact: true }) });
  await row("closed").getByText("handed over", { exact: true }).waitFor(); // told by itself: nobody reloads the page
  const bundles = (await readdir(store)).filter((name) => /^[0-9a-f]{64}$/.test(name));
  assert.equal(bundles.length, 1);
  await row("closed").getByText(`as bundle ${bundles[0].slice(0, 12)}`).waitFor();
  await row("open").getByText("not closed, and not handed over").waitFor();
  await row("fresh").getByText("waits to be handed over").waitFor();
  device.clean();
});
