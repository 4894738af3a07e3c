// The pages on a phone held upright: all of it readable, nothing beyond the edge, two fingers zoom the waveform.
import assert from "node:assert/strict";
import { test } from "node:test";
import { browse, job, longBore, recordedFolder, serve, settled, sizes, until, visit, lenient } from "./rig.mjs";

const { width } = sizes.phone.viewport;

// fits fails where something can be pushed sideways. The width is that of the glass: a page that is too wide makes a phone zoom out.
async function fits(page, what) {
  const [layout, content, outside] = await page.evaluate((most) => [innerWidth, document.scrollingElement.scrollWidth,
    [...document.querySelectorAll("body *")].filter((one) => one.getBoundingClientRect().right > most + 1 && !one.closest(".scroll, .unseen, .file-text, svg, .uplot"))
      .slice(0, 5).map((one) => `${one.tagName}.${one.className}`)], width);
  assert.ok(layout <= width && content <= width, `${what}: ${content} px on ${layout} px of ${width}: ${outside.join(", ")}`);
}

test("no page is wider than the phone", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const device = await visit(t, await browse(t), server, { size: "phone" });
  device.allow(/status of 422.*\/api\/plan/); // of an empty form there is no plan
  for (const units of ["metric", "us"]) {
    await device.page.evaluate((u) => localStorage.setItem("arctally.units", u), units);
    for (const address of ["", "job", "job/short", "procedure", "procedure/gmaw-short-arc", "plan/short", "checks/short", "live", "record/short", "record/short/pass/1",
      "record/short/overlay", "record/short/inspect", "record/short/event/1", "record/short/paper", "nowhere"]) {
      await device.go(address);
      await device.page.reload();
      await settled(device.page);
      await fits(device.page, `${address}, ${units}`);
    }
  }
  device.clean();
});

test("the arc can be read on a phone", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t), { speed: 5 });
  await server.post("/recording", { job: await job(server, "long", longBore) });
  const device = await visit(t, await browse(t), server, { size: "phone", address: "live" });
  const { page } = device;
  await until(async () => /\d/.test(await page.locator('[data-channel="voltage"] .reading-number').innerText()), "a voltage is shown");
  const height = (selector) => page.locator(selector).first().evaluate((one) => parseFloat(getComputedStyle(one).fontSize));
  assert.ok(await height(".reading-number") >= 30, `numbers of ${await height(".reading-number")} px`);
  assert.ok(await height(".arc-word") >= 24, `ARC ON of ${await height(".arc-word")} px`);
  // Arc, alarms and all four values are on the first screen, without a touch.
  for (const selector of [".arc-word", ".alarms-box", ...["voltage", "current", "wire_speed", "travel_speed"].map((name) => `[data-channel="${name}"] .reading-number`)]) {
    const box = await page.locator(selector).first().boundingBox();
    assert.ok(box && box.y >= 0 && box.y + Math.min(box.height, 60) <= sizes.phone.viewport.height, `${selector} is on the first screen: ${JSON.stringify(box)}`);
  }
  await fits(page, "live");
  device.clean();
});

test("two fingers zoom the waveform, one shifts it", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const device = await visit(t, await browse(t), server, { size: "phone" });
  const { page, context } = device;
  const asked = [];
  page.on("request", (request) => {
    const url = new URL(request.url());
    if (url.pathname.endsWith("/trace") && /voltage/.test(url.searchParams.get("channels") ?? "")) {
      asked.push([Number(url.searchParams.get("from")), Number(url.searchParams.get("until"))]);
    }
  });
  await device.go("record/short/pass/1");
  const surface = page.locator(".wave .u-over").first();
  await surface.waitFor();
  await surface.scrollIntoViewIfNeeded();
  await until(() => asked.length > 0, "the whole pass is asked for");
  await settled(page);
  const touch = await context.newCDPSession(page);
  const box = await surface.boundingBox();
  const y = box.y + box.height / 2;
  const x = (share) => box.x + share * box.width;
  // fingers go straight from their places to others, all at once, in eight steps.
  const move = async (from, to) => {
    const at = (share) => from.map((start, id) => ({ x: x(start + share * (to[id] - start)), y, id }));
    await touch.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: at(0) });
    for (let k = 1; k <= 8; k++) {
      await touch.send("Input.dispatchTouchEvent", { type: "touchMove", touchPoints: at(k / 8) });
    }
    await touch.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
    await settled(page);
    return asked.at(-1);
  };
  const first = asked.at(-1);
  const span = ([from, until]) => until - from;
  const near = (a, b, slack, what) => assert.ok(Math.abs(a - b) <= slack, `${what}: ${a} is not about ${b}`);

  const closer = await move([0.4, 0.6], [0.2, 0.8]);
  near(span(closer) / span(first), 1 / 3, 0.06, "two fingers drawn apart to three times show a third");
  near((closer[0] + closer[1]) / 2, (first[0] + first[1]) / 2, 0.06 * span(first), "what lay between them stays there");

  const shifted = await move([0.7], [0.3]);
  near(span(shifted), span(closer), 0.02 * span(closer), "one finger does not zoom");
  near((shifted[0] - closer[0]) / span(closer), 0.4, 0.08, "one finger shifts by as much as it moves");

  const wider = await move([0.2, 0.8], [0.35, 0.65]);
  near(span(wider) / span(shifted), 2, 0.3, "two fingers drawn together show more");
  assert.equal(await page.evaluate(() => visualViewport.scale), 1, "the page itself was not zoomed");
  device.clean();
});
