// What the browser tests share: the program under test, a browser that forgives no error, and a job to lay.
import assert from "node:assert/strict";
import { execFile, spawn } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { cp, mkdtemp, readdir, readFile, rm } from "node:fs/promises";
import net from "node:net";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import zlib from "node:zlib";
import { chromium } from "playwright-core";

const here = path.dirname(fileURLToPath(import.meta.url));
export const program = path.resolve(process.env.ARCTALLY ?? path.join(here, "../../../bin/arctally"));
const chromiumPath = process.env.CHROMIUM ?? "/usr/bin/chromium";

for (const [file, what] of [[program, "the program: run make build, or set ARCTALLY"], [chromiumPath, "Chromium: run make chromium, or set CHROMIUM"]]) {
  if (!existsSync(file)) {
    throw new Error(`The browser tests need ${what} (${file} is not there).`);
  }
}

// What the program keeps for its user (the key of the machine, results of records) it keeps below folders of this run: neither does
// it find what another run left, nor leave anything behind.
const home = mkdtempSync(path.join(tmpdir(), "arctally-home-"));
process.env.XDG_CONFIG_HOME = path.join(home, "config");
process.env.XDG_CACHE_HOME = path.join(home, "cache");
process.on("exit", () => rmSync(home, { recursive: true, force: true }));

// patience is how long, in ms, anything is waited for: far longer than it takes, for a machine that has twenty other things to
// do. It judges nothing but that something never comes; what is waited for is always a condition.
export const patience = 180_000;
export const lenient = { timeout: 5 * patience }; // of one test

const run = promisify(execFile);

// arctally runs a command of the program to its end and gives what it wrote; a status of 3 says that findings are open.
export async function arctally(...words) {
  try {
    return (await run(program, words, { maxBuffer: 2 ** 28 })).stdout;
  } catch (thrown) {
    if (thrown.code === 3) {
      return thrown.stdout;
    }
    throw thrown;
  }
}

export async function tool(name, ...words) {
  return (await run(name, words, { maxBuffer: 2 ** 26 })).stdout;
}

export async function emptyFolder(t) {
  const folder = await mkdtemp(path.join(tmpdir(), "arctally-browser-"));
  t.after(() => rm(folder, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 }));
  return folder;
}

// serve starts the program on a folder; stop ends it as Ctrl-C does, kill as a power cut does.
export async function serve(t, folder, { speed = 15, faults, layers, listen = "127.0.0.1:0", demo = true, more = [] } = {}) {
  const words = ["serve", "--listen", listen, ...more];
  if (demo) {
    words.push("--demo", "--speed", String(speed));
    if (faults) {
      words.push("--faults", faults);
    }
    if (layers) {
      words.push("--layers", String(layers));
    }
  }
  const child = spawn(program, [...words, folder], { stdio: ["ignore", "ignore", "pipe"], env: { ...process.env, [ofFolder]: folder } });
  const gone = new Promise((resolve) => child.once("exit", resolve));
  let said = "";
  const url = await new Promise((resolve, reject) => {
    child.stderr.setEncoding("utf8").on("data", (text) => {
      said += text;
      const found = /http:\/\/\S+/.exec(said);
      if (found) {
        resolve(found[0]);
      }
    });
    child.once("exit", (code) => reject(new Error(`the program ended with ${code}: ${said}`)));
    child.once("error", reject);
  });
  const end = (signal) => async () => {
    child.kill(signal);
    await gone;
  };
  const cut = async () => {
    await end("SIGKILL")();
    await endRecorders(folder);
  };
  const server = { url, folder, port: Number(new URL(url).port), said: () => said, stop: end("SIGINT"), kill: cut, ...calls(url) };
  t.after(cut);
  return server;
}

// ofFolder names, in the environment of a program, the folder that it serves.
const ofFolder = "ARCTALLY_TEST_FOLDER";

// endRecorders ends what records into a folder: a recorder goes on without the program that started it, but not without power.
async function endRecorders(folder) {
  for (const pid of (await readdir("/proc")).filter((name) => /^\d+$/.test(name))) {
    const environment = await readFile(`/proc/${pid}/environ`, "utf8").catch(() => ""); // it has ended, or is another's
    if (environment.split("\0").includes(`${ofFolder}=${folder}`)) {
      try {
        process.kill(Number(pid), "SIGKILL");
      } catch (thrown) {
        assert.equal(thrown.code, "ESRCH"); // it was ending
      }
    }
  }
}

function calls(url) {
  const ask = async (method, address, body, headers = {}) => {
    const response = await fetch(`${url}/api${address}`, {
      method, headers: body === undefined ? headers : { "Content-Type": "application/json", ...headers }, body: body === undefined ? undefined : JSON.stringify(body),
    });
    const answer = await response.json();
    assert.ok(response.ok, `${method} ${address}: ${response.status} ${JSON.stringify(answer)}`);
    return answer;
  };
  return {
    get: (address) => ask("GET", address),
    post: (address, body) => ask("POST", address, body),
    remove: (address) => ask("DELETE", address),
    put: (address, body, headers) => ask("PUT", address, body, headers),
    ended: () => until(async () => {
      const live = await ask("GET", "/recording");
      return live && (live.phase === "ended" || live.phase === "failed") ? live : null;
    }, "the recording ends"),
  };
}

// job writes a job like the demo's with other values, and gives the name of its file.
export async function job(server, file, values) {
  const demo = await server.get("/files/job/demo");
  await server.put(`/files/job/${file}`, { values: { ...demo.values, ...values } }, { "If-None-Match": "*" });
  return file;
}

// shortBore is laid in seconds; longBore outlasts every test, however slow the machine.
export const shortBore = { job: "Demo arm, short bore", "bore.length": "12 mm" };
export const longBore = { job: "Demo arm, long bore", "bore.length": "300 mm" };

let laid;

// recordedFolder is a folder with one short job in it, laid and judged; it is laid once and copied for who asks again.
export async function recordedFolder(t) {
  const folder = await emptyFolder(t);
  laid ??= lay();
  await cp(await laid, folder, { recursive: true });
  return folder;
}

async function lay() {
  const ends = [];
  const original = await mkdtemp(path.join(tmpdir(), "arctally-laid-"));
  process.on("exit", () => rmSync(original, { recursive: true, force: true }));
  const server = await serve({ after: (end) => ends.push(end) }, original, { speed: 300, layers: 2 });
  await server.post("/recording", { job: await job(server, "short", shortBore) });
  const live = await server.ended();
  assert.equal(live.phase, "ended");
  await server.stop();
  return original;
}

export const sizes = {
  tablet: { viewport: { width: 1280, height: 800 }, hasTouch: true, isMobile: true, deviceScaleFactor: 1 },
  upright: { viewport: { width: 800, height: 1280 }, hasTouch: true, isMobile: true, deviceScaleFactor: 1 },
  enlarged: { viewport: { width: 320, height: 256 }, deviceScaleFactor: 4 }, // 1280 x 1024 at 400 %
  phone: { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 },
};

// browse starts one browser for the tests of a file.
export async function browse(t, more = []) {
  const browser = await chromium.launch({
    executablePath: chromiumPath,
    timeout: patience,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--mute-audio", ...more],
  });
  t.after(() => browser.close());
  return browser;
}

// visit opens a page on a device of its own. Whatever goes wrong in it fails the test, unless allow was told to expect it.
export async function visit(t, browser, server, { size = "tablet", theme = "shade", units = "metric", address = "" } = {}) {
  const context = await browser.newContext({ ...sizes[size], locale: "en-GB", timezoneId: "UTC", acceptDownloads: true });
  await context.addInitScript(([theme, units]) => {
    for (const [key, value] of Object.entries({ theme, units, sound: "off" })) {
      localStorage.getItem(`arctally.${key}`) ?? localStorage.setItem(`arctally.${key}`, value);
    }
    document.addEventListener("securitypolicyviolation", (event) => console.error(`policy: ${event.violatedDirective} ${event.blockedURI}`));
  }, [theme, units]);
  const page = await context.newPage();
  page.setDefaultTimeout(patience);
  const wrong = [];
  const allowed = [];
  const note = (words) => {
    if (!allowed.some((pattern) => pattern.test(words))) {
      wrong.push(words);
    }
  };
  const origins = new Set([new URL(server.url).origin]);
  page.on("console", (message) => message.type() === "error" && note(`console: ${message.text()} (${message.location().url})`));
  page.on("pageerror", (error) => note(`error: ${error.stack ?? error.message}`));
  page.on("requestfailed", (request) => request.failure()?.errorText !== "net::ERR_ABORTED" && note(`failed: ${request.url()} ${request.failure()?.errorText}`));
  page.on("request", (request) => {
    const { origin, protocol } = new URL(request.url());
    if (!["blob:", "data:"].includes(protocol) && !origins.has(origin)) {
      wrong.push(`elsewhere: ${request.url()}`);
    }
  });
  const device = {
    page, context,
    allow: (...patterns) => allowed.push(...patterns),
    go: (to) => go(page, server, to),
    also: (origin) => origins.add(origin),
    // clean says that nothing went wrong so far; it ends every test.
    clean: () => assert.deepEqual(wrong, [], "errors in the page"),
  };
  t.after(() => context.close());
  await device.go(address);
  return device;
}

// go opens an address of the pages and waits until it has something to show.
async function go(page, server, to) {
  const url = `${server.url}/#/${to}`;
  if (page.url() === url) {
    await page.reload();
  } else {
    await page.goto(url);
  }
  await settled(page);
}

export async function settled(page) {
  await page.locator("main h1").waitFor({ state: "attached" });
  await page.waitForFunction(() => !document.querySelector("main .wait, main [aria-busy=true]") && document.querySelector("main .page")?.childElementCount > 0);
  await drawn(page);
}

// drawn waits until what is asked for is also on the screen: two frames later.
export const drawn = (page) => page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))));

// until asks again and again, and fails with the name of what it waited for.
export async function until(ask, what) {
  const begun = Date.now();
  let last;
  for (;;) {
    try {
      const answer = await ask();
      if (answer) {
        return answer;
      }
    } catch (thrown) {
      last = thrown;
    }
    if (Date.now() - begun > patience) {
      throw new Error(`waited ${patience} ms in vain: ${what}`, { cause: last });
    }
    await pause(100);
  }
}

export const pause = (milliseconds) => new Promise((resolve) => setTimeout(resolve, milliseconds));

// unfold opens the groups of a form that a field stands in.
async function unfold(field) {
  for (const fold of await field.locator("xpath=ancestor::details[not(@open)]").all()) {
    await fold.locator("summary").first().click();
  }
}

// steps are the parts of one story: after one that fails, the others are not tried.
export function steps(t) {
  let whole = true;
  return async (name, work) => {
    if (whole) {
      whole = false;
      await t.test(name, async (step) => {
        await work(step);
        whole = true;
      });
    }
  };
}

// typeField types one value, as it stands in a file, into its field.
export async function typeField(page, key, text) {
  const field = page.locator(`[data-key="${key}"]`);
  await unfold(field);
  const select = field.locator("select");
  const inputs = field.locator("input");
  if ((await inputs.count()) === 0) {
    await select.selectOption(text);
    return;
  }
  const range = /^(.*)\.\.(\S*)\s*(.*)$/.exec(text);
  if (range && (await inputs.count()) === 2) {
    await inputs.nth(0).fill(range[1].trim());
    await inputs.nth(1).fill(range[2]);
    await select.selectOption(range[3]);
    return;
  }
  const quantity = /^(.*\S)\s+(\S+)$/.exec(text); // 3 5/8 in has two blanks
  if (quantity && (await select.count()) === 1) {
    await inputs.fill(quantity[1]);
    await select.selectOption(quantity[2]);
    return;
  }
  await inputs.fill(text);
}

// typeRows types figures that belong together, a row each, into their table; unit is that of each column where there is one.
export async function typeRows(form, keys, rows) {
  for (const [k, row] of rows.entries()) {
    const first = form.locator(`[data-cell="${keys[0]}.${k}"]`);
    if ((await first.count()) === 0) {
      await form.getByRole("button", { name: "Add a row" }).click();
    }
    for (const [column, text] of row.entries()) {
      await form.locator(`[data-cell="${keys[column]}.${k}"]`).fill(text);
    }
  }
}

// cable is a way between page and program that can be cut, and mended again.
export async function cable(t, server) {
  const sockets = new Set();
  let cut = false;
  let mute = false;
  const to = { port: server.port };
  const listener = net.createServer((near) => {
    if (cut) {
      near.destroy();
      return;
    }
    const far = net.connect(to.port, "127.0.0.1");
    for (const [from, into] of [[near, far], [far, near]]) {
      sockets.add(from);
      from.on("data", (data) => mute || into.destroyed || into.write(data));
      from.on("close", () => {
        sockets.delete(from);
        into.destroy();
      });
      from.on("error", () => into.destroy());
    }
  });
  await new Promise((resolve) => listener.listen(0, "127.0.0.1", resolve));
  const drop = () => sockets.forEach((socket) => socket.destroy());
  t.after(() => {
    drop();
    listener.close();
  });
  return {
    url: `http://127.0.0.1:${listener.address().port}`,
    cut: () => { cut = true; drop(); },
    mend: () => { cut = mute = false; drop(); },
    // silence lets nothing through and closes nothing, as a network does that one walks out of.
    silence: () => { mute = true; },
    toward: (port) => { to.port = port; },
  };
}

// png is a picture of so many pixels; noise keeps it from being packed.
export function png(width, height, noise = false) {
  const rows = Buffer.alloc((3 * width + 1) * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = y * (3 * width + 1) + 1 + 3 * x;
      const value = noise ? Math.floor(Math.random() * 2 ** 24) : (x * 251 + y * 13) << 8;
      rows.writeUIntBE(value & 0xffffff, at, 3);
    }
  }
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head.set([8, 2, 0, 0, 0], 8);
  const chunk = (name, data) => {
    const body = Buffer.concat([Buffer.from(name, "latin1"), data]);
    const out = Buffer.alloc(body.length + 8);
    out.writeUInt32BE(data.length, 0);
    body.copy(out, 4);
    out.writeUInt32BE(crc(body), body.length + 4);
    return out;
  };
  return Buffer.concat([Buffer.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10]), chunk("IHDR", head), chunk("IDAT", zlib.deflateSync(rows, { level: noise ? 0 : 6 })), chunk("IEND", Buffer.alloc(0))]);
}

const crcTable = Int32Array.from({ length: 256 }, (_, n) => {
  for (let k = 0; k < 8; k++) {
    n = n & 1 ? (n >>> 1) ^ 0xedb88320 : n >>> 1;
  }
  return n;
});

function crc(data) {
  let c = -1;
  for (const byte of data) {
    c = crcTable[(c ^ byte) & 0xff] ^ (c >>> 8);
  }
  return (c ^ -1) >>> 0;
}

// startRecording says yes to all that the sheet before the arc asks, and starts.
export async function startRecording(page) {
  await page.getByRole("button", { name: "Start recording" }).click();
  const dialog = page.getByRole("dialog");
  await dialog.waitFor();
  const who = dialog.getByLabel("Who begins");
  if ((await who.inputValue()) === "") {
    await who.fill("Operator 1");
  }
  for (const tick of await dialog.getByRole("checkbox").all()) {
    await tick.check();
  }
  await dialog.getByRole("button", { name: "Start recording" }).click();
  await page.waitForURL(/#\/live$/);
}
