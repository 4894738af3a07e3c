// The pages over the network: only encrypted, only for devices that were paired, each in its role. The browser takes the
// machine for who it is by the key of its certificate, which stands for the authority that a tablet has fetched.
import assert from "node:assert/strict";
import { X509Certificate, createHash } from "node:crypto";
import { test } from "node:test";
import tls from "node:tls";
import { mkdir } from "node:fs/promises";
import { browse, emptyFolder, recordedFolder, serve, settled, until, visit, lenient } from "./rig.mjs";

// keyOf is the SHA-256 of the key that the machine shows.
async function keyOf(port) {
  return new Promise((resolve, reject) => {
    const socket = tls.connect({ port, host: "127.0.0.1", servername: "localhost", rejectUnauthorized: false }, () => {
      const { raw } = socket.getPeerCertificate();
      socket.destroy();
      resolve(createHash("sha256").update(new X509Certificate(raw).publicKey.export({ type: "spki", format: "der" })).digest("base64"));
    });
    socket.once("error", reject);
  });
}

async function networkServer(t) {
  process.env.XDG_CONFIG_HOME = await emptyFolder(t);
  const server = await serve(t, await recordedFolder(t), { speed: 5, listen: ":0" });
  const secure = { ...server, url: `https://localhost:${server.port}` };
  return { server, secure, browser: await browse(t, [`--ignore-certificate-errors-spki-list=${await keyOf(server.port)}`]) };
}

const shots = process.env.PICTURES;

async function picture(device, name) {
  if (shots) {
    await mkdir(shots, { recursive: true });
    await device.page.screenshot({ path: `${shots}/${name}.png`, fullPage: true });
  }
}

// type touches the keys of the page, as a glove does.
async function type(page, code) {
  for (const figure of code.replace(/\D/g, "")) {
    await page.getByRole("button", { name: figure, exact: true }).tap();
  }
}

async function pairWith(device, code, name) {
  const { page } = device;
  await page.getByLabel("Name of this device").fill(name);
  await type(page, code);
  await page.getByRole("button", { name: "Pair", exact: true }).tap();
}

test("a phone is paired over TLS, and may do what its role says", lenient, async (t) => {
  const { server, secure, browser } = await networkServer(t);
  const code = /within 10 minutes: (\d{4} \d{4})/.exec(server.said())[1];
  const operator = await visit(t, browser, secure, { size: "phone" });
  operator.allow(/status of 40[13]/, /status of 429/);
  const { page } = operator;
  await page.getByRole("heading", { name: "Pair this device" }).waitFor();
  const key = await page.getByRole("button", { name: "5", exact: true }).boundingBox();
  assert.ok(key.height >= 72 && key.width >= 72, `a key of ${key.width} x ${key.height} is too small for a glove`);
  await picture(operator, "pair-phone-shade");

  // A wrong code is said, and so is how long one has to wait.
  const wrong = code.startsWith("1") ? "22222222" : "11111111";
  for (let k = 0; k < 3; k++) {
    await pairWith(operator, wrong, "Phone");
    await page.getByText("the code is wrong").waitFor();
    await until(async () => await page.locator("#code").inputValue() === "", "the wrong code is taken away");
  }
  await page.getByText(/Wait \d+ s before the next try/).waitFor();
  await type(page, code);
  assert.ok(await page.getByRole("button", { name: "Pair", exact: true }).isDisabled(), "it has to wait");
  await picture(operator, "pair-wait");
  await page.getByText(/Wait \d+ s before the next try/).waitFor({ state: "detached" });
  await page.getByRole("button", { name: "Pair", exact: true }).tap();
  await page.getByText("it may operate").waitFor();
  await picture(operator, "home-operate");

  // The token is the browser's own: no script reads it.
  assert.equal(await page.evaluate(() => document.cookie), "");
  const [cookie] = await operator.context.cookies(secure.url);
  assert.deepEqual([cookie.name, cookie.httpOnly, cookie.secure, cookie.sameSite, cookie.path], ["__Host-arctally", true, true, "Strict", "/"]);

  // What an operator may not is told, and not asked for.
  await operator.go("record/short/event/1");
  await settled(page);
  const asked = [];
  page.on("request", (request) => request.method() === "POST" && asked.push(request.url()));
  const decide = page.locator("[data-needs=inspect]").first();
  if (await decide.count() === 0) {
    await page.locator(".decide-event").tap();
  }
  await decide.waitFor();
  await picture(operator, "event-operate");
  await decide.tap();
  await page.getByText(/needs a device that may inspect/).waitFor();
  assert.deepEqual(asked, []);

  // At the machine itself a code is shown for one that may only look.
  const here = await visit(t, browser, { ...server, url: `http://localhost:${server.port}` }, { size: "tablet", theme: "sun", address: "devices" });
  await here.page.getByText("Phone").first().waitFor();
  await here.page.getByRole("button", { name: /^look/ }).tap();
  const offered = await here.page.locator("p.pair-code").innerText();
  await picture(here, "devices-sun");
  const looker = await visit(t, browser, secure, { size: "upright", theme: "sun" });
  looker.allow(/status of 401/);
  await picture(looker, "pair-upright-sun");
  await pairWith(looker, offered, "Wall tablet");
  await looker.page.getByText("it may look").waitFor();
  await here.page.getByText("The code was used").waitFor();
  await here.page.getByText("Wall tablet").first().waitFor();
  await looker.go("checks/short");
  await looker.page.getByRole("button", { name: /Start recording/ }).tap();
  await looker.page.getByText(/This device may look/).waitFor();
  await picture(looker, "checks-look");
  assert.equal(await server.get("/recording"), null, "nothing was begun");

  // Shut out, it sees nothing any more.
  await here.page.getByRole("button", { name: "Shut out Wall tablet" }).tap();
  await here.page.getByRole("dialog").getByRole("button", { name: "Shut out" }).tap();
  await looker.page.getByRole("heading", { name: "Pair this device" }).waitFor();
  operator.clean();
  looker.clean();
  here.clean();
});
