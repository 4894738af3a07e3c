// Pictures of every page, in both themes, on tablet and phone: npm run pictures -- FOLDER
import { mkdir, writeFile } from "node:fs/promises";
import path from "node:path";
import { browse, emptyFolder, pause, png, serve, sizes, visit } from "./rig.mjs";

const into = path.resolve(process.argv[2] ?? "pictures");
const ends = [];
const t = { after: (end) => ends.unshift(end) };
const devices = ["tablet", "phone"].flatMap((size) => ["shade", "sun"].map((theme) => ({ size, theme })));

const pages = {
  folder: { address: "" },
  job: { address: "job/demo" },
  broken: { address: "job/torn" },
  procedure: { address: "procedure/gmaw-short-arc" },
  plan: { address: "plan/demo" },
  checks: { address: "checks/demo" },
  "check-meter": { address: "checks/demo", act: (page) => page.getByRole("button", { name: /^(Do this check|Check again).*meter/ }).click() },
  start: { address: "checks/demo", act: (page) => page.getByRole("button", { name: "Start recording" }).click(), screen: true },
  review: { address: "record/demo", act: (page) => page.locator(".map-area").press("ArrowRight") },
  "review-screen": { address: "record/demo", screen: true },
  "build-up": { address: "record/demo", act: (page) => page.getByRole("button", { name: "Build-up" }).click(), screen: true },
  pass: { address: "record/demo", act: (page) => page.locator(".finding-line").first().getByRole("link", { name: "Waveform" }).click() },
  shorts: { address: "record/demo/pass/1?at=60000000000", act: async (page) => {
    for (let k = 0; k < 7; k++) {
      await page.getByRole("button", { name: "Show less, larger" }).click();
      await pause(200);
    }
  } },
  overlay: { address: "record/demo/overlay?pass=1&with=2" },
  inspect: { address: "record/demo/inspect" },
  event: { address: "record/demo/event/1", act: (page) => page.getByRole("button", { name: /^Inspect and decide/ }).first().click() },
  paper: { address: "record/demo/paper", act: (page) => page.getByRole("button", { name: "Check the record" }).click() },
};

async function take(device, name, screen) {
  await device.page.evaluate(() => document.querySelectorAll("img").forEach((one) => one.setAttribute("loading", "eager")));
  await pause(900); // charts are drawn
  const { width, height } = sizes[device.size].viewport;
  if (!screen) { // a screen as high as the page, so that what sticks to an edge stands there
    await device.page.setViewportSize({ width, height: Math.max(height, await device.page.evaluate(() => document.scrollingElement.scrollHeight)) });
    await pause(300);
  }
  await device.page.screenshot({ path: path.join(into, `${name}-${device.size}-${device.theme}.png`) });
  await device.page.setViewportSize({ width, height });
}

// prepare lays the demo's job, checks it, and has somebody decide about a finding.
async function prepare(folder) {
  const server = await serve(t, folder, { speed: 300, layers: 2 });
  await writeFile(path.join(folder, "torn.yaml"), "job: Demo dipper, torn file\nprocedure: procedures/gmaw-short-arc.yaml\nbore: {worn_diameter: 92.0, length: 60 mm}\n");
  const check = (kind, values) => server.post("/checks/demo", { job: "demo", kind, values: { by: "Operator 1", instrument: "meter 3", due: "2027-05-04", ...values } });
  await check("meter", { channel: "voltage", reading: "10.1 V,20.2 V,30.2 V,40.3 V", reference: "10.0 V,20.0 V,30.0 V,40.0 V", "reference-uncertainty": "0.02 V" });
  await check("meter", { channel: "current", reading: "50.4 A,100.5 A,150.9 A,201.0 A", reference: "50.0 A,100.0 A,150.0 A,200.0 A", "reference-uncertainty": "0.3 A" });
  await server.post("/recording", { job: "demo", record: "demo" });
  await server.ended();
  await server.get("/records/demo");
  const photograph = await (await fetch(`${server.url}/api/records/demo/photographs`, { method: "POST", headers: { "Content-Type": "image/png" }, body: png(320, 240) })).json();
  await server.post("/records/demo/entries", { by: "Inspector 1", seen: 0, finding: 1, method: "liquid penetrant", result: "no indication", decision: "accept",
    remark: "ground to bright metal", photographs: [{ sha256: photograph.sha256, caption: "the restart, ground" }] });
  await server.stop();
}

try {
  await mkdir(into, { recursive: true });
  const folder = await emptyFolder(t);
  await prepare(folder);
  const server = await serve(t, folder, { speed: 2, layers: 2 });
  const browser = await browse(t);
  const open = await Promise.all(devices.map(async (one) => Object.assign(await visit(t, browser, server, one), one)));
  for (const device of open) {
    for (const [name, { address, act, screen }] of Object.entries(pages)) {
      await device.go(address);
      await act?.(device.page);
      await take(device, name, screen);
      if (await device.page.getByRole("dialog").isVisible()) {
        await device.page.keyboard.press("Escape");
      }
    }
    await device.go("live");
    await take(device, "live-none", true);
  }
  // The arc: once as it should be, once with an alarm, which each device photographs as it sees it.
  await server.post("/recording", { job: "demo", record: "demo-2" });
  await Promise.all(open.map(async (device) => {
    await device.go("live");
    await device.page.locator(".alarm-list .alarm", { hasText: /Gas/ }).waitFor();
    await device.page.screenshot({ path: path.join(into, `alarm-${device.size}-${device.theme}.png`) });
  }));
  await pause(4000);
  for (const device of open) {
    await take(device, "live", true);
    if (device.size === "phone") {
      await take(device, "live-whole", false);
    }
    await device.page.getByRole("button", { name: "Note", exact: true }).click();
    await take(device, "note", true);
    await device.page.keyboard.press("Escape");
  }
  await server.remove("/recording");
  for (const device of open) {
    await device.go("live");
    await take(device, "live-over", true);
  }
} finally {
  for (const end of ends) {
    await end();
  }
}
