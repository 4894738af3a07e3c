// All jobs in one picture: what stands there is what the program and its command say, each number leads to its job, and what changes
// in the folder changes there.
import assert from "node:assert/strict";
import { copyFile, rm, writeFile } from "node:fs/promises";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { arctally, browse, cable, emptyFolder, job, lenient, longBore, recordedFolder, serve, settled, steps, until, visit } from "./rig.mjs";

const frozen = (name) => fileURLToPath(new URL(`../../../testdata/record/${name}.arctally`, import.meta.url));

// threeJobs is a folder with one job that was laid, and two of records that are frozen.
async function threeJobs(t) {
  const folder = await recordedFolder(t);
  await copyFile(frozen("version-2-box"), path.join(folder, "boom.arctally"));
  await copyFile(frozen("version-4-capture"), path.join(folder, "stick.arctally"));
  return folder;
}

// asked is one answer of the program, as soon as it has looked the folder through.
const asked = (server, question) => until(async () => {
  const answer = await server.get(`/fleet/${question}`);
  return "of" in answer ? answer : null;
}, `an answer about ${question}`);

// open goes to a question, and waits until it is answered.
async function open(device, question) {
  await device.go(`jobs/${question}`);
  await answered(device.page);
}

async function answered(page) {
  await page.locator("main h2").first().waitFor();
  await page.waitForFunction(() => !document.querySelector("main progress"));
  await settled(page);
}

test("all jobs are seen at once, and each number leads to its job", lenient, async (t) => {
  const folder = await threeJobs(t);
  const server = await serve(t, folder, { speed: 2 });
  const line = await cable(t, server);
  const browser = await browse(t);
  const device = await visit(t, browser, { ...server, url: line.url });
  const { page } = device;
  const step = steps(t);

  await step("the command has the same answers to every question", async (s) => {
    const database = path.join(await emptyFolder(s), "all.sqlite");
    await arctally("fleet", "take-in", folder, "--into", database);
    for (const [question, part, words] of [["heat-input?by=layer", "charts", ["heat-input", "--by", "layer"]], ["heat-input", "charts", ["heat-input"]], ["arc-on?by=box", "charts", ["arc-on", "--by", "box"]],
      ["proved", "proved", ["proved"]], ["open", "open", ["open"]], ["calibrations?days=365", "due", ["calibrations", "--within", "365"]]]) {
      const answer = await asked(server, question);
      const [one, ...flags] = words;
      assert.deepEqual(answer[part], JSON.parse(await arctally("fleet", "ask", ...flags, "--from", database, "--json", one)), question);
      assert.equal(answer.of.jobs, 3);
      assert.deepEqual(answer.of.left_out, []);
    }
    const { changes } = await asked(server, "since");
    const told = JSON.parse(await arctally("fleet", "ask", "--from", database, "--json", "since", changes.since));
    const bare = ({ states }) => states.map(({ taken_in: _, ...rest }) => rest).sort((a, b) => a.record.localeCompare(b.record));
    assert.deepEqual(bare(changes), bare(told));
  });

  await step("the charts show the program's figures", async () => {
    await page.getByRole("link", { name: "All jobs" }).click();
    await page.getByRole("heading", { name: "All jobs" }).waitFor();
    await answered(page);
    const { charts } = await asked(server, "heat-input");
    assert.equal(charts.charts.length, 2);
    const figures = page.locator(".fleet-figure");
    assert.equal(await figures.count(), 2);
    for (const [k, chart] of charts.charts.entries()) {
      const figure = figures.nth(k);
      const said = await figure.innerText();
      assert.ok(said.includes(chart.procedure) && said.includes(`mean heat input Q ${chart.mean.toFixed(3)} kJ/mm`) && said.includes("no limits: fewer than 8 jobs"), said);
      assert.equal(await figure.locator(".fleet-dot, .sign-outside").count(), chart.newest.length, "each job is drawn");
      await figure.locator("summary").click();
      await figure.locator("tbody tr").first().waitFor();
      const rows = await figure.locator("tbody tr").evaluateAll((all) => all.map((row) => [...row.cells].slice(0, 4).map((cell) => cell.innerText)));
      const want = chart.newest.toReversed().map((dot) => [dot.at.slice(0, 10), dot.record.replace(".arctally", "") + (dot.simulated ? " (simulated)" : ""), dot.value.toFixed(3), String(dot.passes)]);
      assert.deepEqual(rows, want);
    }
    await page.getByRole("button", { name: /^mm: metric/ }).click();
    const first = charts.charts[0].newest.at(-1).value;
    await until(async () => (await figures.first().innerText()).includes(`${(charts.charts[0].mean * 25.4).toFixed(1)} kJ/in`), "it is told in US units");
    await until(async () => await figures.first().locator("tbody tr").first().locator("td").nth(2).innerText() === (first * 25.4).toFixed(1), "what was unfolded stays so, in US units");
    await page.getByRole("button", { name: /^inch: US/ }).click();
  });

  await step("a touch and a key lead to the review", async () => {
    await open(device, "heat-input");
    const { charts } = await asked(server, "heat-input");
    const dots = charts.charts[0].newest;
    const figure = page.locator(".fleet-figure").first();
    const box = await figure.locator(".fleet-dot").last().boundingBox();
    await page.touchscreen.tap(box.x + box.width / 2, box.y + 40);
    const newest = dots.at(-1).record.replace(".arctally", "");
    await figure.locator(".fleet-chosen", { hasText: newest }).waitFor();
    await figure.locator(".fleet-chosen").getByRole("link", { name: `Review of ${newest}` }).click();
    await page.waitForURL(new RegExp(`#/record/${newest}/pass/${dots.at(-1).pass}$`));
    await page.getByText(`Pass ${dots.at(-1).pass}`).first().waitFor();
    await open(device, "heat-input");
    await page.locator(".fleet-chart").first().focus();
    await page.keyboard.press("Home");
    await page.keyboard.press("Enter");
    await page.waitForURL(new RegExp(`#/record/${dots[0].record.replace(".arctally", "")}/pass/${dots[0].pass}$`));
  });

  await step("a decision changes how many events are open, under the eyes of who looks", async () => {
    await open(device, "open");
    const before = (await asked(server, "open")).open;
    const many = page.locator(".numbers dd").first();
    assert.equal(await many.innerText(), String(before.open_in_all));
    assert.equal(await page.locator(".strip").count(), before.events.length);
    const event = before.events.find((one) => one.record === "stick.arctally");
    await server.post("/records/stick/entries", { by: "Inspector 1", seen: 0, events: [event.event], count: event.open_findings, method: "visual", result: "no indication", decision: "accept" });
    await until(async () => await many.innerText() === String(before.open_in_all - 1), "one less is open");
    assert.equal((await asked(server, "open")).open.open_in_all, before.open_in_all - 1);
    await page.getByRole("link", { name: /^Event of/ }).first().click();
    await page.waitForURL(/#\/record\/\w+\/event\/\d+$/);
  });

  await step("a record that cannot be read is told, and one that is being recorded is left out", async () => {
    await writeFile(path.join(folder, "torn.arctally"), "no record at all");
    await open(device, "proved");
    await page.getByText("1 record is left out").click();
    assert.match(await page.locator(".fleet-out").innerText(), /cannot be taken in[^]*torn: .*not a record/);
    await rm(path.join(folder, "torn.arctally"));
    await server.post("/recording", { job: await job(server, "long", longBore) });
    await until(async () => (await server.get("/recording"))?.pass, "it burns");
    await open(device, "proved");
    await page.getByText("1 record is left out").click();
    assert.match(await page.locator(".fleet-out").innerText(), /being recorded\s+long: it is being recorded now/);
    await server.remove("/recording");
    await until(async () => (await asked(server, "proved")).of.jobs === 4, "it stands with the others");
    await page.getByText(/^4 jobs of this folder/).waitFor();
    assert.equal(await page.locator(".fleet-out").count(), 0);
  });

  await step("a program that does not answer is told, and asked again", async () => {
    device.allow(/ERR_|Failed to load/);
    line.cut();
    await page.getByRole("link", { name: "Calibrations" }).click();
    await page.locator(".box-trouble").getByText("The program does not answer.").waitFor();
    line.mend();
    await page.getByRole("button", { name: "Try again" }).click();
    await page.getByText(/^4 jobs of this folder/).waitFor();
  });
  device.clean();
});

test("an empty folder has nothing to draw, and a database that was named answers alone", lenient, async (t) => {
  const browser = await browse(t);
  const bare = await serve(t, await emptyFolder(t), { demo: false });
  const empty = await visit(t, browser, bare);
  for (const [question, words] of [["heat-input", "There is nothing to draw yet"], ["proved", "Nothing was judged yet."], ["open", "Nothing is open."], ["calibrations", "runs out within that time"], ["since", "Nothing was taken in since then."]]) {
    await open(empty, question);
    await empty.page.getByText(words).waitFor();
    await empty.page.getByText(/^0 jobs of this folder/).waitFor();
  }
  empty.clean();

  const folder = await threeJobs(t);
  const database = path.join(await emptyFolder(t), "named.sqlite");
  await arctally("fleet", "take-in", path.join(folder, "boom.arctally"), path.join(folder, "stick.arctally"), "--into", database);
  await rm(path.join(folder, "stick.arctally"));
  const server = await serve(t, folder, { demo: false, more: ["--all-jobs", database] });
  const device = await visit(t, browser, server, { size: "phone", theme: "sun" });
  const { page } = device;
  await open(device, "open");
  await page.getByText("These are the answers of the database named.sqlite.").waitFor();
  const strips = page.locator(".strip");
  assert.equal(await strips.count(), (await asked(server, "open")).open.events.length);
  assert.equal(await strips.filter({ hasText: "stick" }).getByText("not in this folder").count(), 1, "what is elsewhere leads nowhere");
  assert.equal(await strips.filter({ hasText: "boom" }).getByRole("link", { name: /^Event/ }).count(), 1);
  device.clean();
});
