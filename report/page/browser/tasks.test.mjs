// What the tasks of a day take in touches and pages: begin from nothing, begin a job that is there, see why a pass was flagged, hand the record over. A touch is a
// click or a field that is filled in. The bounds are what it took when they were last set, so that it does not get worse in silence.
import assert from "node:assert/strict";
import { stat } from "node:fs/promises";
import path from "node:path";
import { test } from "node:test";
import { arctally, browse, emptyFolder, recordedFolder, serve, settled, until, visit, lenient } from "./rig.mjs";

const most = {
  start: { touches: 43, pages: 9 },
  begin: { touches: 5, pages: 3 },
  why: { touches: 2, pages: 3 },
  hand: { touches: 2, pages: 2 },
};

const procedure = {
  procedure: "DEMO-07 rev 2", process: "MAG", "limits.voltage": "16.5..19.0 V", "limits.current": "110..160 A", "limits.wire_speed": "4.5..6.5 m/min",
  "limits.travel_speed": "280..420 mm/min", "limits.heat_input": "0.25..0.55 kJ/mm", "judge.definition": "EN 1011-1",
};
const job = {
  job: "Demo arm, first bore", procedure: "procedures/first.yaml", "bore.worn_diameter": "92.0 mm", "bore.weld_to_diameter": "86.0 mm", "bore.length": "300 mm",
  "deposit.pattern": "helix", "deposit.pitch": "3.0 mm", "deposit.wire_diameter": "0.9 mm", "rotation.speed": "1.25 rpm",
  "setpoints.voltage": "17.5 V", "setpoints.current": "140 A", "setpoints.wire_speed": "5.5 m/min", "material.grade": "S355", "material.thickness": "30 mm",
};

// counted is a person before a page: what is pressed and filled in through it counts.
function counted(device) {
  const { page } = device;
  const begun = Date.now();
  let touches = 0;
  let at = null;
  let pages = 0;
  const arrive = () => {
    const address = new URL(page.url()).hash.split("?")[0];
    pages += address === at ? 0 : 1;
    at = address;
  };
  arrive();
  const fill = async (input, text, how) => {
    if ((await input.inputValue()) !== text) {
      await input[how](text);
      touches++;
    }
  };
  return {
    press: async (what) => {
      await what.click();
      touches++;
      await settled(page);
      arrive();
    },
    type: (input, text) => fill(input, text, "fill"),
    choose: (select, value) => fill(select, value, "selectOption"),
    arrive,
    took: () => ({ touches, pages, seconds: Math.round((Date.now() - begun) / 1000) }),
  };
}

// field fills in one value of a form, as it stands in a file; a group that is folded is opened first, which is a touch too.
async function field(page, person, key, text) {
  const box = page.locator(`[data-key="${key}"]`).first();
  for (const fold of await box.locator("xpath=ancestor::details[not(@open)]").all()) {
    await person.press(fold.locator("summary").first());
  }
  const inputs = box.locator("input:not([type=checkbox]):not([type=radio])");
  const select = box.locator("select");
  const parts = /^(\S+?)(?:\.\.(\S+))? (\S+)$/.exec(text);
  if ((await inputs.count()) === 0) {
    await person.choose(select, text);
  } else if (parts && (await select.count()) === 1) {
    await person.type(inputs.first(), parts[1]);
    if (parts[2]) {
      await person.type(inputs.nth(1), parts[2]);
    }
    await person.choose(select, parts[3]);
  } else {
    await person.type(inputs.first(), text);
  }
}

async function form(page, person, kind, file, values) {
  await person.press(page.getByRole("link", { name: new RegExp(`^New ${kind}`) }).first());
  await person.type(page.getByLabel("Name of the file"), file);
  for (const [key, text] of Object.entries(values)) {
    await field(page, person, key, text);
  }
  await person.press(page.getByRole("button", { name: "Save", exact: true }).first());
  await page.waitForURL(new RegExp(`#/${kind}/${file}$`));
  await settled(page);
  person.arrive();
}

// begin starts the recording of a job, by the shortest way that the pages offer from where the person is.
async function begin(page, person, server, job) {
  const start = page.getByRole("button", { name: "Start recording" }).first();
  for (let k = 0; k < 4 && !(await start.isVisible()); k++) { // to the checks, else by the plan, else by the folder
    const ways = [`#/checks/${job}`, `#/plan/${job}`, "#/"].map((address) => page.locator(`a[href="${address}"]:visible`).first());
    const way = await ways.reduce(async (found, one) => await found ?? (await one.count() > 0 ? one : null), null);
    const address = await way.getAttribute("href");
    await person.press(way);
    const further = page.locator(address.startsWith("#/plan/") ? `a[href="#/checks/${job}"]:visible` : `a[href="#/plan/${job}"]:visible`);
    await (address.startsWith("#/checks/") ? start : further.first()).waitFor(); // what a person sees before the next touch
  }
  await person.press(start);
  const dialog = page.getByRole("dialog");
  await dialog.waitFor();
  const who = dialog.getByLabel("Who begins");
  if ((await who.inputValue()) === "") {
    await person.type(who, "Operator 1");
  }
  await person.press(dialog.getByRole("checkbox"));
  await person.press(dialog.getByRole("button", { name: "Start recording" }));
  await page.waitForURL(/#\/live$/);
  person.arrive();
  await until(async () => (await server.get("/recording"))?.phase === "recording", "it is recorded");
}

// holds prints what a task took, and fails where it takes more than it did.
function holds(t, task, took) {
  t.diagnostic(`${task.padEnd(6)} ${String(took.touches).padStart(3)} touches (at most ${most[task].touches}), ${took.pages} pages (at most ${most[task].pages}), ${took.seconds} s of this machine`);
  assert.ok(took.touches <= most[task].touches, `${task}: ${took.touches} touches, where ${most[task].touches} were enough`);
  assert.ok(took.pages <= most[task].pages, `${task}: ${took.pages} pages, where ${most[task].pages} were enough`);
}

test("from nothing to a recording that runs", lenient, async (t) => {
  const server = await serve(t, await emptyFolder(t), { speed: 2 });
  const device = await visit(t, await browse(t), server);
  const { page } = device;
  device.allow(/status of 422/); // the plan of a form that is half filled in
  const person = counted(device);
  await form(page, person, "procedure", "first", procedure);
  await person.press(page.locator('a[href="#/"]').first());
  await form(page, person, "job", "first", job);
  await begin(page, person, server, "first");
  holds(t, "start", person.took());
  device.clean();
});

test("a job that is there is begun", lenient, async (t) => {
  const server = await serve(t, await emptyFolder(t), { speed: 2 });
  const device = await visit(t, await browse(t), server);
  const person = counted(device);
  await begin(device.page, person, server, "demo");
  holds(t, "begin", person.took());
  device.clean();
});

test("why pass 2 was flagged", lenient, async (t) => {
  const folder = await recordedFolder(t);
  const { findings } = JSON.parse(await arctally("findings", path.join(folder, "short.arctally"), "--json"));
  const of = findings.filter((finding) => finding.pass === 2);
  assert.ok(of.length > 0, "pass 2 was flagged");
  const server = await serve(t, folder);
  const device = await visit(t, await browse(t), server);
  const { page } = device;
  const person = counted(device);
  // What answers is a finding of pass 2 in words, on the screen, and its waveform.
  const [rule] = of[0].sentence.split(/ \d/);
  await person.press(page.locator('a[href="#/record/short"]').first());
  const words = page.locator("main").getByText(new RegExp(rule.slice(0, 24), "i")).first();
  await words.waitFor();
  const wave = page.locator('a[href*="#/record/short/pass/2?"]').first();
  await person.press((await wave.count()) > 0 ? wave : page.locator('a[href*="#/record/short/pass/2"]').first());
  await page.locator(".wave canvas").first().waitFor();
  holds(t, "why", person.took());
  device.clean();
});

test("the record is handed over", lenient, async (t) => {
  const folder = await recordedFolder(t);
  const server = await serve(t, folder);
  const device = await visit(t, await browse(t), server);
  const { page } = device;
  const person = counted(device);
  const paper = page.locator('a[href*="/api/records/short/file/pdf"]').first();
  if (!(await paper.isVisible())) {
    await person.press(page.locator('a[href="#/record/short/paper"]').first());
  }
  const [download] = await Promise.all([page.waitForEvent("download"), person.press(paper)]);
  const file = path.join(folder, "in-the-hand.pdf");
  await download.saveAs(file);
  assert.ok((await stat(file)).size > 10_000, "there is something on it");
  holds(t, "hand", person.took());
  device.clean();
});
