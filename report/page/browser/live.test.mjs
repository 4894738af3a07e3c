// The arc page, on which one can look away for a minute and lose nothing: every part has its place, and what was out stands there
// until it is touched.
import assert from "node:assert/strict";
import { test } from "node:test";
import { bead, alarm, calm, feed, states } from "./livestates.mjs";
import { browse, drawn, emptyFolder, job, lenient, longBore, serve, shortBore, sizes, until, visit } from "./rig.mjs";

sizes.portrait = { viewport: { width: 800, height: 1280 }, hasTouch: true, isMobile: true, deviceScaleFactor: 1 };
const glasses = ["tablet", "portrait"];

// areas are those that must be seen, and the buttons; none may lie on another.
const areas = [".arc-state", ".alarms-box", ".heat-box", ".place-box", ".wall-box", '[data-channel="voltage"]', '[data-channel="current"]', '[data-channel="wire_speed"]',
  '[data-channel="travel_speed"]', ".more-values", ...[1, 2, 3, 4, 5, 6].map((k) => `.live-acts > :nth-child(${k})`)];

// boxesOf are the rectangles of the areas, in px of the glass.
const boxesOf = (page) => page.evaluate((list) => list.map((selector) => {
  const { left, top, right, bottom } = document.querySelector(selector).getBoundingClientRect();
  return { selector, left, top, right, bottom };
}), areas);

function apart(boxes, { width, height }, what) {
  boxes.forEach((a, k) => {
    assert.ok(a.left >= 0 && a.top >= 0 && a.right <= width && a.bottom <= height && a.right > a.left && a.bottom > a.top, `${what}: ${JSON.stringify(a)} is on the glass`);
    boxes.slice(k + 1).forEach((b) => assert.ok(a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top, `${what}: ${a.selector} lies on ${b.selector}`));
  });
}

// watchShifts counts what moves from now on, as the browser sees it.
const watchShifts = (page) => page.evaluate(() => {
  window.shifts = [];
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) {
      if (document.querySelector(".live-grid")) {
        window.shifts.push({ value: entry.value, what: entry.sources.map((one) => `${one.node?.nodeName}.${one.node?.className ?? one.node?.parentElement?.className} ${JSON.stringify(one.previousRect)} ${JSON.stringify(one.currentRect)}`) });
      }
    }
  }).observe({ type: "layout-shift", buffered: false });
});
const shiftsOf = (page) => page.evaluate(() => window.shifts);

// whole fails where a word that must be read in full, or a figure, is cut.
async function whole(page, what) {
  const cut = await page.evaluate(() => [...document.querySelectorAll(".arc-word, .alarm:not([hidden]) .alarm-words, .reading-number, .heat-number, .place-part strong, .heat-doubt, .more-values strong, .reading > .state span, .heat-side > .state span")]
    .filter((one) => one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).display !== "inline").map((one) => `${one.className} ${one.textContent} ${one.scrollWidth} ${one.clientWidth}`));
  assert.deepEqual(cut, [], `${what}: cut`);
}

test("nothing that happens moves or changes any part, and all that must be seen is on the glass", lenient, async (t) => {
  const server = await serve(t, await emptyFolder(t));
  const browser = await browse(t);
  for (const [size, units] of [["tablet", "us"], ["portrait", "metric"]]) {
    const device = await visit(t, browser, server, { size, units });
    const { page } = device;
    const fed = await feed(device, calm(), bead(2));
    await drawn(page);
    const first = await boxesOf(page);
    apart(first, sizes[size].viewport, size);
    await watchShifts(page);
    for (const [name, live] of Object.entries(states())) {
      await fed.tell(live);
      await until(() => page.evaluate((title) => document.querySelector(".arc-title").textContent === title, live.title), "it is drawn");
      await until(async () => (await page.locator(".alarm:not([hidden])").count()) === Math.min(2, live.alarms.length) || live.alarms.length === 0, `${name}: the alarms are drawn`);
      await page.evaluate((pieces) => window.told("bead", { record: "demo", pieces, gone: 0 }), bead(3));
      await drawn(page);
      const what = `${size}, ${units}, ${name}`;
      assert.deepEqual(await boxesOf(page), first, `${what}: every part is where it was`);
      await whole(page, what);
      const letters = await page.evaluate(() => [...document.querySelectorAll(".alarm:not([hidden]) .alarm-words, .alarm.lead:not([hidden]) .alarm-state")].map((one) => parseFloat(getComputedStyle(one).fontSize)));
      assert.ok(letters.every((px) => px >= 40), `${what}: letters of ${letters} px`);
    }
    assert.deepEqual(await shiftsOf(page), [], "the browser saw nothing move");
    device.clean();
  }
});

test("what was out stands there until it is touched, each for itself or all at once", lenient, async (t) => {
  const server = await serve(t, await emptyFolder(t));
  const device = await visit(t, await browse(t), server);
  const { page } = device;
  const live = { ...calm(), alarms: [alarm({ id: 7, now: false, lasted_s: 2.4 }), alarm({ id: 8, rule: "current", value: 181, limit: 160, unit: "A", now: false }), alarm({ id: 9, rule: "gas_flow", value: 9, limit: 12, unit: "L/min", now: false })] };
  const fed = await feed(device, live);
  const words = () => page.locator(".alarm:not([hidden]) .alarm-words").allInnerTexts();
  await until(async () => (await words()).join() === "Voltage 22.1 V,Current 181 A", "two stand there");
  assert.match(await page.locator(".alarm.lead").innerText(), /over, no finding\s+above 19\.0 V, at 97° ± 2\.0°, 12\.3 mm deep, layer 1, turn 3, pass 2, from \d\d:\d\d:\d\d UTC, for 2\.4 s/);
  await page.reload();
  await until(async () => (await words()).length === 2, "they stand there after a reload");
  assert.equal(await page.getByRole("button", { name: "1 more" }).count(), 1);
  await page.evaluate(() => { // what is said goes away by itself
    window.said = [];
    new MutationObserver(() => window.said.push(document.querySelector(".toasts[role=status]").textContent)).observe(document.querySelector(".toasts[role=status]"), { childList: true });
  });
  await page.locator(".alarm.lead").click();
  await until(async () => (await words()).join() === "Current 181 A,Gas 9.0 L/min", "the one that was touched is gone, the next one moves up");
  const told = await page.evaluate(() => window.said);
  assert.ok(told.some((one) => /^Seen: Voltage 22\.1 V, above 19\.0 V; over, no finding\. At 97°/.test(one)), `the touch tells all of it: ${told}`);
  await page.getByRole("button", { name: "Seen all" }).click();
  await page.getByText("No value is out of its limits.").waitFor();
  await until(() => fed.seen.length === 3, "the program was told");
  assert.deepEqual(fed.seen, [7, 8, 9]);
  await fed.tell({ ...fed.state(), alarms: [alarm({ id: 10 })] });
  await until(async () => (await words()).length === 1, "a new one stands there");
  await page.locator(".alarm.lead").click();
  await page.getByRole("button", { name: /^Seen: Voltage/ }).waitFor();
  assert.equal((await words()).length, 1, "what is still out stays");
  device.clean();
});

test("tones off or on are seen at all times, and one touch turns them", lenient, async (t) => {
  const server = await serve(t, await emptyFolder(t));
  const device = await visit(t, await browse(t), server);
  const { page } = device;
  await feed(device, calm());
  const button = page.locator(".tones");
  const before = await button.boundingBox();
  assert.match(await button.innerText(), /Tones off/);
  await button.click();
  await until(async () => /Tones on/.test(await button.innerText()), "they are on");
  assert.equal(await page.evaluate(() => localStorage.getItem("arctally.sound")), "on");
  await page.reload();
  await until(async () => /Tones wait\s+touch once/.test(await button.innerText()), "the browser has to be touched first");
  assert.deepEqual(await button.boundingBox(), before, "it stands where it stood");
  assert.ok(await button.locator("svg").isVisible());
  await page.locator(".arc-title").click();
  await until(async () => /Tones on/.test(await button.innerText()), "a touch anywhere wakes them");
  device.clean();
});

test("a whole repair is laid, with what goes wrong in it, and nothing moves", lenient, async (t) => {
  const browser = await browse(t);
  const server = await serve(t, await emptyFolder(t), { speed: 2, layers: 1 });
  const devices = await Promise.all(glasses.map((size) => visit(t, browser, server, { size, address: "live" })));
  await server.post("/recording", { job: await job(server, "short", shortBore) });
  const before = await Promise.all(devices.map(async ({ page }) => {
    await page.locator(".live-grid").waitFor();
    await drawn(page);
    await watchShifts(page);
    return boxesOf(page);
  }));
  const boxes = new Set();
  const live = await until(async () => {
    for (const [k, { page }] of devices.entries()) {
      if (await page.locator(".live-grid").isVisible()) {
        boxes.add(JSON.stringify([k, await boxesOf(page).catch(() => before[k])])); // it may end in between
      }
    }
    const now = await server.get("/recording");
    return now.phase === "ended" ? now : null;
  }, "it is laid");
  assert.ok(live.alarms.length > 0, "something went out of its limits");
  assert.deepEqual([...boxes].sort(), before.map((one, k) => JSON.stringify([k, one])), "every part stayed where it was");
  for (const device of devices) {
    await device.page.getByText("has ended").first().waitFor();
    assert.deepEqual(await shiftsOf(device.page), [], "the browser saw nothing move");
    device.clean();
  }
});

test("what was out and is over is still told after a reload, until it is touched", lenient, async (t) => {
  const server = await serve(t, await emptyFolder(t), { speed: 4, layers: 1 });
  await server.post("/recording", { job: await job(server, "long", longBore) });
  const device = await visit(t, await browse(t), server, { address: "live" });
  const { page } = device;
  await until(async () => /pieces are laid/.test(await page.locator(".wall-area svg").getAttribute("aria-label")), "the bead grows");
  const over = await until(async () => (await server.get("/recording")).alarms.find((a) => !a.now && a.rule !== "link"), "something was out, and is over");
  await page.reload();
  await page.getByRole("button", { name: "Seen all" }).waitFor();
  assert.ok((await server.get("/recording")).alarms.some((a) => a.id === over.id), "the program kept it");
  await page.getByRole("button", { name: "Seen all" }).click();
  await until(async () => !(await server.get("/recording")).alarms.some((a) => a.id === over.id), "it is gone once it was touched");
  await server.remove("/recording");
  device.clean();
});
