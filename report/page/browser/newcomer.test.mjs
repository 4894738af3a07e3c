// Who has never seen the pages gets from nothing to an arc without reading an error, and is asked once for what is missing.
import assert from "node:assert/strict";
import { test } from "node:test";
import { browse, emptyFolder, lenient, recordedFolder, serve, settled, sizes, startRecording, typeField, until, visit } from "./rig.mjs";

// The same shop twice: as the forms are filled in with a comma and with fractions of an inch.
const shops = {
  metric: {
    job: {
      job: "Boom, left", "people.operator": "Operator 1", "bore.worn_diameter": "92,5 mm", "bore.finish_diameter": "90 mm", "bore.weld_to_diameter": "89,5 mm", "bore.length": "6,5 mm",
      "deposit.pitch": "3 mm", "deposit.wire_diameter": "0,9 mm", "rotation.speed": "1,25 rpm",
      "setpoints.voltage": "17,5 V", "setpoints.current": "140 A", "setpoints.wire_speed": "5,5 m/min", "setpoints.travel_speed": "360 mm/min",
    },
    procedure: {
      procedure: "SHOP-3", process: "MAG", "limits.voltage": "16,5..19,0 V", "limits.current": "110..160 A",
      "limits.travel_speed": "280..420 mm/min", "limits.heat_input": "0,25..0,55 kJ/mm", "judge.definition": "EN 1011-1",
    },
  },
  us: {
    job: {
      job: "Boom, left", "people.operator": "Operator 1", "bore.worn_diameter": "3 5/8 in", "bore.finish_diameter": "3-17/32 in", "bore.weld_to_diameter": "3 33/64 in", "bore.length": "1/4 in",
      "deposit.pitch": "1/8 in", "deposit.wire_diameter": ".035 in", "rotation.speed": "1.25 rpm",
      "setpoints.voltage": "17.5 V", "setpoints.current": "140 A", "setpoints.wire_speed": "215 in/min", "setpoints.travel_speed": "14 in/min",
    },
    procedure: {
      procedure: "SHOP-3", process: "MAG", "limits.voltage": "16.5..19.0 V", "limits.current": "110..160 A",
      "limits.travel_speed": "11..16.5 in/min", "limits.heat_input": "6..14 kJ/in", "judge.definition": "arc energy",
    },
  },
};
const gap = { "deposit.gaps.0.from": "80 deg", "deposit.gaps.0.to": "116 deg" };

async function fillIn(page, values) {
  for (const [key, text] of Object.entries(values)) {
    await typeField(page, key, text);
  }
}

// save saves a new form under a name, and waits for the page of the file.
async function save(page, kind, name) {
  await page.getByLabel("Name of the file").fill(name);
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.waitForURL(new RegExp(`#/${kind}/${name}$`));
  await settled(page);
}

// watchTrouble has the page keep the words of every error that it ever shows.
async function watchTrouble(context) {
  await context.addInitScript(() => {
    window.troubles = [];
    new MutationObserver(() => {
      for (const one of document.querySelectorAll(".box-trouble, .wrong:not([hidden])")) {
        if (one.textContent.trim() !== "" && !window.troubles.includes(one.textContent)) {
          window.troubles.push(one.textContent);
        }
      }
    }).observe(document, { childList: true, subtree: true, attributes: true, characterData: true });
  });
}

for (const [units, shop] of Object.entries(shops)) {
  test(`${units}: every pattern is laid from the forms, and no error is read`, lenient, async (t) => {
    const server = await serve(t, await emptyFolder(t), { speed: 300 });
    const device = await visit(t, await browse(t), server, { units });
    const { page } = device;
    device.allow(/422.*\/api\/plan/); // half a job has no plan yet
    await watchTrouble(device.context);
    await page.reload();
    await page.getByRole("link", { name: "New procedure" }).click();
    await page.getByLabel("Name of the file").waitFor();
    await fillIn(page, shop.procedure);
    await save(page, "procedure", "shop");
    for (const pattern of ["helix", "rings", "segment-reversing", "segment-one-way"]) {
      await device.go("");
      await page.getByRole("link", { name: "New job" }).click();
      await page.getByLabel("Name of the file").waitFor();
      await fillIn(page, { procedure: "procedures/shop.yaml", ...shop.job, "deposit.pattern": pattern });
      if (pattern.startsWith("segment")) {
        await page.locator("summary", { hasText: "Gaps" }).click();
        await page.locator("button", { hasText: /^Add one of Gaps$/ }).click();
        await fillIn(page, gap);
      }
      await save(page, "job", pattern);
      await device.go(`plan/${pattern}`);
      await page.getByRole("region", { name: "Layers, table" }).waitFor();
      await page.getByRole("link", { name: "Checks and start" }).click();
      await startRecording(page);
      const end = await server.ended();
      assert.equal(end.phase, "ended", `${pattern}: ${JSON.stringify(end.trouble)}`);
      assert.ok(end.counts.passes >= 1, `${pattern}: ${end.counts.passes} passes`);
      assert.deepEqual(await page.evaluate(() => window.troubles), [], `${units} ${pattern}`);
    }
    assert.match((await server.get("/files/job/helix")).values["bore.worn_diameter"], units === "us" ? /^3 5\/8 in$/ : /^92\.5 mm$/);
    device.clean();
  });
}

test("start asks once for what is missing, each with what mends it", lenient, async (t) => {
  const server = await serve(t, await emptyFolder(t), { speed: 100, layers: 1 });
  const device = await visit(t, await browse(t), server, { address: "checks/demo" });
  const { page } = device;
  const start = page.getByRole("button", { name: "Start recording" });
  const { y, height } = await start.boundingBox();
  assert.ok(y + height < sizes.tablet.viewport.height, "the start is on the first screen");
  await start.click();
  const sheet = page.getByRole("dialog", { name: "Before the arc" });
  await sheet.waitFor();
  const box = await sheet.getByRole("button", { name: "Start recording" }).boundingBox();
  assert.ok(box.y + box.height <= sizes.tablet.viewport.height, "all of the sheet is on one screen");
  const { points, operator } = await server.get("/checks/demo/before?job=demo");
  assert.ok(points.length > 3);
  const words = await sheet.locator(".points").innerText();
  for (const point of points) {
    assert.ok(words.includes(point.says), `${point.says}: ${words}`);
  }
  assert.equal(await sheet.getByRole("checkbox").count(), 1, "one yes, not ten");
  assert.equal(await sheet.getByLabel("Who begins").inputValue(), operator, "who the job names is proposed, in sight");
  assert.equal(await sheet.getByRole("button", { name: "Start recording" }).isDisabled(), true);

  await sheet.getByRole("button", { name: /^Do this check.*zero/ }).click();
  const zero = page.locator('[data-kind="zero"]');
  await zero.getByRole("form").waitFor();
  await typeField(page, "channel", "voltage");
  await zero.getByLabel("Take the readings from the sensor box").check();
  await zero.getByLabel("Averaged over").selectOption("2 s");
  await zero.getByRole("button", { name: "Carry out and keep" }).click();
  await zero.getByText(/done in part; zero of current: not checked/).waitFor();

  await start.click();
  await sheet.waitFor();
  assert.ok(!(await sheet.innerText()).includes("zero of voltage"), "what is done is not asked for again");
  await sheet.getByLabel("Who begins").fill("");
  await sheet.getByRole("checkbox").check();
  assert.equal(await sheet.getByRole("button", { name: "Start recording" }).isDisabled(), true, "nobody begins it");
  await sheet.getByLabel("Who begins").fill("Operator 7");
  const [request] = await Promise.all([page.waitForRequest((one) => one.method() === "POST" && one.url().endsWith("/api/recording")), sheet.getByRole("button", { name: "Start recording" }).click()]);
  const asked = request.postDataJSON();
  assert.equal(asked.by, "Operator 7");
  assert.deepEqual(asked.without, points.map((point) => point.says).filter((says) => says !== "zero of voltage: not checked"));
  await page.waitForURL(/#\/live$/);
  await device.go("");
  await page.getByText("In the name of Operator 7").waitFor();
  await page.getByRole("button", { name: "Somebody else" }).click();
  await page.getByLabel("Name").fill("Operator 8");
  await page.getByRole("button", { name: "This is me" }).click();
  await page.getByText("In the name of Operator 8").waitFor();
  device.clean();
});

test("a sensor is asked for what its kind of box has", lenient, async (t) => {
  const server = await serve(t, await emptyFolder(t));
  const device = await visit(t, await browse(t), server, { address: "job/demo" });
  const { page } = device;
  device.allow(/422.*\/api\/plan/);
  const { groups } = await server.get("/forms/job");
  const { fields } = groups.find((group) => group.repeated === "sensors");
  const sensors = page.locator("details", { has: page.locator("summary", { hasText: "Sensors" }) });
  await page.locator('[data-key="sensors.0.port"]').waitFor({ state: "attached" });
  if ((await sensors.getAttribute("open")) === null) {
    await sensors.locator("summary").click();
  }
  for (const link of fields.find((field) => field.key === "link").choices) {
    await typeField(page, "sensors.0.link", link);
    for (const field of fields) {
      assert.equal(await page.locator(`[data-key="sensors.0.${field.key}"]`).isVisible(), !field.only || field.only.includes(link), `${link}: ${field.label}`);
    }
  }
  // What was typed for one link is not sent with another, and is there again with the first.
  await typeField(page, "sensors.0.link", "modbus");
  await typeField(page, "sensors.0.unit", "9");
  await typeField(page, "sensors.0.link", "binary");
  await page.getByRole("button", { name: "Save" }).click();
  await page.getByText("demo.yaml is saved.").waitFor();
  assert.equal((await server.get("/files/job/demo")).values["sensors.0.unit"], undefined);
  await typeField(page, "sensors.0.link", "modbus");
  await typeField(page, "sensors.0.map", "block");
  assert.equal(await page.locator('[data-key="sensors.0.link"] select').evaluate((one) => one.selectedOptions[0].textContent), "Modbus, is asked for its figures");
  device.clean();
});

test("an empty form marks what is needed, and a fraction of an inch is read", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const device = await visit(t, await browse(t), server, { units: "us" });
  const { page } = device;
  device.allow(/422.*\/api\/(plan|checks)/); // half a job has no plan yet
  const marked = (root) => root.locator('[aria-invalid="true"]').count();
  for (const kind of ["job", "procedure"]) {
    await device.go(kind);
    const { groups } = await server.get(`/forms/${kind}`);
    const needed = groups.filter((group) => !group.repeated).flatMap((group) => group.fields.filter((field) => field.required || field.unless));
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await until(async () => (await marked(page)) >= needed.length + 1, `${kind}: the name of the file and every needed field are marked`);
    for (const field of needed) {
      assert.ok(await page.locator(`[data-key="${field.key}"] .wrong`).isVisible(), `${kind}: ${field.label}`);
    }
  }
  await device.go("checks/short");
  await page.getByRole("button", { name: /^Do this check.*wire-speed/ }).click();
  const wire = page.locator('[data-kind="wire-speed"]');
  await wire.getByRole("button", { name: "Carry out and keep" }).click();
  await wire.locator(".wrong:visible").first().waitFor();
  assert.ok((await marked(wire)) >= 2, "the figures and the instrument of the check are marked");
  await device.go("record/short/inspect");
  await page.getByRole("button", { name: "Put the measured bore on record" }).click();
  const bore = page.getByRole("form", { name: "The bore after machining" });
  await bore.getByRole("button", { name: "Put on record" }).click();
  await bore.locator(".wrong:visible").first().waitFor();

  await device.go("job/short");
  await typeField(page, "bore.worn_diameter", "3 5/8 in");
  await page.locator('[data-key="bore.worn_diameter"]').getByText("that is 92.1 mm").waitFor();
  await page.getByRole("img", { name: /^End view: worn 3\.625 in/ }).waitFor();
  device.clean();
});

test("a record that was left open is offered first, and says how far it is judged", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const browser = await browse(t);
  const device = await visit(t, browser, server, { address: "nowhere" });
  const { page } = device;
  let share = 0.25;
  await page.route("**/api/house", async (route) => {
    const house = await (await route.fetch()).json();
    const row = { ...house.records[0], judged: { state: "being judged", progress: share, why: null }, open_findings: null };
    const open = { record: row.record, job: row.job, job_file: "short", since: row.created, words: "The program ended while it was recorded." };
    await route.fulfill({ json: { ...house, records: [row], operator: "Operator 5", go_on: open } });
  });
  await device.go("");
  const first = page.locator("main .strip").first();
  assert.match(await first.innerText(), /Go on with Demo arm, short bore[\s\S]*left open[\s\S]*The program ended while it was recorded/);
  await page.getByText("being judged, 25 %").waitFor();
  share = 0.75;
  await page.getByText("being judged, 75 %").waitFor();
  await page.getByText("Last here: Operator 5").waitFor();
  await page.getByRole("button", { name: "That is me" }).click();
  await page.getByText("In the name of Operator 5").waitFor();
  await first.getByRole("button", { name: "Go on recording" }).click();
  const sheet = page.getByRole("dialog", { name: "Before the arc" });
  await sheet.waitFor();
  assert.equal(await sheet.getByLabel("Who begins").inputValue(), "Operator 5");
  await sheet.getByRole("checkbox").check();
  await sheet.getByRole("button", { name: "Start recording" }).click();
  await page.waitForURL(/#\/live$/);
  assert.equal((await server.get("/recording")).record, "short");
  assert.equal((await server.get("/house")).records.length, 1, "no other record was begun");
  device.clean();
});

const addresses = ["", "job", "job/short", "plan/short", "checks/short", "record/short", "record/short/inspect", "record/short/paper"];

test("at 400 % the frame is small and covers nothing, and a heading has no box", lenient, async (t) => {
  sizes.zoomed = { viewport: { width: 320, height: 200 }, deviceScaleFactor: 4 }; // 1280 x 800
  const server = await serve(t, await recordedFolder(t));
  const device = await visit(t, await browse(t), server, { size: "zoomed" });
  const { page } = device;
  device.allow(/422.*\/api\/plan/);
  for (const address of addresses) {
    await device.go(address);
    const top = await page.locator("header.top").boundingBox();
    assert.ok(top.height <= 80, `${address}: the head of the page has ${top.height} of 200`);
    await page.evaluate(() => scrollTo(0, 400));
    const covered = await page.evaluate(() => [...document.querySelectorAll("body *")].filter((one) => ["fixed", "sticky"].includes(getComputedStyle(one).position) && !one.closest(".skip, .toast-corner"))
      .map((one) => [one.className, one.getBoundingClientRect()]).filter(([, box]) => box.height > 50 && box.top < 200 && box.bottom > 0).map(([name]) => name));
    assert.deepEqual(covered, [], `${address}: what stays covers more than a quarter`);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= 320), `${address}: nothing is cut off at the side`);
  }
  await device.go("");
  await page.keyboard.press("Tab");
  await page.keyboard.press("Tab");
  assert.notEqual(await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle), "none", "the keyboard's focus is seen");
  await page.getByRole("link", { name: "New job" }).focus();
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { name: "New job" }).waitFor();
  assert.deepEqual(await page.evaluate(() => [document.activeElement.tagName, getComputedStyle(document.activeElement).outlineStyle]), ["H1", "none"]);
  device.clean();
});

test("no page speaks as a programmer does", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const device = await visit(t, await browse(t), server);
  device.allow(/422.*\/api\/plan/);
  for (const address of [...addresses, "live", "record/short/pass/1", "procedure/gmaw-short-arc"]) {
    await device.go(address);
    const words = (await device.page.locator("body").innerText()).replace(/Kept in .*/, "");
    assert.doesNotMatch(words, /\bfolder\b|program heard|Paper of|\bepoch\b|\bdelimited\b|lineprotocol|\bslave\b/i, address);
  }
  device.clean();
});
