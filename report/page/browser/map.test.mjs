// The unrolled wall at every size: marks at their angle and as far as they went on, colours by the window, layer by layer, what was
// chosen in the address; then the waveform from cause to cause.
import assert from "node:assert/strict";
import { test } from "node:test";
import { crowded } from "./crowded.mjs";
import { browse, emptyFolder, lenient, recordedFolder, serve, sizes, until, visit } from "./rig.mjs";

const open = async (server, record) => (await until(async () => {
  const answer = await server.get(`/records/${record}`);
  return answer.review ? answer : null;
}, "it is judged")).review;

// result is the whole result of a record, which the page does not ask for.
const result = (server, record) => server.get(`/records/${record}/file/json`);

// shown is what the map shows, in the pixels of its drawing.
const shown = (page) => page.evaluate(() => {
  const over = document.querySelector(".map-over");
  const number = (one, ...names) => names.map((name) => Number(one.getAttribute(name)));
  return {
    width: Number(over.getAttribute("width")),
    texts: [...over.querySelectorAll(".map-text")].map((one) => {
      const { x, y, width, height } = one.getBBox();
      return { words: one.textContent, x, y, right: x + width, bottom: y + height };
    }),
    tags: [...over.querySelectorAll(".map-tag")].map((tag) => ({ event: Number(tag.dataset.event), at: number(tag.querySelector("circle"), "cx")[0], to: number(tag.querySelector("line"), "x1")[0] })),
    extents: [...over.querySelectorAll(".map-extent")].map((line) => number(line, "x1", "y1", "x2", "y2")),
    ticks: [...over.querySelectorAll("text[text-anchor=middle].map-text")].map((one) => [parseFloat(one.textContent), ...number(one, "x")]),
  };
});

// scale gives the pixels of an angle.
function scale({ ticks }) {
  const [from, to] = [0, 360].map((angle) => ticks.find(([at]) => at === angle)[1]);
  return (angle) => from + (angle / 360) * (to - from);
}

const near = (a, b, what) => assert.ok(Math.abs(a - b) < 0.6, `${what}: ${a} is not ${b}`);

// whole fails where a word of the scales is cut, or lies on another.
function whole(now, size) {
  for (const one of now.texts) {
    assert.ok(one.x >= 0 && one.right <= now.width && one.y >= 0, `${size}: "${one.words}" is cut: ${JSON.stringify(one)} of ${now.width}`);
  }
  now.texts.forEach((a, k) => now.texts.slice(k + 1).forEach((b) =>
    assert.ok(a.right <= b.x || b.right <= a.x || a.bottom <= b.y + 4 || b.bottom <= a.y + 4, `${size}: "${a.words}" lies on "${b.words}"`)));
}

test("marks stand at their angle, at every size", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t), { demo: false });
  const browser = await browse(t);
  const review = await open(server, "short");
  const placed = review.events.filter((event) => event.angle_deg !== null);
  for (const size of Object.keys(sizes)) {
    const one = await visit(t, browser, server, { size, address: "record/short" });
    await one.page.locator(".map-over .map-text").first().waitFor();
    const now = await shown(one.page);
    const x = scale(now);
    whole(now, size);
    assert.ok(now.texts.some((text) => text.words === "360°") && now.texts.some((text) => /^Entry face at 0/.test(text.words)), `${size}: both ends are named`);
    assert.ok(now.tags.length > 0 && now.tags.length <= placed.length, `${size}: ${now.tags.length} of ${placed.length}`);
    for (const tag of now.tags) {
      const event = placed.find((each) => each.number === tag.event);
      assert.ok(event, "what has no place has no mark");
      near(tag.to, x(event.angle_deg), `${size}: event ${tag.event} points to its angle`);
      near(tag.at, Math.min(x(360) - 14, Math.max(x(0) + 14, tag.to)), `${size}: its tag hangs at its angle`);
    }
    one.clean();
    await one.context.close();
  }
});

// crowdedMap opens the map of a record with two layers.
async function crowdedMap(t, what) {
  const folder = await emptyFolder(t);
  await crowded(folder, "crowded", 2, what);
  const server = await serve(t, folder, { demo: false });
  const one = await visit(t, await browse(t), server, { address: "record/crowded" });
  await one.page.locator(".map-over .map-text").first().waitFor();
  return { one, page: one.page, review: await open(server, "crowded"), found: await result(server, "crowded"), now: await shown(one.page) };
}

test("a finding is marked as far as it went on", lenient, async (t) => {
  const { one, found, now } = await crowdedMap(t, {});
  const x = scale(now);
  const went = found.findings.filter((f) => f.angle_deg !== null && f.depth_mm !== null && f.way_deg);
  const inOne = went.filter((f) => f.angle_deg + f.way_deg >= 0 && f.angle_deg + f.way_deg <= 360); // how others are cut at the mark is held where marks are computed
  assert.ok(inOne.length > 20, `${inOne.length} of ${went.length} went on for a way`);
  for (const f of inOne) {
    const [from, to] = [f.angle_deg, f.angle_deg + f.way_deg].sort((a, b) => a - b).map(x);
    assert.ok(now.extents.some(([a, , b]) => Math.abs(a - from) < 0.6 && Math.abs(b - to) < 0.6), `finding ${f.number} from ${f.angle_deg} over ${f.way_deg} degrees`);
  }
  one.clean();
});

test("what concerns a whole pass stands at no angle, and is told beside the map", lenient, async (t) => {
  const { one, page, review, now } = await crowdedMap(t, { calm: true, change: (text) => text.replace(/heat_input: .*/, "heat_input: 0.05..0.12 kJ/mm") });
  const whole = review.events.filter((event) => event.whole_passes);
  assert.ok(whole.length > 0, JSON.stringify(review.events));
  for (const event of whole) {
    assert.equal(event.angle_deg, null);
    assert.ok(!now.tags.some((tag) => tag.event === event.number), `event ${event.number} is at no angle`);
  }
  const told = (await page.locator(".map-words").allInnerTexts()).join(" ");
  assert.match(told, new RegExp(`Of whole passes, at no one place: events? ${whole.map((event) => event.number).join(", ")}\\.`));
  one.clean();
});

// inkAt is the colour of the middle of a cell.
const inkAt = (page, { columns, rows }, k) => page.evaluate(([columns, rows, k]) => {
  const canvas = document.querySelector(".map-canvas");
  const ratio = canvas.width / canvas.clientWidth;
  const [left, top, right, foot] = [50, 48, 24, 10];
  const x = left + ((k % columns) + 0.5) * (canvas.clientWidth - left - right) / columns;
  const y = top + (Math.floor(k / columns) + 0.5) * (canvas.clientHeight - top - foot) / rows;
  return [...canvas.getContext("2d").getImageData(Math.round(x * ratio), Math.round(y * ratio), 1, 1).data].slice(0, 3).join();
}, [columns, rows, k]);

test("colours are those of the window, layer by layer, and what was chosen stands in the address", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t), { demo: false });
  const one = await visit(t, await browse(t), server, { units: "us", address: "record/short" });
  const { page } = one;
  await page.locator(".map-over .map-text").first().waitFor();
  const { map } = await open(server, "short");
  const pressed = () => page.locator('.map-chooser [aria-pressed="true"]').allInnerTexts();
  const choose = (name) => page.getByRole("button", { name, exact: true }).click();
  // All cells within the window have one colour, however much they differ.
  for (const layer of [1, 2]) {
    await choose(`Layer ${layer}`);
    const view = map.views.find((each) => each.of === "heat" && each.layer === layer);
    const inside = [...view.classes].map((letter, k) => [letter, k]).filter(([letter]) => letter === "w").map(([, k]) => k);
    const values = await Promise.all(inside.filter((_, n) => n % 9 === 0).map(async (k) => {
      const cell = await server.get(`/records/short/cells/${Math.floor(k / map.columns)}/${k % map.columns}`);
      return cell.values.find((each) => each.of === "heat" && each.layer === layer).value;
    }));
    assert.ok(inside.length > 50 && Math.max(...values) > Math.min(...values), `layer ${layer}: ${inside.length} cells, not all alike`);
    const free = inside.filter((k) => k >= 3 * map.columns); // above them are tags
    const inks = new Set(await Promise.all(free.filter((_, n) => n % 7 === 0).map((k) => inkAt(page, map, k))));
    assert.equal(inks.size, 1, `layer ${layer}: within is one colour: ${[...inks]}`);
    const gap = [...view.classes].findIndex((letter, k) => letter === "b" && k >= 3 * map.columns);
    assert.ok(gap > 0 && !inks.has(await inkAt(page, map, gap)), "what is not judged has another");
  }
  await choose("Build-up");
  assert.match(page.url(), /map=build-up&layer=2$/);
  assert.deepEqual(await pressed(), ["Build-up", "2"]);
  await page.reload();
  await page.locator(".map-over .map-text").first().waitFor();
  assert.deepEqual(await pressed(), ["Build-up", "2"], "after a reload as before");
  await choose("Arc on");
  await choose("All layers");
  const view = map.views.find((each) => each.of === "arc-on" && each.layer === null);
  assert.deepEqual(await page.locator(".map-legend .legend li").allInnerTexts(), view.keys.map((key) => key.us), "the words are those of the program");
  const target = await page.getByRole("button", { name: "Layer 1", exact: true }).boundingBox();
  assert.ok(target.width >= 48 && target.height >= 48, "a finger in a glove finds it");
  one.clean();
});

test("the waveform goes from cause to cause by keys, and reads the judged mean", lenient, async (t) => {
  const server = await serve(t, await recordedFolder(t), { demo: false });
  const one = await visit(t, await browse(t), server, { address: "record/short/pass/1" });
  const { page } = one;
  await page.locator('.wave[aria-busy="false"]').waitFor();
  const { findings } = await open(server, "short").then(() => result(server, "short"));
  const events = [...new Set(findings.filter((f) => f.pass === 1).sort((a, b) => a.tick_ns - b.tick_ns).map((f) => f.event))];
  assert.ok(events.length > 0);
  await page.locator(".wave").focus();
  for (const event of events) {
    await page.keyboard.press("n");
    await page.locator(".why").getByText(new RegExp(`^Event ${event},`)).waitFor();
  }
  await page.locator('.wave[aria-busy="false"]').waitFor();
  assert.match(await page.locator(".wave-status").innerText(), /mean that is held against the limits/);
  const box = await page.locator(".wave-box").first().boundingBox();
  await page.mouse.move(box.x + 0.5 * box.width, box.y + 0.5 * box.height);
  await page.locator(".wave-readout").getByText(/ V( \(mean|,).* W/).waitFor();
  one.clean();
});
