// Who enlarges a screen of 1280 x 1024 to 400 % has 320 x 256 px (WCAG 2.2, 1.4.10): every page can be read by going down alone, and its
// frame leaves room for it. Tables and waveforms may be pushed sideways in their own place.
import assert from "node:assert/strict";
import { writeFile } from "node:fs/promises";
import path from "node:path";
import { test } from "node:test";
import { browse, job, lenient, longBore, recordedFolder, serve, sizes, until, visit } from "./rig.mjs";

const { width, height } = sizes.enlarged.viewport;

// outside is what goes beyond the screen to the right, and cannot be reached there by pushing its own place.
const outside = (page) => page.evaluate((width) => {
  const over = [...document.querySelectorAll("body *")].filter((one) => one.checkVisibility() && one.getBoundingClientRect().width > 0 && one.getBoundingClientRect().right > width + 1 && !one.closest(".scroll, .unseen, .skip, .file-text, svg, .uplot"));
  return { wide: document.scrollingElement.scrollWidth, over: over.slice(0, 5).map((one) => `${one.tagName}.${one.className} ${one.textContent.slice(0, 30)}`) };
}, width);

// cutWords are words that their own box cuts off, with nothing to tell so.
const cutWords = (page) => page.evaluate(() => [...document.querySelectorAll("main button, main .button, main h1, main h2, main h3, main label, main dt, main dd, main p")]
  .filter((one) => one.checkVisibility() && !one.closest(".scroll, .unseen, .live-first, .uplot, svg") && one.scrollWidth > one.clientWidth + 2 && getComputedStyle(one).display !== "inline")
  .map((one) => `${one.tagName}.${one.className} "${one.textContent.slice(0, 40)}" ${one.scrollWidth} in ${one.clientWidth}`));

test("at 400 % every page is read by going down alone", lenient, async (t) => {
  const folder = await recordedFolder(t);
  const server = await serve(t, folder, { speed: 2 });
  await writeFile(path.join(folder, "broken.yaml"), "job: Broken\nprocedure: procedures/gmaw-short-arc.yaml\nbore: {length: 60}\n");
  const device = await visit(t, await browse(t), server, { size: "enlarged" });
  device.allow(/status of 4\d\d/);
  const { page } = device;
  const wrong = [];
  const look = async (what) => {
    const { wide, over } = await outside(page);
    if (wide > width || over.length > 0) {
      wrong.push(`${what}: ${wide} px: ${over.join(", ")}`);
    }
    wrong.push(...(await cutWords(page)).map((one) => `${what}: cut ${one}`));
    const frame = await page.locator("header").evaluate((one) => ({ high: one.getBoundingClientRect().height, stays: getComputedStyle(one).position !== "static" }));
    if (frame.stays || frame.high > height / 2) {
      wrong.push(`${what}: the frame takes ${frame.high} of ${height} px`);
    }
  };
  for (const address of ["", "job", "job/short", "job/broken", "procedure/gmaw-short-arc", "plan/short", "checks/short", "live", "record/short", "record/short/pass/1", "record/short/overlay",
    "record/short/inspect", "record/short/event/1", "record/short/paper", "jobs/heat-input?by=layer", "jobs/proved", "jobs/open", "jobs/calibrations", "jobs/since", "nowhere"]) {
    await device.go(address);
    await look(address);
  }
  await device.go("checks/short");
  await page.getByRole("button", { name: /^Do this check.*meter/ }).click();
  await look("a check");
  await page.getByRole("button", { name: "Start recording" }).click();
  await page.getByRole("dialog").waitFor();
  await look("the start");
  await page.keyboard.press("Escape");
  await server.post("/recording", { job: await job(server, "long", longBore) });
  await device.go("live");
  await until(async () => /\d/.test(await page.locator('[data-channel="voltage"] .reading-number').innerText()), "a voltage is shown");
  await look("the arc");
  await page.getByRole("button", { name: "Torch angle", exact: true }).click();
  await page.getByRole("dialog").waitFor();
  await look("the torch angle");
  assert.deepEqual(wrong, []);
  device.clean();
});
