// What goes wrong at a machine: two tablets on one job, broken files, a network that is away. Nothing typed is lost, and every word says what to do.
import assert from "node:assert/strict";
import { copyFile, mkdir, open, readFile, readdir, rm, writeFile } from "node:fs/promises";
import net from "node:net";
import path from "node:path";
import { test } from "node:test";
import { arctally, browse, drawn, emptyFolder, job, longBore, patience, png, program, recordedFolder, serve, startRecording, typeField, until, visit, lenient } from "./rig.mjs";

// decidedCard is the card of finding 1, on which all is decided but who did.
async function decidedCard(page) {
  const card = page.locator('[aria-label="Finding 1"]');
  await card.getByRole("button", { name: "Inspect and decide" }).click();
  for (const words of ["visual", "no indication", "accept"]) {
    await card.getByText(words, { exact: true }).click();
  }
  return card;
}

test("two browsers change one job", lenient, async (t) => {
  const folder = await recordedFolder(t);
  const server = await serve(t, folder);
  const browser = await browse(t);
  const one = await visit(t, browser, server, { address: "job/short" });
  const two = await visit(t, browser, server, { address: "job/short" });
  const file = () => readFile(path.join(folder, "short.yaml"), "utf8");
  two.allow(/status of 412/);
  await typeField(one.page, "setpoints.voltage", "18.0 V");
  await typeField(one.page, "material.grade", "S235");
  await one.page.getByRole("button", { name: "Save", exact: true }).click();
  await one.page.getByText("short.yaml is saved").waitFor();

  await typeField(two.page, "setpoints.voltage", "17.0 V");
  await typeField(two.page, "setpoints.current", "135 A");
  await two.page.getByRole("button", { name: "Save", exact: true }).click();
  const dialog = two.page.getByRole("dialog", { name: "Somebody else saved this file meanwhile" });
  await dialog.waitFor();
  assert.match(await file(), /voltage: 18\.0 V/, "nothing was overwritten");

  // First: not now. Everything typed is still there.
  await dialog.getByRole("button", { name: "Not now, keep typing" }).click();
  assert.equal(await two.page.locator('[data-key="setpoints.voltage"] input').inputValue(), "17.0");
  await two.page.getByRole("button", { name: "Save", exact: true }).click();
  await dialog.waitFor();
  const voltage = dialog.getByRole("group", { name: "Voltage" });
  assert.match(await voltage.innerText(), /it was 17\.5 V[\s\S]*theirs\s+18\.0 V[\s\S]*yours\s+17\.0 V/);
  const save = dialog.getByRole("button", { name: "Save with these" });
  assert.equal(await save.isDisabled(), true, "a choice is asked for, not made");
  await voltage.getByText("18.0 V").click(); // theirs can be chosen
  await voltage.getByText("17.0 V").click(); // and mine
  await save.click();
  await two.page.getByText("short.yaml is saved").waitFor();
  const text = await file();
  assert.match(text, /voltage: 17\.0 V/);
  assert.match(text, /current: 135 A/, "what only I touched is kept");
  assert.match(text, /grade: S235/, "what only they touched is kept");
  one.clean();
  two.clean();
});

test("a second start is told so", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t), { speed: 3 });
  const long = await job(server, "long", longBore);
  const device = await visit(t, await browse(t), server, { address: "checks/demo" });
  device.allow(/status of 409/);
  const { page } = device;
  // The other tablet starts while the dialog of this one is open.
  await page.getByRole("button", { name: "Start recording" }).click();
  await page.getByRole("dialog").getByRole("checkbox").check();
  await server.post("/recording", { job: long });
  await page.getByRole("dialog").getByRole("button", { name: "Start recording" }).click();
  await page.getByText(/long.*recorded|recording.*long/).first().waitFor();
  assert.equal((await server.get("/house")).recording, "long");
  await device.go("checks/demo");
  await page.getByText("long is being recorded; one recording runs at a time.").waitFor();
  assert.equal(await page.getByRole("button", { name: "Start recording" }).count(), 0);
  await page.getByRole("link", { name: "To the arc" }).waitFor();
  device.clean();
});

test("a broken job is listed with its line, and shown for mending", lenient, async (t) => {
  const folder = await recordedFolder(t);
  const good = await readFile(path.join(folder, "demo.yaml"), "utf8");
  await writeFile(path.join(folder, "broken.yaml"), good.replace("length: 60 mm", "length: 60"));
  await writeFile(path.join(folder, "torn.yaml"), "job: Torn\nbore: {worn_diameter: 92.0 mm,\n");
  const server = await serve(t, folder);
  const device = await visit(t, await browse(t), server);
  device.allow(/status of 422.*\/api\/plan/); // there is no plan of a broken job
  const { page } = device;
  const row = page.locator(".strip", { hasText: "broken.yaml" });
  assert.match(await row.innerText(), /cannot be read[\s\S]*3:\d+|line 3/);
  assert.equal(await row.locator(".below .muted").innerText(), "mend the file at the line and column shown", "it says what to do, and names no command");
  assert.match(await page.locator(".strip", { hasText: "torn.yaml" }).innerText(), /cannot be read/);
  await row.getByRole("link", { name: "Mend broken" }).click();
  const marked = page.locator(".file-text .marked");
  await marked.waitFor();
  assert.match(await marked.innerText(), /length: 60\b/);
  await typeField(page, "bore.length", "60 mm");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("broken.yaml is saved").waitFor();
  await device.go("");
  assert.doesNotMatch(await page.locator(".strip", { hasText: "broken.yaml" }).innerText(), /cannot be read/);
  device.clean();
});

test("a record of a later program, and one that is gone", lenient, async (t) => {
  const folder = await recordedFolder(t);
  const later = path.join(folder, "later.arctally");
  await copyFile(path.join(folder, "short.arctally"), later);
  const file = await open(later, "r+");
  await file.write(Buffer.from([0, 0, 0x03, 0xe7]), 0, 4, 60); // user_version of SQLite's header: 999
  await file.close();
  await writeFile(path.join(folder, "noise.arctally"), "no record at all");
  const server = await serve(t, folder);
  const device = await visit(t, await browse(t), server);
  device.allow(/status of 409/, /status of 404/);
  const { page } = device;
  const row = page.locator(".strip", { hasText: "later" });
  assert.match(await row.innerText(), /cannot be read[\s\S]*999[\s\S]*use the arctally that wrote it/);
  assert.match(await page.locator(".strip", { hasText: "noise" }).innerText(), /cannot be read/);
  await device.go("record/later");
  assert.match(await page.getByRole("alert").first().innerText(), /999[\s\S]*use the arctally that wrote it/);

  await device.go("record/short/event/1");
  const card = await decidedCard(page);
  await card.getByLabel("Name").fill("Inspector 1");
  await card.getByLabel("Remark").fill("looked at it twice");
  await rm(path.join(folder, "short.arctally"));
  await card.getByRole("button", { name: "Put on record" }).click();
  const alert = card.locator("[role=alert]", { hasText: /short/ });
  await alert.waitFor();
  assert.match(await alert.innerText(), /not there|does not exist|no such|gone|missing/i);
  assert.equal(await card.getByLabel("Remark").inputValue(), "looked at it twice");
  await device.go("record/short");
  await page.getByRole("alert").first().waitFor();
  await page.getByRole("main").getByRole("link", { name: "Home", exact: true }).waitFor();
  device.clean();
});

test("a photograph of 100 MB is refused, and the remark stays", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const device = await visit(t, await browse(t), server, { address: "record/short/event/1" });
  device.allow(/status of 413/);
  const { page } = device;
  const card = await decidedCard(page);
  await card.getByLabel("Remark").fill("photographed from the torch side");
  await card.getByLabel("Name").fill("Inspector 1");
  const folder = path.join(server.folder, "pictures");
  await mkdir(folder);
  const large = path.join(folder, "large.png");
  await writeFile(large, Buffer.concat([png(8, 8), Buffer.alloc(100e6)]));
  await card.locator('input[type="file"]').last().setInputFiles(large);
  await card.getByText(/Too large: a record takes 16\.0 MiB at most/).waitFor();
  let sent = 0;
  page.on("request", (request) => sent += /photographs$/.test(request.url()) ? 1 : 0);
  await card.getByRole("button", { name: "Put on record" }).click();
  await card.getByRole("alert").getByText(/A photograph has 95\.4 MiB/).waitFor();
  assert.equal(sent, 0, "it was not sent");
  assert.equal(await card.getByLabel("Remark").inputValue(), "photographed from the torch side");
  await card.getByRole("button", { name: "Take it out" }).click();
  await card.getByRole("button", { name: "Put on record" }).click();
  await card.getByText(/Entry 1 by Inspector 1/).waitFor();
  // Whoever sends it all the same is told by its length alone, before it is read.
  const answer = await tooLarge(server, 100e6);
  assert.match(answer, /^HTTP\/1\.1 413 /);
  assert.match(answer, /"error":".*16 MiB.*"/);
  device.clean();
});

// tooLarge says that so much is coming, sends nothing of it, and gives the answer.
function tooLarge(server, length) {
  return new Promise((resolve, reject) => {
    const socket = net.connect(server.port, "127.0.0.1", () => socket.write(
      `POST /api/records/short/photographs HTTP/1.1\r\nHost: 127.0.0.1:${server.port}\r\nContent-Type: image/png\r\nContent-Length: ${length}\r\n\r\n`));
    let answer = "";
    socket.setEncoding("utf8").on("data", (text) => {
      answer += text;
      if (/\r\n\r\n[\s\S]*\}/.test(answer)) {
        socket.destroy();
        resolve(answer);
      }
    });
    socket.setTimeout(patience, () => reject(new Error("no answer")));
    socket.on("error", reject);
    socket.on("close", () => resolve(answer));
  });
}

test("what is typed while the network is away is kept", lenient, async (t) => {
  const folder = await recordedFolder(t);
  const server = await serve(t, folder);
  const device = await visit(t, await browse(t), server, { address: "job/short" });
  device.allow(/ERR_INTERNET_DISCONNECTED/);
  const { page, context } = device;
  await typeField(page, "material.grade", "S420");
  await context.setOffline(true);
  await until(async () => /no news since/.test(await page.locator(".link-state").innerText()), "the page knows that it is offline");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.locator(".summary").getByText("The program does not answer.").waitFor();
  assert.match(await page.locator(".summary [role=alert]").innerText(), /Nothing that you typed is lost/);
  assert.equal(await page.locator('[data-key="material.grade"] input').inputValue(), "S420");
  await context.setOffline(false);
  // Even over a reload: the tablet kept it.
  await page.reload();
  await page.getByRole("button", { name: "Take them up" }).click();
  assert.equal(await page.locator('[data-key="material.grade"] input').inputValue(), "S420");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("short.yaml is saved").waitFor();
  assert.match(await readFile(path.join(folder, "short.yaml"), "utf8"), /grade: S420/);
  device.clean();
});

test("two people decide about one finding", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const device = await visit(t, await browse(t), server, { address: "record/short/event/1" });
  device.allow(/status of 409/);
  const { page } = device;
  const card = await decidedCard(page);
  await card.getByLabel("Name").fill("Inspector 1");
  await card.getByLabel("Remark").fill("mine");
  await server.post("/records/short/entries", { by: "Inspector 2", seen: 0, finding: 1, method: "magnetic particle", result: "indication not acceptable", decision: "repair", remark: "theirs" });
  await card.getByRole("button", { name: "Put on record" }).click();
  await card.getByText(/Somebody else decided about this finding meanwhile/).waitFor();
  await card.getByText(/Entry 1 by Inspector 2 \(name typed\): magnetic particle, indication not acceptable, repair/).waitFor();
  assert.equal(await card.getByLabel("Remark").inputValue(), "mine");
  assert.equal((await server.get("/records/short/entries")).entries.length, 1, "nothing was written");
  await card.getByRole("button", { name: "Put mine on record as well" }).click();
  await until(async () => (await server.get("/records/short/entries")).entries.length === 2, "both are on record");
  device.clean();
});

test("an event is decided on as one: an entry about each of its findings", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const device = await visit(t, await browse(t), server, { address: "record/short/inspect" });
  const { page } = device;
  await until(async () => (await server.get("/records/short")).review, "it is judged");
  const { findings, causes } = await server.get("/records/short/file/json");
  const event = causes.find((one) => one.findings.length > 1);
  assert.ok(event, "the wire that slipped");
  await page.locator(`[data-event="${event.number}"] a`).click();
  const form = page.getByRole("form", { name: `Event ${event.number}: what was found and decided` });
  await page.getByRole("heading", { name: `Decide on all ${event.findings.length} findings of event ${event.number}` }).waitFor();
  for (const words of ["visual", "no indication", "accept"]) {
    await form.getByText(words, { exact: true }).click();
  }
  await form.getByLabel("Name").fill("Inspector 1");
  await form.getByRole("button", { name: "Put on record", exact: true }).click();
  await until(async () => (await server.get("/records/short/entries")).entries.length === event.findings.length, "all are on record");
  const { entries } = await server.get("/records/short/entries");
  assert.deepEqual(entries.map((one) => one.disposition.number ?? one.disposition.of.number).sort((a, b) => a - b), event.findings);
  const after = await server.get("/records/short/file/json");
  assert.equal(after.causes.find((one) => one.number === event.number).state, "accepted");
  assert.equal(after.findings.filter((one) => one.state === "open").length, findings.length - event.findings.length);
  device.clean();
});

// held keeps the answers to what is asked of an address back until they are let go.
async function held(page, address) {
  const waiting = [];
  await page.route(address, (route) => new Promise((resolve) => { waiting.push(() => resolve(route.continue().catch(() => undefined))); }));
  return { waiting, release: () => waiting.splice(0).forEach((go) => go()) };
}

test("a page that is left while it asks what others decided, or in other units, makes no mistake", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const device = await visit(t, await browse(t), server, { address: "record/short/event/1" });
  device.allow(/status of 409/);
  const { page } = device;
  const card = await decidedCard(page);
  await card.getByLabel("Name").fill("Inspector 1");
  await server.post("/records/short/entries", { by: "Inspector 2", seen: 0, finding: 1, method: "visual", result: "no indication", decision: "accept", remark: "theirs" });
  const theirs = await held(page, "**/events/1?*");
  await card.getByRole("button", { name: "Put on record" }).click();
  await until(async () => theirs.waiting.length > 0, "what others decided is asked for");
  await device.go("record/short");
  const events = await held(page, "**/events?*");
  await page.getByRole("button", { name: /Switch to US, inch/ }).click();
  await until(async () => events.waiting.length > 0, "the events are asked for in inches");
  await device.go("");
  theirs.release();
  events.release();
  await device.go("record/short/paper");
  device.clean();
});

test("a page that learns that the record is whole leaves the focus where it is", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  const device = await visit(t, await browse(t), server);
  const { page } = device;
  const focused = () => page.evaluate(() => `${document.activeElement.tagName} ${document.activeElement.className}`);
  for (const [address, on] of [["record/short", ".map-area"], ["record/short/inspect", ".event-list a"], ["record/short/inspect", ".truths summary"]]) {
    await page.route("**/records/short/events*", async (route) => {
      const response = await route.fetch();
      const answer = await response.json();
      Object.assign(answer.list.banner.find((one) => one.kind === "record"), { sign: "unjudged", short: "not read yet", words: "not read yet" });
      await route.fulfill({ response, json: answer });
    });
    const read = await held(page, "**/integrity");
    await device.go(address);
    await until(async () => read.waiting.length > 0, "the record is to be read through");
    await page.unroute("**/records/short/events*");
    await page.locator(on).first().focus();
    const before = await focused();
    assert.match(await page.locator(".verdict").innerText(), /not read yet/);
    read.release();
    await page.locator(".verdict", { hasNotText: "not read yet" }).waitFor();
    await drawn(page);
    assert.equal(await focused(), before, `${on} of ${address}`);
    await page.unroute("**/integrity");
  }
  device.clean();
});

test("an answer that comes late does not stand in place of a newer one", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t));
  await server.get("/records/short/integrity"); // else the page asks once more by itself as soon as the record is verified
  await until(async () => (await server.get("/records/short/events")).list.banner.some((one) => one.kind === "record" && one.sign !== "unjudged"), "it is verified");
  const device = await visit(t, await browse(t), server, { address: "record/short/inspect" });
  const { page } = device;
  const pass = (await server.get("/records/short/events")).list.choices.pass[0].value;
  const late = await held(page, (url) => url.pathname.endsWith("/events") && url.searchParams.get("pass") === pass && url.searchParams.get("group") === null);
  await page.getByLabel("Pass", { exact: true }).selectOption(pass);
  await until(async () => late.waiting.length > 0, "the first is asked for");
  await page.getByLabel("Together by").selectOption("cause");
  await page.locator(".event-list h2").first().waitFor();
  const shown = await page.locator(".event-list").innerText();
  late.release();
  await drawn(page);
  await page.waitForTimeout(500);
  assert.equal(await page.locator(".event-list").innerText(), shown, "the list by causes stays");
  assert.equal(await page.getByLabel("Together by").inputValue(), "cause");
  device.clean();
});

test("a record that was removed here is neither broken nor forgotten", lenient, async (t) => {
  const folder = await emptyFolder(t), store = await emptyFolder(t);
  const file = path.join(folder, "boom.arctally");
  await copyFile(path.join(path.dirname(program), "../testdata/record/version-4-capture.arctally"), file);
  await arctally("hand-over", file, "-o", store);
  await arctally("hand-over", "--remove", file, "-o", store);
  const [bundle] = await readdir(store);
  const device = await visit(t, await browse(t), await serve(t, folder, { demo: false }));
  const { page } = device;
  const words = await page.getByRole("region", { name: "Removed here" }).innerText();
  assert.match(words, new RegExp(`removed here\\s+boom[\\s\\S]*the store has it as bundle ${bundle.slice(0, 12)}`));
  assert.equal(await page.locator(".sign-broken").count(), 0);
  device.allow(/status of 404/);
  await device.go("record/boom");
  await page.getByText(`the store has it as bundle ${bundle}`).first().waitFor();
  await page.getByText("arctally take").first().waitFor();
  device.clean();
});

test("a page that starts a recording and is closed", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t), { speed: 30 });
  const device = await visit(t, await browse(t), server, { address: "checks/short" });
  await startRecording(device.page);
  device.clean();
  await device.context.close();
  const live = await server.ended();
  assert.equal(live.phase, "ended");
  assert.ok(live.counts.passes >= 1, "it was recorded to its end");
});
