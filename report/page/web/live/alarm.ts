// What is out of its limits now, and what is not heard: told in shape, words and time, once by voice, and by tone.
import { fill, h } from "../base/dom";
import { onPrefs, prefs } from "../base/prefs";
import { icon, type Sign } from "../base/state";
import { lasting } from "../base/time";
import { canSound, play, wakeSound } from "./sound";
import { text } from "./values";

export interface Alarm {
  key: string;
  sign: Sign;
  words: string;
  lasted: number | null; // s
  lost: boolean; // not heard, in place of out of limits
  sure: boolean; // a finding already
}

export interface Alarms {
  element: HTMLElement;
  set(alarms: Alarm[], calm: string): void;
}

const again = 5000; // ms between two soundings

export function liveAlarms(signal: AbortSignal): Alarms {
  const list = h("ul", { class: "alarm-list" });
  const calm = h("p", { class: "alarm-calm" });
  const voice = h("div", { class: "unseen", role: "alert" });
  const quiet = h("button", { type: "button", class: "stop", hidden: true, onclick: () => hush() }, "Silence");
  const dumb = h("p", { class: "alarm-dumb", hidden: true }, icon("caution"), h("span", {}, "Touch the page once for sound."));
  const element = h("section", { class: "alarms-box", "aria-label": "Alarms" }, h("div", { class: "alarm-body" }, list, calm, dumb), quiet, voice);
  const rows = new Map<string, HTMLElement>();
  const hushed = new Set<string>();
  let now: Alarm[] = [];
  const hush = () => {
    now.forEach((a) => hushed.add(a.key));
    buttons();
  };
  const loud = () => prefs.sound && now.some((a) => !hushed.has(a.key));
  const buttons = () => {
    quiet.hidden = !(loud() && canSound());
    dumb.hidden = !(prefs.sound && !canSound());
  };
  const sound = () => {
    if (loud()) {
      play(now.some((a) => a.lost && !hushed.has(a.key)) ? "lost" : "deviation");
    }
  };
  const timer = setInterval(sound, again);
  const off = onPrefs(buttons);
  signal.addEventListener("abort", () => {
    clearInterval(timer);
    off();
  }, { once: true });
  wakeSound(buttons, signal);
  return {
    element,
    set: (alarms, words) => {
      const fresh = alarms.filter((a) => !rows.has(a.key));
      const gone = [...rows.keys()].filter((key) => !alarms.some((a) => a.key === key));
      gone.forEach((key) => {
        rows.get(key)!.remove();
        rows.delete(key);
        hushed.delete(key);
      });
      for (const a of fresh) {
        const row = h("li", {});
        rows.set(a.key, row);
        list.append(row);
        voice.append(h("p", {}, a.words));
      }
      while (voice.childElementCount > 4) {
        voice.firstElementChild!.remove();
      }
      alarms.forEach((a) => show(rows.get(a.key)!, a));
      now = alarms;
      element.classList.toggle("calm", alarms.length === 0);
      calm.hidden = alarms.length > 0;
      text(calm, words);
      buttons();
      if (fresh.length > 0) {
        sound();
      } else if (gone.length > 0 && alarms.length === 0 && prefs.sound) {
        play("over");
      }
    },
  };
}

function show(row: HTMLElement, a: Alarm): void {
  const key = `${a.sign} ${a.sure}`;
  if (row.dataset["key"] !== key) {
    row.dataset["key"] = key;
    row.className = `alarm sign-${a.sign}`;
    fill(row, icon(a.sign), h("span", {}, h("strong", { class: "alarm-words" }), " ", h("span", { class: "alarm-for" }), a.sure ? [" ", h("span", { class: "alarm-sure" }, "finding")] : null));
  }
  text(row.querySelector(".alarm-words")!, a.words);
  text(row.querySelector(".alarm-for")!, a.lasted === null ? "" : `for ${lasting(a.lasted)}`);
}
