// Questions in a <dialog>, which keeps the focus and gives it back; Escape is the answer null.
import { h, uid, type Child } from "./dom";

export interface Choice<T> {
  text: string;
  value: T;
  kind?: "go" | "stop" | "plain";
  ready?: () => boolean; // the button is off while this says no; look again with refresh
}

// askDialog shows content and waits for one of the choices.
export function askDialog<T>(title: string, content: (refresh: () => void, end: (value: T | null) => void) => Child, choices: Choice<T>[]): Promise<T | null> {
  return new Promise((resolve) => {
    const heading = uid("dialog");
    const buttons = choices.map((choice) => h("button", { type: "button", class: choice.kind ?? "plain", onclick: () => end(choice.value) }, choice.text));
    const refresh = () => choices.forEach((choice, k) => {
      buttons[k]!.disabled = choice.ready ? !choice.ready() : false;
    });
    const dialog = h("dialog", { "aria-labelledby": heading },
      h("h2", { id: heading, tabindex: "-1" }, title),
      h("div", { class: "dialog-body" }, content(refresh, (value) => end(value))),
      h("div", { class: "buttons" }, buttons));
    const left = () => end(null); // the page under it is gone
    const end = (value: T | null) => {
      removeEventListener("hashchange", left);
      dialog.close();
      dialog.remove();
      resolve(value);
    };
    dialog.addEventListener("cancel", (event) => {
      event.preventDefault();
      end(null);
    });
    addEventListener("hashchange", left);
    document.body.append(dialog);
    refresh();
    dialog.showModal();
    dialog.querySelector("h2")?.focus();
  });
}
