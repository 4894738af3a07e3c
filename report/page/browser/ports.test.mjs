// Who speaks on which port is a list to touch: touching fills in the sensors of the job.
import assert from "node:assert/strict";
import { test } from "node:test";
import { browse, emptyFolder, lenient, serve, until, visit } from "./rig.mjs";

const box = {
  port: "/dev/serial/by-id/usb-box-if00", state: "speaks", says: "speaks binary at 921600 baud: box 1, serial 17", problem: "", hint: "",
  values: { port: "/dev/serial/by-id/usb-box-if00", link: "binary", baud: "921600" },
};
const meter = {
  port: "/dev/serial/by-id/usb-meter-if00", state: "meter", says: "speaks columns at 9600 baud", problem: "", hint: "",
  values: { port: "/dev/serial/by-id/usb-meter-if00", link: "columns", baud: "9600", separator: "semicolon", decimal: "comma" },
};
const held = { port: "/dev/ttyUSB3", state: "busy", says: "", problem: "process 7 (ModemManager) has it open", hint: "write this line into a rule", values: {} };

test("a port that is touched fills in port, link and baud rate", lenient, async (t) => {
  const server = await serve(t, await emptyFolder(t));
  const device = await visit(t, await browse(t), server, { address: "job/demo" });
  const { page } = device;
  const field = (key) => page.locator(`[data-key="${key}"]`).locator("input, select").first();
  const find = page.getByRole("button", { name: "Find the boxes that are plugged in" });
  device.allow(/422/); // no plan while a meter has no columns yet
  let rows = [];
  await page.route("**/api/ports", (route) => route.fulfill({ json: rows }));
  await page.locator("summary", { hasText: "Sensors" }).click();
  if (!(await find.isVisible())) {
    await page.locator("summary", { hasText: "Sensors" }).click(); // it was open
  }

  await find.click();
  await page.getByText("No serial port is there.").waitFor();
  rows = [box, meter, held];
  await find.click();
  await page.getByText("process 7 (ModemManager) has it open").waitFor();
  assert.equal(await page.getByRole("button", { name: /^Record from this one/ }).count(), 2, "nobody was understood on the third");

  const before = await field("sensors.0.port").inputValue();
  assert.notEqual(before, box.port);
  await page.getByRole("button", { name: /^Record from this one.*usb-box/ }).click();
  await until(async () => (await field("sensors.1.port").count()) === 1, "another sensor");
  assert.equal(await field("sensors.1.port").inputValue(), box.port);
  assert.equal(await field("sensors.1.link").inputValue(), "binary");
  assert.equal(await field("sensors.1.baud").inputValue(), "921600");
  assert.equal(await field("sensors.0.port").inputValue(), before, "the other one stays");

  await page.getByRole("button", { name: /^Record from this one.*usb-box/ }).click();
  assert.equal(await field("sensors.2.port").count(), 0, "the same port is no other sensor");
  await page.getByRole("button", { name: /^Record from this one.*usb-meter/ }).click();
  await until(async () => (await field("sensors.2.separator").count()) === 1, "a third sensor");
  assert.equal(await field("sensors.2.decimal").inputValue(), "comma");
  await field("sensors.2.columns.voltage").fill("1");
  await field("sensors.2.columns.current").fill("2*0.1");
  await page.getByRole("button", { name: "Save" }).click();
  await page.getByText("demo.yaml is saved.").waitFor();
  const saved = (await server.get("/files/job/demo")).values;
  assert.equal(saved["sensors.1.baud"], "921600");
  assert.equal(saved["sensors.2.columns.current"], "2*0.1");
  device.clean();
});

test("listening is refused while a recording runs", lenient, async (t) => {
  const server = await serve(t, await emptyFolder(t), { speed: 4 });
  await server.post("/recording", { job: "demo" });
  const device = await visit(t, await browse(t), server, { address: "job/demo" });
  device.allow(/409/);
  const find = device.page.getByRole("button", { name: "Find the boxes that are plugged in" });
  if (!(await find.isVisible())) {
    await device.page.locator("summary", { hasText: "Sensors" }).click();
  }
  await find.click();
  await device.page.getByText("a recording runs already").waitFor();
  device.clean();
});
