// The arc as it burns, to be read from two metres away. What is not fresh is struck out, never shown as if it were.
import "./live.css";
import { api, aborted, Trouble, troubleOf, type House, type Live } from "../base/api";
import { fill, h, s, type Child } from "../base/dom";
import { onConnection, onEvent, type Connection } from "../base/events";
import { isNumber } from "../base/gauge";
import { again, cautions, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { onPrefs } from "../base/prefs";
import { icon, stateMark, type Sign } from "../base/state";
import { clockOf, lasting } from "../base/time";
import { against } from "../base/units";
import { liveActs } from "./acts";
import { liveAlarms, type Alarm } from "./alarm";
import { livePass } from "./pass";
import { livePicture } from "./round";
import { liveStrips } from "./strip";
import { liveValues, text } from "./values";

const fresh = 2000; // ms; older is struck out
const shortest = 0.3; // s; what is over before a person could look is no alarm
const fastest = 100; // ms between two drawings

type Phase = "none" | "running" | "over";

const phaseOf = (live: Live | null): Phase => (live === null ? "none" : live.phase === "ended" || live.phase === "failed" ? "over" : "running");

export function livePage(): Page {
  const offs: (() => void)[] = [];
  return {
    title: "The arc",
    quiet: true,
    wide: true,
    render: async (root, signal) => {
      root.classList.add("live");
      let shown: Phase | "" = "";
      let screen: Screen | null = null;
      let stop: AbortController | null = null;
      let record = "";
      const take = (live: Live | null) => {
        const phase = phaseOf(live);
        if (phase === shown && live?.record === record && phase === "running") {
          screen!.take(live!);
          return;
        }
        if (phase === shown && phase !== "running") {
          return;
        }
        stop?.abort();
        stop = new AbortController();
        [shown, record, screen] = [phase, live?.record ?? "", null];
        if (phase === "running") {
          screen = screenOf(stop.signal);
          fill(root, screen.element);
          screen.take(live!);
        } else if (live) {
          fill(root, over(live));
        } else {
          void nothing(root, signal);
        }
      };
      const ask = async () => {
        try {
          take(await api.live(signal));
        } catch (thrown) {
          if (!aborted(thrown) && screen === null) {
            fill(root, troubleBox(troubleOf(thrown), again(ask)));
          }
        }
      };
      signal.addEventListener("abort", () => stop?.abort(), { once: true });
      offs.push(onEvent("live", take), onEvent("restart", ask));
      fill(root, waitBox("Asking how the arc stands …"));
      await ask();
    },
    leave: () => offs.forEach((off) => off()),
  };
}

interface Screen {
  element: HTMLElement;
  take(live: Live): void;
}

// screenOf is the page of a recording that runs.
function screenOf(signal: AbortSignal): Screen {
  const state = stateBox();
  const alarms = liveAlarms(signal);
  const values = liveValues();
  const picture = livePicture();
  const pass = livePass();
  const strips = liveStrips(signal);
  const acts = liveActs();
  const box = linkBox();
  const last = h("section", { class: "last-findings", "aria-label": "Last findings" });
  const element = h("div", { class: "live-grid" },
    state.element, alarms.element, values.main,
    h("div", { class: "live-bore" }, picture.round, picture.depth),
    pass.element, h("div", { class: "live-more" }, values.more, box.element), strips.element, last, acts.element);
  let live: Live | null = null;
  let heard = Date.now(); // when news came last
  let drawn = 0;
  let pending: ReturnType<typeof setTimeout> | undefined;
  let connection: Connection = { state: "good", lastNews: null };
  let told = "";
  const draw = () => {
    pending = undefined;
    drawn = Date.now();
    if (!live) {
      return;
    }
    const news = connection.state === "good" && Date.now() - heard < fresh;
    const signalled = news && hears(live);
    element.dataset["stale"] = signalled ? "" : news ? "box" : "page";
    values.set(live.channels, live.raw);
    picture.set(live, signalled);
    pass.set(live);
    strips.limits(live);
    state.set(live, news, new Date(heard));
    alarms.set(alarmsOf(live, news, new Date(heard)), calmWords(live));
    box.set(live);
    acts.set(live.phase === "recording" && news, live.pass !== null);
    const key = JSON.stringify([live.last_findings, live.counts]);
    if (key !== told) {
      told = key;
      fill(last, lastFindings(live));
    }
  };
  const soon = () => {
    pending ??= setTimeout(draw, Math.max(0, fastest - (Date.now() - drawn)));
  };
  const timer = setInterval(soon, 250);
  const offs = [onConnection((now) => {
    connection = now;
    soon();
  }), onPrefs(soon)];
  signal.addEventListener("abort", () => {
    clearInterval(timer);
    clearTimeout(pending);
    offs.forEach((off) => off());
  }, { once: true });
  return {
    element,
    take: (now) => {
      live = now;
      heard = Date.now();
      soon();
    },
  };
}

// hears tells whether the sensor box is heard: else the numbers are of some time ago.
function hears(live: Live): boolean {
  return live.link.state !== "silent" && live.link.state !== "unplugged" && (live.link.silent_s ?? 0) * 1000 <= fresh;
}

function alarmsOf(live: Live, news: boolean, heard: Date): Alarm[] {
  const since = (Date.now() - heard.getTime()) / 1000;
  if (!news) {
    return [{ key: "page", sign: "unplugged", words: `No news since ${clockOf(heard)}: this tablet does not hear the program. The recording goes on without it.`, lasted: since, lost: true, sure: false }];
  }
  const alarms: Alarm[] = [];
  if (!hears(live) && live.phase === "recording") {
    const sign: Sign = live.link.state === "unplugged" ? "unplugged" : "silent";
    alarms.push({ key: "box", sign, words: live.link.state === "unplugged" ? `Sensor box unplugged: ${live.link.words}` : "Sensor box silent: check its cable and its supply", lasted: live.link.silent_s ?? null, lost: true, sure: false });
  }
  for (const b of live.phase === "recording" ? companions(live) : []) {
    if (b.link.state === "silent" || b.link.state === "unplugged") {
      alarms.push({ key: `box ${b.box}`, sign: b.link.state, words: `${nameOf(b)} ${b.link.state}: the arc is recorded without it`, lasted: b.link.silent_s ?? null, lost: true, sure: false });
    }
  }
  for (const d of live.deviations.filter((one) => one.finding || one.lasted_s >= shortest)) {
    alarms.push({ key: d.rule, sign: "outside", words: deviationWords(d), lasted: d.lasted_s, lost: false, sure: d.finding });
  }
  return alarms;
}

// calmWords stand where there is no alarm: also for what may be as it should be, as wire that is jogged by hand.
function calmWords(live: Live): string {
  if (live.phase === "waiting") {
    return "Waiting for the first sample.";
  }
  return live.seen ? `${live.seen.charAt(0).toUpperCase()}${live.seen.slice(1)}.` : "No value is out of its limits.";
}

// deviationWords are those of the program, with the figures in the units of the person.
function deviationWords(d: Live["deviations"][number]): string {
  let words = d.words;
  if (isNumber(d.value) && isNumber(d.limit) && d.unit && d.unit !== "s") {
    const [value, limit] = against(d.value, d.limit, d.unit);
    words = `${d.rule.replaceAll("_", " ")} ${value}, limit ${limit}`;
  }
  return words.charAt(0).toUpperCase() + words.slice(1);
}

type Arc = "on" | "off" | "gap" | "lost" | "waiting";

const arcWords: Record<Arc, string> = { on: "ARC ON", off: "ARC OFF", gap: "IN THE GAP", lost: "NO SIGNAL", waiting: "WAITING" };

// stateBox is the big word for the arc, with the clocks beside it.
function stateBox(): { element: HTMLElement; set(live: Live, news: boolean, heard: Date): void } {
  const eye = h("div", { class: "arc-eye" });
  const word = h("strong", { class: "arc-word" });
  const since = h("span", { class: "arc-since" });
  const ofPass = h("dd", {});
  const ofJob = h("dd", {});
  const element = h("section", { class: "arc-state", "aria-label": "Arc" }, eye, h("div", {}, word, since),
    h("dl", { class: "arc-clocks" }, h("div", {}, h("dt", {}, "arc time, pass"), ofPass), h("div", {}, h("dt", {}, "arc time, job"), ofJob)));
  return {
    element,
    set: (live, news, heard) => {
      const arc: Arc = live.phase === "waiting" ? "waiting" : !news || !hears(live) ? "lost" : live.arc_on ? "on" : live.in_gap ? "gap" : "off";
      const words = !news ? "NO NEWS" : arcWords[arc];
      if (element.dataset["arc"] !== arc + words) {
        element.dataset["arc"] = arc + words;
        element.className = `arc-state arc-${arc}`;
        fill(eye, arcShape(arc));
      }
      text(word, words);
      text(since, !news ? `since ${clockOf(heard)}` : arc === "lost" ? (isNumber(live.link.silent_s) ? `for ${lasting(live.link.silent_s)}` : "") :
        isNumber(live.steady_s) ? `for ${lasting(live.steady_s)}${arc === "on" && live.in_gap ? ", where a gap is planned" : ""}` : "");
      text(ofPass, clock(live.pass?.arc_time_s));
      text(ofJob, clock(live.arc_time_s));
    },
  };
}

// clock counts minutes and seconds as a stop watch does: 6:17, 1:06:17.
function clock(seconds: number | null | undefined): string {
  if (!isNumber(seconds)) {
    return "—";
  }
  const whole = Math.floor(seconds);
  const two = (n: number) => String(n).padStart(2, "0");
  const minutes = Math.floor(whole / 60);
  return minutes < 60 ? `${minutes}:${two(whole % 60)}` : `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${two(whole % 60)}`;
}

// arcShape: a burning arc has rays, one that is out is an empty ring, a gap is a ring with a piece left out.
function arcShape(arc: Arc): Child {
  if (arc === "lost" || arc === "waiting") {
    return icon(arc === "lost" ? "silent" : "due");
  }
  return s("svg", { viewBox: "0 0 24 24", class: "icon", "aria-hidden": "true" }, arc === "on"
    ? [s("circle", { cx: 12, cy: 12, r: 5.5, class: "solid" }), s("path", { d: "M12 .8v4M12 19.2v4M.8 12h4M19.2 12h4M4 4l2.8 2.8M17.2 17.2 20 20M4 20l2.8-2.8M17.2 6.8 20 4", class: "line" })]
    : arc === "off" ? s("circle", { cx: 12, cy: 12, r: 9, class: "line" })
      : s("path", { d: "M17.5 4.9A9 9 0 1 1 6.5 4.9M6.5 1.5v6.8M17.5 1.5v6.8", class: "line" }));
}

type Box = Live["boxes"][number];

// companions are the boxes beside the one that tells the arc.
function companions(live: Live): Box[] {
  return live.boxes.filter((one) => one.box !== 0);
}

function nameOf(b: Box): string {
  return `Sensor box ${[b.name, b.serial].filter((one) => one).join(" ") || "without a name"} on ${b.link.port}`;
}

// howHeard says what has come of a box.
function howHeard(l: Live["link"]): string {
  const rate = isNumber(l.rate) ? `${Math.round(l.rate)} samples a second` : "sampling rate not known";
  return `${rate}; ${l.frames} frames, ${l.lost} lost, ${l.damaged} damaged, ${l.gaps} gaps${isNumber(l.silent_s) && l.silent_s >= 1 ? `; silent for ${lasting(l.silent_s)}` : ""}`;
}

function linkBox(): { element: HTMLElement; set(live: Live): void } {
  const element = h("div", { class: "link-boxes" });
  let key = "";
  const keyOf = (l: Live["link"]) => `${l.state}|${l.words}|${Math.round(l.rate ?? -1)}|${l.frames >> 7}|${l.lost}|${l.damaged}|${l.gaps}|${Math.floor(l.silent_s ?? -1)}`;
  const row = (l: Live["link"], words: string) => h("div", { class: "link-box" },
    stateMark(l.state, `box ${l.state}`), h("span", {}, words), h("span", { class: "muted" }, howHeard(l)));
  return {
    element,
    set: (live) => {
      const others = companions(live);
      const now = [live.link, ...others.map((b) => b.link)].map(keyOf).join("\n") + JSON.stringify(live.whose);
      if (now !== key) {
        key = now;
        fill(element, row(live.link, live.link.words), whose(live), others.map((b) => row(b.link, `${nameOf(b)}: ${b.link.words}`)));
      }
    },
  };
}

// whose names the box that measures, and stands out where it is another one or no calibration is its own.
function whose(live: Live): Child {
  const { words, change, without } = live.whose;
  const trouble = [change, without.length > 0 ? `no calibration: ${without.map((one) => one.replaceAll("_", " ")).join(", ")}; those on record are of another box` : null].filter((one) => one !== null);
  return h("span", { class: "whose" }, words, trouble.length > 0 ? h("strong", { role: "alert" }, icon("caution"), ` ${trouble.join("; ")}`) : null);
}

function lastFindings(live: Live): Child {
  const found = live.last_findings ?? [];
  return [
    h("h2", {}, live.counts.findings === 0 ? "No findings so far" : `Findings: ${live.counts.findings}`,
      h("small", {}, ` ${counted(live.counts.passes, "pass", "passes")} done, ${counted(live.counts.warnings, "warning", "warnings")}`)),
    found.length === 0 ? null : h("ol", {}, found.map((f, k) => h("li", {}, icon("open"), h("strong", {}, String(live.counts.findings - k)), h("span", {}, f.sentence)))),
  ];
}

function counted(n: number, one: string, many: string): string {
  return `${n} ${n === 1 ? one : many}`;
}

// over says how a recording ended, and leads to its review.
function over(live: Live): Child {
  const failed = live.phase === "failed";
  return h("div", { class: "live-over" },
    failed
      ? troubleBox(new Trouble(-1, `The recording failed: ${live.trouble?.error ?? "why is not known"}`, live.trouble?.hint ?? ""))
      : h("div", { class: "box" }, icon("done"), h("div", {}, h("p", {}, h("strong", {}, `The recording ${live.record} has ended.`)),
        h("p", {}, `${counted(live.counts.passes, "pass", "passes")}, arc ${lasting(live.arc_time_s)}, ${counted(live.counts.findings, "finding", "findings")}. All of it is stored.`))),
    h("div", { class: "buttons" }, h("a", { class: "button go big", href: link("record", live.record) }, "To the review"),
      h("a", { class: "button big", href: link("checks", live.job_file) }, failed ? "Start again" : "Checks and start"), h("a", { class: "button big", href: "#/" }, "To all jobs")));
}

// nothing says that nothing is recorded, and where one begins.
async function nothing(root: HTMLElement, signal: AbortSignal): Promise<void> {
  const jobs = h("div", {}, waitBox("Looking for jobs …"));
  fill(root, h("div", { class: "live-over" }, h("div", { class: "box" }, icon("idle"), h("div", {}, h("p", {}, h("strong", {}, "Nothing is being recorded.")),
    h("p", {}, "A recording begins with a job: its set-up checks first, then the start."))), jobs));
  try {
    const house: House = await api.house(signal);
    const good = house.jobs.filter((job) => job.error === null);
    fill(jobs, h("div", { class: "buttons" }, good.map((job) => h("a", { class: "button go big", href: link("checks", job.file) }, `Checks and start: ${job.name ?? job.file}`)),
      h("a", { class: "button big", href: "#/" }, good.length === 0 ? "There is no job yet: make one" : "To all jobs")), cautions(false));
  } catch (thrown) {
    if (!aborted(thrown)) {
      fill(jobs, troubleBox(troubleOf(thrown)));
    }
  }
}
