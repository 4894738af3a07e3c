// The alarms: two calls in fixed places, told in shape, words and time, once by voice, and by tone. What was out stands there until
// it is touched. The further calls are counted, and told on touch.
import { api, troubleOf } from "../base/api";
import { askDialog } from "../base/dialog";
import { may } from "../base/door";
import { fill, h, s } from "../base/dom";
import { onPrefs, prefs } from "../base/prefs";
import { icon } from "../base/state";
import { say } from "../base/toast";
import { fit } from "./fit";
import type { Said } from "./say";
import type { Call } from "./saycalls";
import { canSound, play, wakeSound } from "./sound";
import { text } from "./values";

export interface Alarms {
  element: HTMLElement;
  touched: ReadonlySet<string>;
  set(record: string, said: Said): void;
}

const again = 5000; // ms between two soundings

// How large letters are, and how large they look. On a tablet of 10 inch with 1280 x 800 the pixels lie
//
//	p = 10 in * 25.4 mm/in / sqrt(1280^2 + 800^2) = 0.168 mm
//
// apart. A capital letter of s px is 0.71 s high where its font has capitals of 0.71 em (from memory, not measured), and from D = 2000 mm it fills
//
//	a = 0.71 * s * p / D * 3437.7 arc min        (1 rad = 3437.7 arc min)
//
// That is 8.2 arc min for the 40 px that no alarm falls below, and 16.0 for 78 px, which the first call has where its words are
// short, and the figure of the heat input where it fits; those of voltage and current have 64 to 78 px. Wanted are 16 at least and
// 20 to 22 for reading (NUREG-0700 rev. 2, 1.3.1-4). So at 2 m only the largest letters reach the least that is wanted, and what
// stands in 40 px does not: it does at 1 m (16.4).
const leadSizes = [78, 64, 54, 46, 40];
const smallest = [40];
const narrow = matchMedia("(max-width: 760px)"); // a phone, which is held in the hand

export function liveAlarms(signal: AbortSignal): Alarms {
  const touched = new Set<string>();
  let record = "";
  let calls: Call[] = [];
  const touch = (these: Call[]) => void seen(record, these, touched);
  const slots = [slot("lead", leadSizes, [40, 34, 28], touch), slot("second", smallest, [22], touch)];
  const calm = h("p", { class: "alarm-calm" });
  const voice = h("div", { class: "unseen", role: "alert" });
  const more = h("button", { type: "button", onclick: () => void list(calls, touch) }, "");
  const all = h("button", { type: "button", "data-needs": "operate", onclick: () => touch(calls) }, "Seen all");
  const element = h("section", { class: "alarms-box", "aria-label": "Alarms" },
    h("div", { class: "alarm-list" }, slots.map((one) => one.element)), h("div", { class: "alarm-tools" }, more, all), calm, voice);
  const sound = () => {
    const loud = calls.filter((c) => c.loud);
    if (prefs.sound && loud.length > 0) {
      play(loud.some((c) => c.lost) ? "lost" : "deviation");
    }
  };
  const timer = setInterval(sound, again);
  signal.addEventListener("abort", () => clearInterval(timer), { once: true });
  return {
    element, touched,
    set: (name, said) => {
      const before = calls;
      [record, calls] = [name, said.calls];
      const fresh = calls.filter((c) => !before.some((b) => b.id === c.id)); // also what came and went between two drawings
      const out = (these: Call[]) => these.some((c) => c.now);
      forget(touched, before, calls);
      slots.forEach((one, k) => one.set(calls[k] ?? null));
      element.classList.toggle("calm", calls.length === 0);
      const further = calls.length - slots.length + said.unlisted;
      more.hidden = further <= 0;
      text(more, `${further} more`);
      all.hidden = !calls.some((c) => !c.touched);
      calm.hidden = calls.length > 0;
      text(calm, said.calm);
      fresh.forEach((c) => voice.append(h("p", {}, c.whole)));
      while (voice.childElementCount > 4) {
        voice.firstElementChild!.remove();
      }
      if (fresh.some((c) => c.loud)) {
        sound();
      } else if (out(before) && !out(calls) && prefs.sound) {
        play("over");
      }
    },
  };
}

// forget lets a call that went and comes again be a new one.
function forget(touched: Set<string>, before: Call[], calls: Call[]): void {
  before.filter((b) => b.alarm === null && !calls.some((c) => c.id === b.id)).forEach((b) => touched.delete(b.id));
}

// seen puts calls away: what is over goes, what is still out is silent. The program is told, so that other tablets see it too.
async function seen(record: string, calls: Call[], touched: Set<string>): Promise<void> {
  calls.forEach((c) => touched.add(c.id));
  const ids = calls.map((c) => c.alarm).filter((id) => id !== null);
  say(calls.length === 1 ? `Seen: ${calls[0]!.whole}` : `${calls.length} alarms are seen.`);
  if (ids.length === 0) {
    return;
  }
  try {
    await api.seen({ record, ids });
  } catch (thrown) {
    calls.forEach((c) => touched.delete(c.id));
    say(`Not put away: ${troubleOf(thrown).error}`, "unplugged");
  }
}

interface Slot {
  element: HTMLElement;
  set(call: Call | null): void;
}

// slot is the place of one call: all of it is one button, whose touch puts the call away and tells all of it.
function slot(name: string, sizes: number[], inHand: number[], touch: (calls: Call[]) => void): Slot {
  const words = h("strong", { class: "alarm-words" });
  const state = h("span", { class: "alarm-state" });
  const where = h("span", { class: "alarm-where" });
  const shape = h("span", { class: "alarm-shape" });
  let call: Call | null = null;
  let key = "";
  const element: HTMLElement = h("button", { type: "button", class: `alarm ${name}`, hidden: true, "data-needs": "operate", onclick: () => call && touch([call]) }, shape, words, state, where);
  return {
    element,
    set: (now) => {
      call = now;
      element.hidden = now === null;
      if (now === null) {
        return;
      }
      const look = `alarm ${name} sign-${now.sign} ${now.now ? "" : "over"} ${now.touched ? "touched" : ""}`;
      if (key !== look) {
        key = look;
        element.className = look;
        fill(shape, icon(now.sign));
      }
      fit(words, now.forms, narrow.matches ? inHand : sizes);
      if (name === "lead" && !narrow.matches) {
        fit(state, now.states, smallest);
      } else {
        text(state, now.states[0] ?? "");
      }
      const told = [now.touched ? "seen" : "", words.textContent!.includes(now.side) ? "" : now.side, now.where].filter((one) => one !== "");
      text(where, told.join(", "));
      const whole = `${now.touched ? "Seen" : "Touch when seen"}: ${now.whole}`;
      if (element.title !== whole) {
        element.title = whole;
      }
    },
  };
}

// list tells all calls in full.
async function list(calls: Call[], touch: (calls: Call[]) => void): Promise<void> {
  const told = [...calls];
  const answer = await askDialog("What was and is out", () => h("ol", { class: "alarm-all" }, told.map((c) => h("li", { class: `sign-${c.sign}` }, icon(c.sign), h("span", {}, c.whole)))),
    [...(may("operate") ? [{ text: "Seen all", value: true, kind: "go" as const }] : []), { text: "Leave them", value: false }]);
  if (answer) {
    touch(told);
  }
}

// liveTones is the button that shows whether alarms are heard, and turns them on and off.
export function liveTones(say: (on: boolean, can: boolean) => { sign: Call["sign"]; word: string; more: string }, turn: (on: boolean) => void, signal: AbortSignal): HTMLElement {
  const shape = h("span", {});
  const word = h("span", { class: "act-word" });
  const more = h("span", { class: "act-more" });
  const button = h("button", { type: "button", class: "big tones", onclick: () => turn(!prefs.sound) }, shape, h("span", { class: "act-lines" }, word, more));
  const draw = () => {
    const said = say(prefs.sound, canSound());
    fill(shape, speaker(said.sign));
    text(word, said.word);
    text(more, said.more);
  };
  signal.addEventListener("abort", onPrefs(draw), { once: true });
  wakeSound(draw, signal);
  draw();
  return button;
}

// speaker is the loudspeaker: with waves, with a cross, or with a hand's touch to wait for.
function speaker(sign: Call["sign"]): SVGSVGElement {
  const d = sign === "good" ? "M16.5 8.5a5 5 0 0 1 0 7M19 5.5a9 9 0 0 1 0 13" : sign === "idle" ? "m16.5 9 5.5 6M22 9l-5.5 6" : "M19 7v6M19 16v1.6";
  return s("svg", { viewBox: "0 0 24 24", class: `icon sign-${sign}`, "aria-hidden": "true" }, s("path", { d: "M3 9h4l6-5v16l-6-5H3z", class: "solid" }), s("path", { d, class: "line" }));
}
