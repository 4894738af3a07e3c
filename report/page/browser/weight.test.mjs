// What the pages weigh on the way to a phone, and that they need nothing but the program itself.
import assert from "node:assert/strict";
import { test } from "node:test";
import { browse, recordedFolder, serve, settled, until, visit, lenient } from "./rig.mjs";

const most = 150_000; // bytes over the wire, everything together

test("the first load is light, and all of it comes from the program", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const browser = await browse(t);
  const device = await visit(t, browser, server, { size: "phone", address: "" });
  const { page, context } = device;
  // Whatever is not the program is out of reach: a phone in a field has no other network.
  await context.route((url) => url.origin !== server.url, (route) => route.abort());
  const cdp = await context.newCDPSession(page);
  await cdp.send("Network.enable");
  await cdp.send("Network.clearBrowserCache");
  const sizes = new Map();
  const names = new Map();
  cdp.on("Network.responseReceived", (event) => names.set(event.requestId, event.response.url));
  cdp.on("Network.dataReceived", (event) => sizes.set(event.requestId, (sizes.get(event.requestId) ?? 0) + event.encodedDataLength));
  const ended = new Set();
  cdp.on("Network.loadingFinished", (event) => {
    sizes.set(event.requestId, event.encodedDataLength);
    ended.add(event.requestId);
  });
  await page.reload();
  await settled(page);
  await page.getByRole("heading", { name: "Records", exact: true }).waitFor();
  // The stream of events never ends.
  await until(() => [...names].every(([id, url]) => ended.has(id) || url.endsWith("/api/events")), "all of it is there");
  const table = [...sizes].map(([id, bytes]) => [new URL(names.get(id)).pathname, bytes]).sort((a, b) => b[1] - a[1]);
  const whole = table.reduce((sum, [, bytes]) => sum + bytes, 0);
  for (const [name, bytes] of table) {
    t.diagnostic(`${name}: ${bytes} bytes`);
  }
  t.diagnostic(`together ${whole} of at most ${most} bytes`);
  assert.ok(table.some(([name]) => name.endsWith(".js")) && table.some(([name]) => name.endsWith(".css")), "scripts and styles were counted");
  assert.ok(whole > 10_000 && whole < most, `${whole} bytes`);
  for (const address of ["job/short", "plan/short", "checks/short", "record/short", "record/short/inspect", "record/short/paper"]) {
    await device.go(address);
  }
  device.clean(); // it holds whatever was asked elsewhere, too
});
