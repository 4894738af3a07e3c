// Who cannot see colours, has gloves on, sits in full sun or has a keyboard alone gets through all of it.
import assert from "node:assert/strict";
import { readFile, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import path from "node:path";
import { test } from "node:test";
import { browse, drawn, job, longBore, recordedFolder, serve, settled, until, visit, lenient } from "./rig.mjs";

const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const touch = 12 * 96 / 25.4; // CSS px of 12 mm: a finger in a welding glove

const addresses = ["", "job", "job/short", "job/broken", "procedure/gmaw-short-arc", "plan/short", "checks/short", "live", "record/short", "record/short/pass/1",
  "record/short/overlay", "record/short/inspect", "record/short/event/1", "record/short/paper", "jobs/heat-input?by=layer", "jobs/proved", "jobs/open", "jobs/calibrations", "jobs/since", "nowhere"];

// openUp brings out what a page keeps folded: forms, dialogs, errors.
const openUp = {
  "checks/short": async (page) => {
    await page.getByRole("button", { name: /^Do this check.*meter/ }).click();
    await page.getByRole("button", { name: "Carry out and keep" }).click();
    await page.locator(".wrong:visible").first().waitFor();
  },
  "record/short": async (page) => {
    for (const fold of await page.locator("main summary").all()) {
      await fold.click();
    }
    await page.locator(".map-area").focus();
    await page.keyboard.press("ArrowRight");
  },
  "record/short/event/1": async (page) => {
    await page.locator('[aria-label="Finding 1"]').getByRole("button", { name: "Inspect and decide" }).click();
  },
  "jobs/heat-input?by=layer": async (page) => {
    await page.locator(".fleet-chart").first().focus();
    await page.keyboard.press("End");
    for (const fold of await page.locator("main summary").all()) {
      await fold.click();
    }
    await page.locator("tbody tr").last().waitFor();
  },
  "record/short/inspect": async (page) => {
    await page.getByRole("button", { name: "Put the measured bore on record" }).click();
  },
};

const dialogs = {
  "checks/short": (page) => page.getByRole("button", { name: "Start recording" }).click(),
};

async function judged(page, theme, what) {
  await page.evaluate(axe);
  const rules = theme === "sun" ? { "color-contrast-enhanced": { enabled: true } } : {};
  const { violations } = await page.evaluate((rules) => axe.run(document, { rules, resultTypes: ["violations"] }), rules);
  const bad = violations.filter((one) => ["serious", "critical"].includes(one.impact));
  return bad.map((one) => `${what}: ${one.id}: ${one.nodes.slice(0, 3).map((node) => `${node.html.slice(0, 140)} ${node.failureSummary.split("\n")[1] ?? ""}`).join(" | ")}`);
}

// paleText computes the contrast of all text that is seen with what is behind it, by WCAG 2's formula. A picture behind it is not judged.
function paleText(page, least) {
  return page.evaluate((least) => {
    const parse = (text) => {
      const [r, g, b, a = 1] = text.match(/[\d.]+/g).map(Number);
      return [r, g, b, a];
    };
    const over = ([r, g, b, a], [x, y, z]) => [r * a + x * (1 - a), g * a + y * (1 - a), b * a + z * (1 - a)];
    const behind = (element) => {
      const own = parse(getComputedStyle(element).backgroundColor);
      return own[3] === 1 ? own : over(own, element.parentElement ? behind(element.parentElement) : [255, 255, 255]);
    };
    const light = (c) => c.slice(0, 3).map((v) => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4).reduce((sum, v, k) => sum + v * [0.2126, 0.7152, 0.0722][k], 0);
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const pale = [];
    let seen = 0;
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const element = node.parentElement;
      if (!node.textContent.trim() || !element.checkVisibility({ opacityProperty: true, visibilityProperty: true }) || element.closest(".unseen, script, style, datalist, canvas")) {
        continue;
      }
      const style = getComputedStyle(element);
      const svg = element instanceof SVGElement;
      const ground = behind(svg ? element.closest("svg").parentElement : element);
      const ink = over(parse(svg ? style.fill : style.color), ground);
      const [a, b] = [light(ink), light(ground)].sort((p, q) => q - p);
      const ratio = (a + 0.05) / (b + 0.05);
      seen++;
      if (ratio < least) {
        pale.push(`${ratio.toFixed(2)}: "${node.textContent.trim().slice(0, 40)}" in ${element.tagName}.${element.getAttribute("class")}`);
      }
    }
    return { seen, pale };
  }, least);
}

// small are the things to press that a glove misses. Links within running text are read with a mouse or a bare finger, and excepted;
// what is scrolled under by a label (a tick, a choice, a file) counts with its label.
function small(page, least) {
  return page.evaluate((least) => {
    const all = [...document.querySelectorAll("button, a[href], input, select, textarea, summary, [role=button], [tabindex='0']")];
    const wrong = [];
    let seen = 0;
    for (const element of all) {
      if (!element.checkVisibility({ visibilityProperty: true }) || element.closest("dialog") !== document.querySelector("dialog[open]") && document.querySelector("dialog[open]") || element.matches(".skip")) {
        continue;
      }
      const running = element.matches("a") && element.closest("p, dd, li") && getComputedStyle(element).display === "inline";
      if (running) {
        continue;
      }
      const target = element.matches("input[type=checkbox], input[type=radio], input[type=file]") ? element.closest("label") ?? element : element;
      const box = target.getBoundingClientRect();
      seen++;
      if (box.height < least - 0.5 || box.width < least - 0.5) {
        wrong.push(`${box.width.toFixed(0)} x ${box.height.toFixed(0)}: ${target.outerHTML.slice(0, 110)}`);
      }
    }
    return { seen, wrong };
  }, least);
}

// unnamed are marks of a state that have no words.
function unnamed(page) {
  return page.evaluate(() => [...document.querySelectorAll(".state, .eye, .alarm, .arc-state")].filter((one) => one.checkVisibility())
    .filter((one) => !(one.matches(".eye") ? one.parentElement : one).textContent.trim()).map((one) => one.outerHTML.slice(0, 120)));
}

for (const size of ["tablet", "phone"]) {
  for (const theme of ["shade", "sun"]) {
    // Each size and each theme is met once; ARCTALLY_LONG takes every pair.
    const skip = !process.env.ARCTALLY_LONG && (size === "tablet") === (theme === "sun");
    test(`${size}, ${theme}: nothing is out of reach`, { ...lenient, skip }, async (t) => {
      const folder = await recordedFolder(t);
      const server = await serve(t, folder, { speed: 2 });
      await writeFile(path.join(folder, "broken.yaml"), "job: Broken\nprocedure: procedures/gmaw-short-arc.yaml\nbore: {length: 60}\n");
      const device = await visit(t, await browse(t), server, { size, theme });
      device.allow(/status of 4\d\d/);
      const { page } = device;
      const wrong = [];
      let texts = 0;
      let targets = 0;
      const look = async (what) => {
        wrong.push(...await judged(page, theme, what));
        const { seen, pale } = await paleText(page, theme === "sun" ? 7 : 4.5);
        texts += seen;
        wrong.push(...pale.slice(0, 6).map((one) => `${what}: pale ${one}`));
        const pressed = await small(page, touch);
        targets += pressed.seen;
        wrong.push(...pressed.wrong.slice(0, 6).map((one) => `${what}: small ${one}`));
        wrong.push(...(await unnamed(page)).map((one) => `${what}: a state without words ${one}`));
      };
      for (const address of addresses) {
        await device.go(address);
        await openUp[address]?.(page);
        await drawn(page);
        await look(`#/${address}`);
        if (dialogs[address]) {
          await dialogs[address](page);
          await page.getByRole("dialog").waitFor();
          await look(`#/${address}, dialog`);
          await page.keyboard.press("Escape");
        }
      }
      await server.post("/recording", { job: await job(server, "long", longBore) });
      await device.go("live");
      await until(async () => /\d/.test(await page.locator('[data-channel="voltage"] .reading-number').innerText()), "a voltage is shown");
      await look("#/live, recording");
      await page.getByRole("button", { name: "Note", exact: true }).click();
      await page.getByRole("dialog").waitFor();
      await look("#/live, note");
      await page.keyboard.press("Escape");
      await page.getByRole("button", { name: "Torch angle", exact: true }).click();
      await page.getByRole("dialog").waitFor();
      await look("#/live, torch angle");
      const quarter = page.getByRole("button", { name: "90°", exact: true });
      assert.ok(await quarter.isDisabled(), "nobody has said it");
      await page.getByLabel("Your name").fill("Operator 1");
      await quarter.click();
      await page.getByText("torch at 90 deg").waitFor();
      await page.getByRole("button", { name: "Torch angle", exact: true }).click();
      assert.ok(await page.getByRole("button", { name: "At the angle typed" }).isDisabled(), "no angle is typed");
      await page.getByLabel("At another angle").fill("-12,5");
      await page.getByRole("button", { name: "At the angle typed" }).click();
      await page.getByText("torch at 347.5 deg").waitFor();
      t.diagnostic(`${texts} texts and ${targets} things to press were looked at`);
      assert.ok(texts > 500 && targets > 150, `${texts} texts, ${targets} things to press`);
      assert.deepEqual(wrong, []);
      device.clean();
    });
  }
}

// focusSeen tells whether what has the focus looks different for it.
function focusSeen(page) {
  return page.evaluate(() => {
    const element = document.activeElement;
    if (!element || element === document.body) {
      return { what: "nothing", seen: false };
    }
    const looks = (one) => {
      const style = getComputedStyle(one);
      return [style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2 ? style.outlineColor : "", style.boxShadow];
    };
    // A tick or a choice shows it on its label.
    const seen = [element, element.closest("label"), element.closest("figure, section")].filter(Boolean).some((one) => {
      const [outline, shadow] = looks(one);
      return outline !== "" || shadow !== "none";
    });
    return { what: `${element.tagName} ${element.getAttribute("aria-label") ?? element.textContent.trim().slice(0, 30)} ${element.id}`, seen };
  });
}

// tabTo goes on with Tab until what is wanted has the focus. Every stop on the way must be seen; one that does not move on is a trap.
async function tabTo(page, wanted, most = 80) {
  const stops = [];
  for (let k = 0; k < most; k++) {
    await page.keyboard.press("Tab");
    const { what, seen } = await focusSeen(page);
    stops.push(what);
    if (what !== "nothing") {
      assert.ok(seen, `the focus is seen on ${what}`);
    }
    if (await wanted.evaluate((one) => one === document.activeElement || one.contains(document.activeElement) && document.activeElement.matches("input")).catch(() => false)) {
      return;
    }
  }
  assert.fail(`Tab does not come to it: ${stops.slice(-12).join(" | ")}`);
}

test("a keyboard is enough", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const device = await visit(t, await browse(t), server);
  const { page } = device;
  const press = (...keys) => keys.reduce((last, key) => last.then(() => page.keyboard.press(key)), Promise.resolve());
  const enter = async (wanted, most) => {
    await tabTo(page, wanted, most);
    await press("Enter");
  };
  // From the folder to the plan, and on to the checks.
  await enter(page.getByRole("link", { name: "Plan short" }));
  await page.getByRole("heading", { name: "Plan of short" }).waitFor();
  assert.equal(await page.evaluate(() => document.activeElement.tagName), "H1", "the focus comes along to the heading");
  await enter(page.getByRole("link", { name: "Checks and start" }));
  const dialog = page.getByRole("dialog");
  const start = page.getByRole("button", { name: "Start recording" });
  await start.waitFor();
  await enter(page.getByRole("button", { name: /^Do this check.*zero/ }));
  assert.equal(await page.evaluate(() => document.activeElement.closest('[data-kind="zero"]') !== null), true, "the focus is in the form of the check");
  await enter(page.locator('[data-kind="zero"]').getByRole("button", { name: "Not now" }));
  await enter(start);
  await dialog.waitFor();
  const ticks = await dialog.getByRole("checkbox").all();
  for (const tick of ticks) {
    await tabTo(page, tick);
    await press("Space");
    assert.equal(await tick.isChecked(), true);
  }
  // The focus stays within the dialog, all the way round.
  for (let k = 0; k < ticks.length + 6; k++) {
    await press("Tab");
    assert.equal(await page.evaluate(() => document.activeElement === document.body || document.activeElement.closest("dialog") !== null), true, "the focus stays in the dialog");
  }
  await press("Escape");
  await dialog.waitFor({ state: "detached" });
  assert.equal(await start.evaluate((one) => one === document.activeElement), true, "the focus goes back to where it came from");
  assert.equal(await server.get("/recording"), null, "nothing was started");

  // From the review over the map into a waveform, nearer, and back to the inspection.
  await device.go("record/short");
  await tabTo(page, page.locator(".map-area"));
  await press("ArrowRight", "ArrowRight", "ArrowDown", "ArrowRight");
  await page.locator(".review-place h2", { hasText: "°" }).waitFor();
  await until(async () => /degrees/.test(await page.locator(".map [role=status]").innerText()), "the cell is told to who cannot see it");
  await press("Enter");
  await page.waitForURL(/pass\/1\?angle=/);
  const wave = page.locator(".wave");
  await wave.waitFor();
  await tabTo(page, wave);
  const status = page.locator(".wave-status");
  await until(async () => (await status.innerText()) !== "", "the waveform is told of");
  for (let k = 0; k < 12 && !/Every sample/.test(await status.innerText()); k++) {
    await press("+");
    await settled(page);
  }
  assert.match(await status.innerText(), /Every sample is drawn/);
  await press("Home");
  await until(async () => /^Lowest and highest of e/.test(await status.innerText()), "the whole pass is shown again");
  await device.go("record/short/event/1");
  const card = page.locator('[aria-label="Finding 1"]');
  await enter(card.getByRole("button", { name: "Inspect and decide" }));
  await card.getByRole("form").waitFor();
  await press("Space"); // the focus is on the first method
  for (const group of ["It showed", "Decision"]) {
    await tabTo(page, card.getByRole("group", { name: group }).getByRole("radio").first());
    await press("Space");
  }
  await tabTo(page, card.getByLabel("Remark"));
  await page.keyboard.type("by keyboard");
  await tabTo(page, card.getByLabel("Name"));
  await page.keyboard.type("Inspector 1");
  await enter(card.getByRole("button", { name: "Put on record" }));
  await card.getByText(/Entry 1 by Inspector 1/).waitFor();
  // From home over all jobs to a job.
  await device.go("");
  await enter(page.getByRole("link", { name: "All jobs" }));
  const chart = page.locator(".fleet-chart").first();
  await chart.waitFor();
  await tabTo(page, chart);
  await press("ArrowLeft");
  await page.locator(".fleet-chosen", { hasText: "short" }).waitFor();
  await press("Enter");
  await page.waitForURL(/record\/short\/pass\/1$/);
  device.clean();
});
