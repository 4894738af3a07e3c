// What a device may not do, no button of the pages asks for: every page is walked in every role, every button that is not marked as
// another's is touched, and what is asked of the program is held against the table of roles. Nothing is carried out.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { browse, lenient, recordedFolder, serve, settled, visit } from "./rig.mjs";

// operations are those of the contract: method, pattern of the address, and who may ask.
async function operations() {
  const found = [];
  let address;
  let method;
  for (const line of (await readFile(new URL("../openapi.yaml", import.meta.url), "utf8")).split("\n")) {
    const may = /^      x-may: \[(.*)\]/.exec(line);
    address = /^ {2}(\/\S*):$/.exec(line)?.[1] ?? address;
    method = /^ {4}(get|put|post|delete):$/.exec(line)?.[1].toUpperCase() ?? method;
    if (may) {
      found.push({ method, address: new RegExp(`^/api${address.replace(/\{\w+\}/g, "[^/]+")}$`), may: may[1].split(", ") });
    }
  }
  assert.ok(found.length > 35, `${found.length} operations were read`);
  return found;
}

// touchable are the marks of what can be touched on the page, and touched makes it so: by the place, which stays while the page does.
const touchable = (page) => page.evaluate(() => [...document.querySelectorAll("main button, main a.button, main label.button, dialog button")]
  .map((one, at) => ({ at, words: one.textContent, needs: one.getAttribute("data-needs"), seen: one.checkVisibility() && !one.disabled })).filter((one) => one.seen));
const touch = (page, at) => page.evaluate((k) => [...document.querySelectorAll("main button, main a.button, main label.button, dialog button")][k]?.click(), at);

test("no button asks for what a role may not do, and each says who may", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const browser = await browse(t);
  const table = await operations();
  for (const role of ["look", "operate", "inspect"]) {
    const device = await visit(t, browser, server, {});
    const { page } = device;
    device.allow(/status of 4\d\d/);
    const forbidden = [];
    const marks = new Set();
    let touched = "";
    await page.route("**/api/**", async (route) => {
      const request = route.request();
      const { pathname } = new URL(request.url());
      if (pathname === "/api/door" && request.method() === "GET") {
        await route.fulfill({ json: { device: "Tablet 1", role, here: false, network: true, wait_s: 0, open_for: 0 } });
        return;
      }
      const operation = table.find((one) => one.method === request.method() && one.address.test(pathname));
      if (!operation?.may.includes(role)) {
        forbidden.push(`${request.method()} ${pathname} by ${touched}`);
      }
      if (request.method() === "GET" && pathname !== "/api/ports" || pathname === "/api/plan") {
        await route.continue();
      } else {
        await route.fulfill({ status: 409, json: { error: "not in this test", hint: "" } });
      }
    });
    await page.reload(); // now it learns what it may do
    await page.locator(`html[data-may="${role}"]`).waitFor({ state: "attached" });
    for (const address of ["", "job/short", "procedure/gmaw-short-arc", "plan/short", "checks/short", "live", "record/short", "record/short/pass/1", "record/short/inspect",
      "record/short/event/1", "record/short/paper", "jobs/heat-input", "jobs/open"]) {
      await device.go("nowhere");
      touched = address;
      await device.go(address);
      await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
      const hash = await page.evaluate(() => location.hash);
      const known = new Set();
      for (let list = await touchable(page), next; (next = list.find((one) => !known.has(one.words))); list = await touchable(page)) {
        known.add(next.words);
        touched = `${address}: ${next.words}`;
        next.needs && marks.add(next.needs);
        await touch(page, next.at);
        if (await page.evaluate((was) => location.hash !== was, hash)) {
          await device.go(address);
        }
      }
    }
    await settled(page);
    assert.deepEqual(forbidden, [], `asked for by a device that may ${role}`);
    assert.deepEqual([...marks].sort(), ["inspect", "operate"], "what others may is shown, and marked");
    device.clean();
  }
});
