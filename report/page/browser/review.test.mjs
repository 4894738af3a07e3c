// An inspector with a record in which very much went wrong: every event gets a decision, through the pages alone.
import assert from "node:assert/strict";
import { copyFile } from "node:fs/promises";
import path from "node:path";
import { test } from "node:test";
import { crowded } from "./crowded.mjs";
import { browse, drawn, emptyFolder, lenient, serve, until, visit } from "./rig.mjs";

const screens = 6; // so many are the most that a page of the review may be high
const mostNodes = 1500;
const mostBytes = 64 << 10; // of one answer about events

// The whole of it is 292 events and 4 652 findings in two records, and takes minutes; without ARCTALLY_LONG it is one smaller record.
const whole = Boolean(process.env.ARCTALLY_LONG);
const records = whole ? ["first", "second"] : ["first"];
const layers = whole ? 37 : 5;
const least = whole ? 2200 : 300; // findings of a record

// bounded holds the page that is shown to what one can look over.
async function bounded(page) {
  const [height, nodes] = await page.evaluate(() => [document.documentElement.scrollHeight / innerHeight, document.querySelectorAll("*").length]);
  assert.ok(height <= screens, `${height.toFixed(1)} screens high: ${page.url()}`);
  assert.ok(nodes <= mostNodes, `${nodes} elements: ${page.url()}`);
  return [height, nodes];
}

test("a record in which very much went wrong is reviewed event by event", lenient, async (t) => {
  const folder = await emptyFolder(t);
  await crowded(folder, "first", layers);
  await copyFile(path.join(folder, "first.arctally"), path.join(folder, "second.arctally"));
  const server = await serve(t, folder, { demo: false });
  const device = await visit(t, await browse(t), server);
  const { page } = device;
  let bytes = 0;
  page.on("response", async (response) => {
    if (/\/events/.test(response.url()) && response.ok()) {
      bytes = Math.max(bytes, (await response.body().catch(() => "")).length);
    }
  });
  let touches = 0;
  const touch = async (what) => {
    touches++;
    await what.tap();
  };
  let [highest, most, events, findings, batches] = [0, 0, 0, 0, 0];
  const look = async () => {
    const [height, nodes] = await bounded(page);
    [highest, most] = [Math.max(highest, height), Math.max(most, nodes)];
  };
  const client = await device.context.newCDPSession(page);
  await client.send("Performance.enable");
  const worked = async () => (await client.send("Performance.getMetrics")).metrics.find((one) => one.name === "TaskDuration").value;
  const before = await worked();
  for (const record of records) {
    await device.go(`record/${record}/inspect`);
    const list = async () => (await server.get(`/records/${record}/events`)).list;
    const { all, open_findings } = await list();
    assert.ok(all > 100 && open_findings > least, `${all} events, ${open_findings} findings`);
    events += all;
    findings += open_findings;
    await look();
    // Those of one cause that look alike are picked, and decided on at once.
    const slip = "slip of the wire";
    const alike = (await list()).choices.cause.find((one) => one.value === slip).count;
    await page.getByLabel("Cause").selectOption(slip);
    await until(async () => {
      const names = await page.locator(".event-row .name").allInnerTexts();
      return names.length === Math.min(25, alike) && names.every((words) => words.endsWith(slip));
    }, "the events of one cause");
    await touch(page.getByLabel(/^Pick event/).first());
    await touch(page.getByRole("button", { name: /^Pick all/ }));
    await touch(page.getByRole("button", { name: /^Decide on \d+ events/ }));
    const form = page.getByRole("form");
    await form.getByLabel("Name").fill("Inspector 1");
    for (const words of ["visual", "indication acceptable", "accept"]) {
      await touch(form.getByText(words, { exact: true }));
    }
    await touch(form.getByRole("button", { name: "Put on record" }));
    await form.getByText("Say that it is about all of them.").waitFor();
    assert.equal((await server.get(`/records/${record}/entries`)).entries.length, 0, "nothing without the count");
    await touch(form.getByLabel(/^I decide on \d+ events with \d+ findings at once/));
    await touch(form.getByRole("button", { name: "Put on record" }));
    await form.waitFor({ state: "detached" });
    batches++;
    await page.getByLabel("Cause").selectOption("");
    await until(async () => (await page.locator(".event-row").count()) === 25, "all of them");
    touches += 4; // a choice is two
    await touch(page.getByRole("link", { name: "Next open event" }));
    let last = "";
    for (;;) {
      await page.waitForFunction((was) => document.querySelector("h1").textContent !== was && document.querySelector(".event-head h2"), last);
      last = await page.locator("h1").innerText();
      await look();
      const decision = page.getByRole("region", { name: "Decision" });
      const asBefore = decision.locator(".as-before");
      if (await asBefore.count() > 0) {
        await touch(asBefore);
        continue;
      }
      const name = decision.getByLabel("Name");
      if (await name.inputValue() === "") {
        await name.fill("Inspector 1");
      }
      for (const words of ["visual", "no indication", "accept"]) {
        if (!await decision.getByLabel(words, { exact: true }).isChecked()) {
          await touch(decision.getByText(words, { exact: true }));
        }
      }
      const further = decision.getByRole("button", { name: "Put on record, next open event", exact: true });
      if (await further.count() === 0) {
        await touch(decision.getByRole("button", { name: "Put on record", exact: true }));
        break;
      }
      await touch(further);
    }
    await page.getByText("no event is open").waitFor();
    const left = await list();
    assert.deepEqual([left.open, left.open_findings], [0, 0], "nothing is open");
    const { entries } = await server.get(`/records/${record}/entries`);
    assert.equal(entries.length, open_findings, "one entry a finding");
    assert.equal(new Set(entries.map((one) => `${one.disposition.of.rule}.${one.disposition.of.epoch}.${one.disposition.of.tick_ns}`)).size, open_findings, "and one finding an entry");
    assert.ok(entries.every((one) => one.by === "Inspector 1" && one.at));
  }
  await drawn(page);
  const work = await worked() - before;
  t.diagnostic(`${events} events with ${findings} findings: ${touches} touches (${batches} batches), ${work.toFixed(1)} s of the page's own work; highest page ${highest.toFixed(1)} screens, ${most} elements, largest answer ${bytes} bytes`);
  assert.ok(touches < 2 * events, `${touches} touches`);
  assert.ok(bytes > 0 && bytes < mostBytes, `${bytes} bytes in one answer`);
  device.clean();
});

test("what is chosen stands in the address, so that going back shows the same list", lenient, async (t) => {
  const folder = await emptyFolder(t);
  await crowded(folder, "crowded", 3);
  const server = await serve(t, folder, { demo: false });
  const device = await visit(t, await browse(t), server, { address: "record/crowded/inspect" });
  const { page } = device;
  const rows = () => page.locator(".event-row").evaluateAll((all) => all.map((one) => one.dataset.event).join());
  const { choices, all } = (await server.get("/records/crowded/events")).list;
  await page.getByLabel("Together by").selectOption("pass");
  await page.getByRole("heading", { name: "Pass 1", exact: true }).waitFor();
  const pass = choices.pass.find((one) => one.count > 1);
  await page.getByLabel("Pass").selectOption(pass.value);
  await until(async () => (await page.locator(".event-row").count()) === Math.min(25, pass.count), "the events of one pass");
  const chosen = await rows();
  assert.match(page.url(), new RegExp(`pass=${pass.value}`));
  await page.locator(".event-open").first().tap();
  await page.locator(".event-head").waitFor();
  await page.keyboard.press("n");
  await until(async () => (await page.locator("h1").innerText()) !== `Event ${chosen.split(",")[0]}`, "n goes to the next open event");
  await page.goBack();
  await page.goBack();
  await until(async () => await rows() === chosen, "the same list");
  assert.equal(await page.getByLabel("Together by").inputValue(), "pass");
  await page.goBack();
  await until(async () => await page.locator(".event-row").count() === Math.min(25, all), "all of them");
  await page.getByRole("button", { name: "Next page" }).tap();
  await page.getByText(new RegExp(`^Events 26 to`)).waitFor();
  assert.match(page.url(), /from=25/);
  await page.reload();
  await page.getByText(new RegExp(`^Events 26 to`)).waitFor();
  device.clean();
});
