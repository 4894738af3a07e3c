// Pairing: this device shows the code that stands at the machine. The keys are for gloves.
import { api, aborted, troubleOf, Trouble } from "../base/api";
import { take, learn, type Standing } from "../base/door";
import { fill, h } from "../base/dom";
import { again, noteBox, troubleBox, waitBox } from "../base/notice";
import type { Page } from "../base/page";
import { remember, remembered } from "../base/prefs";
import { icon } from "../base/state";

const figures = 8;

export function pairPage(paired: () => void): Page {
  let timer: ReturnType<typeof setInterval> | undefined;
  return {
    title: "Pair this device",
    render: async (root) => {
      fill(root, waitBox("Asking the machine …"));
      const begin = async () => {
        try {
          const now = await learn();
          clearInterval(timer);
          timer = form(root, now, paired);
        } catch (thrown) {
          if (!aborted(thrown)) {
            fill(root, troubleBox(troubleOf(thrown), again(begin)));
          }
        }
      };
      await begin();
    },
    leave: () => clearInterval(timer),
  };
}

// form is the page once the machine has answered; it gives the timer that counts what has to be waited for.
function form(root: HTMLElement, standing: Standing, paired: () => void): ReturnType<typeof setInterval> {
  let until = performance.now() + 1000 * standing.wait_s; // it may try again then, and not a moment before
  let busy = false;
  const trouble = h("div", { role: "alert" });
  const waiting = h("p", { class: "pair-wait", role: "status" });
  const code: HTMLInputElement = h("input", { id: "code", class: "pair-code", type: "text", inputmode: "none", autocomplete: "one-time-code", maxlength: figures + 1, "aria-describedby": "code-help", oninput: () => draw() });
  const name: HTMLInputElement = h("input", { id: "device", class: "text", type: "text", autocomplete: "off", maxlength: 40, oninput: () => draw() });
  name.value = remembered("device") ?? (innerWidth < 600 ? "Phone" : "Tablet");
  const go: HTMLButtonElement = h("button", { type: "submit", class: "go big" }, "Pair");
  const only = () => code.value.replace(/\D/g, "").slice(0, figures);
  const draw = () => {
    const typed = only();
    const wait = Math.max(0, Math.ceil((until - performance.now()) / 1000));
    code.value = typed.length > 4 ? `${typed.slice(0, 4)} ${typed.slice(4)}` : typed;
    go.disabled = busy || wait > 0 || typed.length < figures || name.value.trim() === "";
    fill(waiting, wait > 0 ? [icon("due"), ` Wait ${wait} s before the next try.`] : null);
  };
  const key = (words: string, about: string, act: () => void) => h("button", { type: "button", class: "pair-key", "aria-label": about, onclick: () => {
    act();
    draw();
  } }, words);
  const keys = [..."123456789"].map((n) => key(n, n, () => { code.value = only() + n; }));
  const send = async (event: Event) => {
    event.preventDefault();
    if (go.disabled) {
      return;
    }
    busy = true;
    draw();
    fill(trouble);
    remember("device", name.value.trim());
    try {
      take(await api.pair({ code: only(), name: name.value.trim() }));
      paired();
      return;
    } catch (thrown) {
      fill(trouble, troubleBox(troubleOf(thrown)));
      if (thrown instanceof Trouble && ![422, 429].includes(thrown.status) && !thrown.offline) { // it was tried
        code.value = "";
      }
    }
    const wait = await api.standing().then((now) => now.wait_s, () => 0);
    until = performance.now() + 1000 * wait;
    busy = false;
    draw();
  };
  fill(root,
    noteBox(h("p", {}, "The machine shows a code: in the terminal in which it was started, and on its own page Devices. It lets one device in, once.")),
    standing.open_for === 0 ? h("p", {}, icon("missing"), " The machine shows no code now. Have one shown there first.") : null,
    trouble,
    h("form", { class: "pair", onsubmit: send },
      h("div", {},
        h("div", { class: "field" }, h("label", { for: "device" }, "Name of this device (needed)"), h("div", { class: "help" }, "It stands on record beside what is done here. Tablet at the bore, for example."), name),
        h("div", { class: "field" }, h("label", { for: "code" }, "Code"), h("div", { class: "help", id: "code-help" }, `${figures} figures`), code),
        waiting),
      h("div", { class: "pair-keys", role: "group", "aria-label": "Keys" }, keys,
        key("Clear", "Clear", () => { code.value = ""; }), key("0", "0", () => { code.value = only() + "0"; }), key("⌫", "Take the last figure away", () => { code.value = only().slice(0, -1); }), go)));
  draw();
  return setInterval(() => {
    if (waiting.hasChildNodes()) {
      draw();
    }
  }, 500);
}
