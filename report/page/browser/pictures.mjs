// Pictures of every page, in both themes and three sizes: npm run pictures -- FOLDER [PART OF A NAME]
// With a part of a name only those pictures are taken; UNITS=us takes them in US units.
import { cp, mkdir, writeFile } from "node:fs/promises";
import path from "node:path";
import { crowded } from "./crowded.mjs";
import { bead, feed, states } from "./livestates.mjs";
import { browse, cable, drawn, emptyFolder, pause, png, serve, settled, sizes, visit } from "./rig.mjs";

const into = path.resolve(process.argv[2] ?? "pictures");
const part = process.argv[3] ?? "";
const units = process.env.UNITS ?? "metric";
const ends = [];
const t = { after: (end) => ends.unshift(end) };
const devices = ["tablet", "upright", "phone"].flatMap((size) => ["shade", "sun"].map((theme) => ({ size, theme, units })));

const press = (name) => (page) => page.getByRole("button", { name }).first().click();
const nearer = (times) => async (page) => {
  for (let k = 0; k < times; k++) {
    await page.getByRole("button", { name: "Show less, larger" }).click();
    await settled(page);
  }
};
const check = (name, then) => async (page) => {
  await press(new RegExp(`^(Do this check|Check again).*${name}`))(page);
  await then?.(page);
};
const keep = (page) => page.getByRole("button", { name: "Carry out and keep" }).click();
const doubt = (page) => page.locator(".wrong:visible, .box-trouble:visible").first().waitFor();

// Of the folder with a record; screen is for what is looked at as it first stands there.
const pages = {
  folder: { address: "" },
  nowhere: { address: "nowhere" },
  "job-new": { address: "job" },
  "job-new-saved": { address: "job", act: async (page) => {
    await page.getByRole("button", { name: /^Save/ }).click();
    await doubt(page);
  } },
  job: { address: "job/demo" },
  "job-doubt": { address: "job/demo", act: async (page) => {
    await page.locator('[data-key="bore.worn_diameter"] input').fill("9000");
    await page.getByRole("button", { name: /^Save/ }).click();
    await doubt(page);
  } },
  broken: { address: "job/torn" },
  "job-gone": { address: "job/never" },
  "procedure-new": { address: "procedure" },
  procedure: { address: "procedure/gmaw-short-arc" },
  plan: { address: "plan/demo" },
  "plan-broken": { address: "plan/torn" },
  checks: { address: "checks/demo" },
  "check-zero": { address: "checks/demo", act: check("zero") },
  "check-meter": { address: "checks/demo", act: check("meter") },
  "check-meter-empty": { address: "checks/demo", act: check("meter", async (page) => {
    await keep(page);
    await doubt(page);
  }) },
  "check-wire": { address: "checks/demo", act: check("wire") },
  "check-turn": { address: "checks/demo", act: check("rotation") },
  start: { address: "checks/demo", act: press("Start recording"), screen: true },
  review: { address: "record/demo", act: (page) => page.locator(".map-area").press("ArrowRight") },
  "review-screen": { address: "record/demo", screen: true },
  "build-up": { address: "record/demo", act: press("Build-up"), screen: true },
  "arc-on": { address: "record/demo", act: press("Arc on"), screen: true },
  "layer-1": { address: "record/demo", act: press("Layer 1"), screen: true },
  pass: { address: "record/demo/pass/1" },
  shorts: { address: "record/demo/pass/1?at=60000000000", act: nearer(9) },
  overlay: { address: "record/demo/overlay?pass=1&with=2" },
  "overlay-none": { address: "record/demo/overlay" },
  inspect: { address: "record/demo/inspect" },
  "inspect-bore": { address: "record/demo/inspect", act: press("Put the measured bore on record") },
  "event-decided": { address: "record/demo/event/1" },
  event: { address: "record/demo/event/2" },
  "event-gone": { address: "record/demo/event/99" },
  paper: { address: "record/demo/paper" },
  "paper-checked": { address: "record/demo/paper", act: async (page) => {
    await press("Check the record")(page);
    await page.locator(".fingerprint").first().waitFor();
  } },
  "all-jobs": { address: "jobs", act: (page) => page.locator(".fleet-chart").first().press("ArrowLeft") },
  "all-jobs-proved": { address: "jobs/proved" },
  "all-jobs-open": { address: "jobs/open" },
  "all-jobs-calibrations": { address: "jobs/calibrations?days=365" },
  "all-jobs-since": { address: "jobs/since" },
  "record-noise": { address: "record/noise" },
  "record-gone": { address: "record/never" },
  "crowded-review": { address: "record/crowded" },
  "crowded-inspect": { address: "record/crowded/inspect" },
  "crowded-pass": { address: "record/crowded/pass/1" },
  "live-none": { address: "live" },
};

const wanted = (name) => name.includes(part);

async function take(device, name, screen) {
  const { page, size, theme } = device;
  await page.evaluate(() => document.querySelectorAll("img").forEach((one) => one.setAttribute("loading", "eager")));
  await settled(page);
  const { width, height } = sizes[size].viewport;
  if (!screen) { // a screen as high as the page, so that what sticks to an edge stands there
    await page.setViewportSize({ width, height: Math.max(height, await page.evaluate(() => document.scrollingElement.scrollHeight)) });
    await drawn(page);
  }
  await page.screenshot({ path: path.join(into, `${name.replaceAll(/[ ,]+/g, "-")}-${size}-${theme}.png`) });
  await page.setViewportSize({ width, height });
}

// prepare lays the demo's job, checks it, has somebody decide about a finding, and puts broken files beside it.
async function prepare(folder) {
  const server = await serve(t, folder, { speed: 300, layers: 2 });
  await writeFile(path.join(folder, "torn.yaml"), "job: Demo dipper, torn file\nprocedure: procedures/gmaw-short-arc.yaml\nbore: {worn_diameter: 92.0, length: 60 mm}\n");
  await writeFile(path.join(folder, "noise.arctally"), "no record at all");
  const put = (kind, values) => server.post("/checks/demo", { job: "demo", kind, values: { by: "Operator 1", instrument: "meter 3", due: "2027-05-04", ...values } });
  await put("meter", { channel: "voltage", reading: "10.1 V,20.2 V,30.2 V,40.3 V", reference: "10.0 V,20.0 V,30.0 V,40.0 V", "reference-uncertainty": "0.02 V" });
  await put("meter", { channel: "current", reading: "50.4 A,100.5 A,150.9 A,201.0 A", reference: "50.0 A,100.0 A,150.0 A,200.0 A", "reference-uncertainty": "0.3 A" });
  await server.post("/recording", { job: "demo", record: "demo" });
  await server.ended();
  await server.get("/records/demo");
  const photograph = await (await fetch(`${server.url}/api/records/demo/photographs`, { method: "POST", headers: { "Content-Type": "image/png" }, body: png(320, 240) })).json();
  await server.post("/records/demo/entries", { by: "Inspector 1", seen: 0, finding: 1, method: "liquid penetrant", result: "no indication", decision: "accept",
    remark: "ground to bright metal", photographs: [{ sha256: photograph.sha256, caption: "the restart, ground" }] });
  await server.stop();
  const other = await emptyFolder(t);
  await crowded(other, "crowded", 3);
  await cp(path.join(other, "crowded.arctally"), path.join(folder, "crowded.arctally"));
}

// each takes the pictures of one device after the other, with a page of its own.
async function each(browser, server, address, work) {
  for (const one of devices) {
    const device = Object.assign(await visit(t, browser, server, { ...one, address }), one);
    await work(device);
    await device.context.close();
  }
}

async function closeDialog(page) {
  if (await page.getByRole("dialog").isVisible()) {
    await page.keyboard.press("Escape");
  }
}

async function still(browser, server) {
  const chosen = Object.entries(pages).filter(([name]) => wanted(name));
  await each(browser, server, "", async (device) => {
    for (const [name, { address, act, screen }] of chosen) {
      await device.go(address);
      await act?.(device.page);
      await take(device, name, screen);
      await closeDialog(device.page);
    }
  });
}

// fed are the states of the arc page, told by nobody but the page's own rig.
async function fed(browser, server) {
  const chosen = Object.entries(states()).filter(([name]) => wanted(`live-${name}`));
  if (chosen.length === 0) {
    return;
  }
  await each(browser, server, "", async (device) => {
    const { page } = device;
    const arc = await feed(device, chosen[0][1], bead(2.4));
    for (const [name, live] of chosen) {
      await arc.tell(live);
      await pause(400); // two drawings of the page
      await take(device, `live-${name}`, true);
    }
    await take(device, `live-${chosen.at(-1)[0]}-whole`, false);
  });
}

// real is a recording that runs, its dialogs, and how it ends.
async function real(browser, server) {
  const names = ["live", "live-whole", "note", "angle", "folder-recording", "checks-recording", "live-over"].filter(wanted);
  if (names.length === 0) {
    return;
  }
  await server.post("/recording", { job: "demo", record: "demo-2" });
  await each(browser, server, "live", async (device) => {
    const { page } = device;
    await page.locator(".alarm-list .alarm:not([hidden])").first().waitFor();
    await take(device, "live", true);
    await take(device, "live-whole", false);
    for (const [name, words] of [["note", "Note"], ["angle", "Torch angle"]]) {
      await page.getByRole("button", { name: words, exact: true }).click();
      await take(device, name, true);
      await page.keyboard.press("Escape");
    }
    for (const [name, address] of [["folder-recording", ""], ["checks-recording", "checks/demo"]]) {
      await device.go(address);
      await take(device, name, false);
    }
  });
  await server.remove("/recording");
  await each(browser, server, "live", (device) => take(device, "live-over", true));
}

// alone are a folder with nothing in it, and a program that is away.
async function alone(browser) {
  if (!wanted("empty")) {
    return;
  }
  const server = await serve(t, await emptyFolder(t), { demo: false });
  const line = await cable(t, server);
  await each(browser, { ...server, url: line.url }, "", async (device) => {
    await take(device, "empty-folder", false);
    await device.go("live");
    await take(device, "empty-live", true);
    line.cut();
    await device.page.getByText(/no news since/).first().waitFor();
    await device.page.getByRole("link", { name: /^Home/ }).click();
    await device.page.locator(".box-trouble").first().waitFor();
    await take(device, "empty-away", true);
    line.mend();
  });
}

try {
  await mkdir(into, { recursive: true });
  const folder = process.env.PREPARED ?? await emptyFolder(t);
  if (!process.env.PREPARED) {
    await prepare(folder);
  }
  if (process.env.KEEP) {
    await cp(folder, process.env.KEEP, { recursive: true });
  }
  const server = await serve(t, folder, { speed: 2, layers: 2 });
  const browser = await browse(t);
  await still(browser, server);
  await fed(browser, server);
  await real(browser, server);
  await alone(browser);
} finally {
  for (const end of ends) {
    await end();
  }
}
