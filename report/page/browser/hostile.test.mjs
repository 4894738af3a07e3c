// A record and a job whose every text was written by somebody who means no good: it stays text on every page, rules nothing
// and nobody around it, and shows what is hidden in it.
import assert from "node:assert/strict";
import { readFile, writeFile } from "node:fs/promises";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { test } from "node:test";
import { arctally, browse, emptyFolder, lenient, png, serve, settled, sizes, visit } from "./rig.mjs";

const keyway = fileURLToPath(new URL("../../../testdata/job/keyway/", import.meta.url));
const tags = `"'><img src=x onerror="owned=1"><script>owned=1</script></script><b>`;
const turned = "\u202e\u2066\u05d0\u05d1 12";
const wide = "W".repeat(60);

// hostile is a text of at most 120 letters behind its word, hostileLong one of 255.
const hostile = (word) => `${word} ${turned}\u200b\u{1f600}<script>owned=1</script>${wide}`.slice(0, 118);
const hostileLong = (word) => `${word}\u001b]0;x\u0007 ${turned} ${tags} \u{1f600} ${wide}${wide}`;

// hostileFolder has the job, its procedure and the record, with all that people can put into it.
async function hostileFolder(t) {
  const folder = await emptyFolder(t);
  const put = async (name, texts) => {
    let text = await readFile(path.join(keyway, name), "utf8");
    for (const [was, is] of Object.entries(texts)) {
      assert.ok(text.includes(was), was);
      text = text.replaceAll(was, () => is);
    }
    await writeFile(path.join(folder, name), text);
  };
  const said = (word) => JSON.stringify(hostileLong(word));
  const short = (word) => JSON.stringify(hostile(word));
  await put("procedure.yaml", { "SHOP-3 rev 1": said("procedure") });
  await put("job.yaml", {
    "Keyway bore, one layer": said("job"), "Operator 1": said("operator"), "Inspector 1": said("inspector"), "bench 14": said("bench"), "bench 15": said("bench"),
    "rotation:": `customer: {name: ${short("customer")}, order: ${short("order")}}\nmachine: {name: ${short("machine")}, serial: ${short("serial")}}
consumables: {wire: ${said("wire")}, wire_batch: ${said("batch")}, gas: ${said("gas")}, gas_batch: ${said("bottle")}}\nmaterial: {grade: ${said("grade")}}\nrotation:`,
  });
  const at = (name) => path.join(folder, name);
  const record = at("hostile.arctally");
  await writeFile(at("photo.png"), png(20, 20));
  await arctally("import", path.join(keyway, "capture.csv"), "--job", at("job.yaml"), "-o", record);
  await arctally("note", record, "--text", hostileLong("note"), "--temperature", "180 degC", "--by", hostileLong("typist"));
  await arctally("check", at("job.yaml"), "--record", record, "meter", "channel=voltage", "reading=10.1V,20.3V,30.2V", "reference=10.0V,20.1V,29.9V",
    "reference-uncertainty=0.02V", "due=2027-05-04", `instrument=${hostileLong("meter")}`, `certificate=${hostileLong("sheet")}`, `by=${hostileLong("checker")}`);
  const by = `by=${hostile("judge").slice(0, 98)}`;
  await arctally("inspect", record, "finding=1", "method=visual", "result=no indication", "decision=accept", by, `remark=${hostileLong("remark")}`,
    `photograph=${at("photo.png")}`, `caption=${hostile("caption").slice(0, 98)}`);
  await arctally("inspect", record, "machining", "station=1mm;0deg;90.02mm", `instrument=${hostile("gauge").slice(0, 98)}`, "cleaned-up=not all round", `where=${hostileLong("where")}`, by);
  return folder;
}

// harm is what a page shows that it must not: hidden characters, letters from the right that share a direction with others, and what
// reaches beyond the glass.
const harm = (page) => page.evaluate((most) => {
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const at = node.parentElement;
    if (at.closest("script, style")) {
      continue;
    }
    if (/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/u.test(node.data.replace(/[\n\t]/g, ""))) {
      found.push(`hidden in ${at.tagName}.${at.className}: ${JSON.stringify(node.data.slice(0, 80))}`);
    }
    const alone = at.childNodes.length === 1 && getComputedStyle(at).unicodeBidi.includes("isolate");
    if (/\p{Script=Hebrew}/u.test(node.data) && !alone && !at.closest("bdi, option, textarea, svg")) {
      found.push(`turns ${at.tagName}.${at.className}: ${node.data.slice(0, 80)}`);
    }
  }
  const wide = document.scrollingElement.scrollWidth;
  if (innerWidth > most || wide > most) {
    const outside = [...document.querySelectorAll("body *")].filter((one) => one.getBoundingClientRect().right > most + 1 && !one.closest(".scroll, .unseen, .wide, svg, .uplot"));
    found.push(`${wide} px of ${most}: ${outside.slice(0, 4).map((one) => `${one.tagName}.${one.className} ${one.textContent.slice(0, 40)}`).join(", ")}`);
  }
  return typeof owned === "undefined" ? found : [...found, "a script of a text ran"];
}, sizes.phone.viewport.width);

test("what strangers wrote rules no page", lenient, async (t) => {
  const server = await serve(t, await hostileFolder(t), { demo: false });
  const device = await visit(t, await browse(t), server, { size: "phone" });
  const { page } = device;
  device.allow(/status of 422.*\/api\/plan/); // the job says too little for a plan
  page.on("dialog", (dialog) => assert.fail(`a dialog: ${dialog.message()}`));
  const found = {};
  for (const address of ["", "job/job", "procedure/procedure", "plan/job", "checks/job", "live", "record/hostile", "record/hostile/pass/1", "record/hostile/overlay",
    "record/hostile/inspect", "record/hostile/event/1", "record/hostile/paper", "jobs/heat-input?by=operator", "jobs/proved", "jobs/open", "jobs/calibrations?days=36500", "jobs/since?days=36500"]) {
    await device.go(address);
    await settled(page);
    await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
    found[address] = await harm(page);
    if (process.env.PICTURES) {
      await page.screenshot({ path: `${process.env.PICTURES}/hostile-${address.replaceAll("/", "-")}.png`, fullPage: true });
    }
  }
  assert.match(await page.locator("main").innerText(), /hostile/);
  await page.goto(`${server.url}/api/records/hostile/file/html`);
  found.html = (await harm(page)).filter((one) => !one.startsWith("turns ")); // each block of the paper has a direction of its own
  assert.deepEqual(Object.fromEntries(Object.entries(found).filter(([, harms]) => harms.length > 0)), {});
  await device.go("record/hostile/inspect");
  assert.match(await page.locator("main").innerText(), /\\u202e\\u2066/, "what is hidden is shown by its number");
  device.clean();
});
