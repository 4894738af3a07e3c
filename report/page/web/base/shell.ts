// The frame of every page: where one is, whether the box is heard, whether it records, and the switches.
import { api, type House, type Live } from "./api";
import { fill, h, s } from "./dom";
import { onConnection, onEvent, type Connection } from "./events";
import type { Page } from "./page";
import { onPrefs, prefs, setSound, setTheme, setUnits } from "./prefs";
import { icon, type Sign } from "./state";
import { clockOf, zone } from "./time";
import { quiet, toastRegions } from "./toast";

const trail = h("nav", { class: "trail", "aria-label": "Where you are" });
const link = h("div", { class: "link-state", role: "status", "aria-label": "Link" });
const recording = h("div", { class: "recording-state" });
const main = h("main", { id: "main", tabindex: "-1" });

let connection: Connection = { state: "reconnecting", lastNews: null };
let live: Live | null = null;
let record: string | null = null;

// bare is the frame for who may see nothing yet.
export function bare(): void {
  fill(document.body, h("header", { class: "top" }, mark(), switches()), main, toastRegions());
}

// frame puts the shell into the document and keeps it up to date.
export function frame(): void {
  fill(document.body,
    h("a", { class: "skip", href: "#main", onclick: skip }, "Skip to content"),
    h("header", { class: "top" },
      h("a", { class: "home", href: "#/", "aria-label": "Home: jobs and records" }, mark()),
      trail, recording, link, switches(),
      h("div", { class: "graduation", "aria-hidden": "true" })),
    main, toastRegions());
  onConnection((now) => {
    connection = now;
    showLink();
  });
  onEvent("live", (now) => heard(now.phase === "ended" || now.phase === "failed" ? null : now.record, now));
  onEvent("house", (house) => heard(house.recording, live));
  onEvent("restart", ask);
  ask();
  setInterval(showLink, 1000);
}

function skip(event: Event): void {
  event.preventDefault();
  main.focus();
}

function ask(): void {
  Promise.all([api.house(), api.live()]).then(([house, now]: [House, Live | null]) => heard(house.recording, now), () => undefined);
}

function heard(name: string | null, now: Live | null): void {
  record = name;
  live = now;
  showLink();
  showRecording();
}

// show puts a page into the frame, and the focus on its heading.
export function show(page: Page, signal: AbortSignal, focus: boolean): void {
  quiet();
  document.title = `${page.title} · arctally`;
  const heading = h("h1", { tabindex: "-1", class: page.quiet ? "unseen" : "" }, page.title);
  const root = h("div", { class: "page" });
  showTrail(page);
  main.classList.toggle("wide", page.wide ?? false);
  fill(main, heading, root);
  if (focus) {
    scrollTo(0, 0);
    heading.focus({ preventScroll: true });
  }
  void page.render(root, signal);
}

function showTrail(page: Page): void {
  const crumbs = [...(page.trail ?? [])];
  fill(trail, h("ol", {},
    crumbs.map((crumb) => h("li", {}, h("a", { href: crumb.href }, crumb.text))),
    h("li", { "aria-current": "page" }, page.title)));
}

// showLink says the worse of two links: tablet to program, and program to sensor box.
function showLink(): void {
  const [sign, words] = linkWords();
  if (link.dataset["words"] !== words) {
    link.dataset["words"] = words;
    fill(link, icon(sign), h("span", {}, words));
    link.className = `link-state sign-${sign}`;
  }
}

function linkWords(): [Sign, string] {
  if (connection.state === "reconnecting") {
    return ["unplugged", connection.lastNews ? `no news since ${clockOf(connection.lastNews)}` : "no news yet"];
  }
  if (live && record !== null) {
    return [live.link.state, `sensor box ${live.link.state}`];
  }
  return ["good", "connected"];
}

let shown: string | null | undefined;

function showRecording(): void {
  if (shown === record) {
    return;
  }
  shown = record;
  fill(recording, record === null
    ? h("span", { class: "state sign-idle" }, icon("idle"), h("span", {}, "not recording"))
    : h("a", { href: "#/live", class: "state sign-recording" }, icon("recording"), h("span", {}, `recording ${record}`)));
}

// mark is a bore seen from its end: wall, bead, torch.
function mark(): SVGSVGElement {
  return s("svg", { viewBox: "0 0 48 48", class: "mark", "aria-hidden": "true", focusable: "false" },
    s("circle", { cx: 24, cy: 24, r: 20, class: "mark-wall" }),
    s("path", { d: "M24 9.5A14.5 14.5 0 1 1 11.4 31.2", class: "mark-bead" }),
    s("path", { d: "M24 24 11.4 31.2", class: "mark-arm" }),
    s("circle", { cx: 24, cy: 24, r: 3, class: "mark-axis" }));
}

function switches(): HTMLElement {
  const theme = h("button", { type: "button", class: "switch", onclick: () => setTheme(prefs.theme === "sun" ? "shade" : "sun") });
  const units = h("button", { type: "button", class: "switch", onclick: () => setUnits(prefs.units === "us" ? "metric" : "us") });
  const sound = h("button", { type: "button", class: "switch", onclick: () => setSound(!prefs.sound) });
  const draw = () => {
    fill(theme, themeIcon(), h("span", {}, prefs.theme === "sun" ? "Sun" : "Shade"));
    theme.setAttribute("aria-label", prefs.theme === "sun" ? "Sun: light page. Switch to shade" : "Shade: dark page. Switch to sun");
    fill(units, h("span", {}, prefs.units === "us" ? "inch" : "mm"));
    units.setAttribute("aria-label", prefs.units === "us" ? "inch: US units. Switch to metric, mm" : "mm: metric units. Switch to US, inch");
    fill(sound, soundIcon(), h("span", {}, prefs.sound ? "Tones on" : "Tones off"));
    sound.setAttribute("aria-label", prefs.sound ? "Tones on: alarms are heard. Switch them off" : "Tones off: alarms are seen alone. Switch them on");
  };
  onPrefs(draw);
  draw();
  return h("div", { class: "switches", role: "group", "aria-label": `Theme, units and sound; times are ${zone(new Date())}` }, theme, units, sound);
}

function themeIcon(): SVGSVGElement {
  const sun = prefs.theme === "sun";
  return s("svg", { viewBox: "0 0 24 24", class: "icon", "aria-hidden": "true" }, sun
    ? [s("circle", { cx: 12, cy: 12, r: 4.5, class: "solid" }), s("path", { d: "M12 1.5v3M12 19.5v3M1.5 12h3M19.5 12h3M4.6 4.6l2 2M17.4 17.4l2 2M4.6 19.4l2-2M17.4 6.6l2-2", class: "line" })]
    : [s("path", { d: "M15 3a9 9 0 1 0 6 12.5A7.5 7.5 0 0 1 15 3z", class: "solid" })]);
}

function soundIcon(): SVGSVGElement {
  return s("svg", { viewBox: "0 0 24 24", class: "icon", "aria-hidden": "true" },
    s("path", { d: "M3 9h4l6-5v16l-6-5H3z", class: "solid" }),
    s("path", { d: prefs.sound ? "M16.5 8.5a5 5 0 0 1 0 7M19 5.5a9 9 0 0 1 0 13" : "m16.5 9 5.5 6M22 9l-5.5 6", class: "line" }));
}
