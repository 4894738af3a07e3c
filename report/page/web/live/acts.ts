// What a person does while it is recorded: a note, a temperature, where the torch stands, the end of a pass, the end of the recording.
import { api, troubleOf, type Schemas } from "../base/api";
import { askDialog } from "../base/dialog";
import { fill, h, uid, type Child } from "../base/dom";
import { troubleBox } from "../base/notice";
import { numberOf } from "../base/number";
import { link } from "../base/page";
import { person, prefs } from "../base/prefs";
import { say } from "../base/toast";
import type { Said } from "./say";
import { text } from "./values";

const phrases = ["Nozzle cleaned", "Contact tip changed", "Wire spool changed", "Gas bottle changed", "Bead ground back", "Torch moved by hand", "Tacked", "Interruption: somebody was in the way"];

export interface Acts {
  element: HTMLElement;
  set(acts: Said["acts"]): void;
}

export function liveActs(tones: HTMLElement): Acts {
  const button = (words: string, kind: string, act: () => unknown) => h("button", { type: "button", class: `big ${kind}`.trim(), "data-needs": "operate", onclick: act }, words);
  const ending = h("span", { class: "act-more" });
  const end = h("button", { type: "button", class: "big", "data-needs": "operate", onclick: endPass }, h("span", { class: "act-lines" }, h("span", { class: "act-word" }, "End the pass"), ending));
  const buttons = [button("Note", "", note), button("Temperature", "", temperature), button("Torch angle", "", torchAngle), end, button("Stop recording", "stop", stop)];
  return {
    element: h("div", { class: "live-acts", role: "group", "aria-label": "While it is recorded" }, tones, buttons),
    set: (acts) => {
      buttons.forEach((b) => {
        b.disabled = !acts.open || (b === end && !acts.pass);
      });
      text(ending, acts.ending);
    },
  };
}

interface NameField {
  element: Child;
  value(): string;
}

function nameField(refresh: () => void): NameField {
  const id = uid("by");
  const input: HTMLInputElement = h("input", { id, class: "text", type: "text", autocomplete: "name", oninput: refresh });
  input.value = person.get();
  return { element: h("div", { class: "field" }, h("label", { for: id }, "Your name (needed)"), h("div", { class: "entry" }, input)), value: () => input.value.trim() };
}

// Way is one way to end a question: what it says, and what is then put on record; null while something is missing.
interface Way {
  text: string;
  kind?: "go" | "stop" | "plain";
  request(): Schemas["NoteRequest"] | null;
}

// put sends a note and keeps asking until it is kept or given up: nothing typed is lost while the program is away.
async function put(title: string, body: (refresh: () => void) => { content: Child; ways: Way[] }): Promise<void> {
  const wrong = h("div", {});
  const made = body(() => refreshNow());
  let doubted: Schemas["NoteRequest"] | null = null; // as it was sent, with what says it again
  for (;;) {
    const way: Way | null = await askDialog<Way | null>(title, (refresh) => {
      refreshNow = refresh;
      return [wrong, made.content];
    }, [...keeping(doubted), ...made.ways.map((one) => ({ text: one.text, value: one, kind: one.kind ?? "go", ready: () => one.request() !== null })), { text: "Leave it", value: null }]);
    const request: Schemas["NoteRequest"] | null | undefined = way?.request();
    if (!request) {
      return;
    }
    person.set(request.by);
    try {
      const kept = await api.liveNote(request);
      say(kept.said);
      return;
    } catch (thrown) {
      const trouble = troubleOf(thrown);
      const sure = trouble.fields.flatMap((field) => field.keep ?? []);
      doubted = sure.length > 0 ? { ...request, sure } : null;
      fill(wrong, troubleBox(trouble));
    }
  }
}

// keeping is the second touch, which names a value that is only doubted and keeps it.
function keeping(doubted: Schemas["NoteRequest"] | null) {
  const way = doubted === null ? null : { text: `Keep ${doubted.value} all the same`, request: () => doubted };
  return way === null ? [] : [{ text: way.text, value: way, kind: "plain" as const, ready: () => true }];
}

let refreshNow: () => void = () => undefined;

function note(): Promise<void> {
  return put("Put a note on record", (refresh) => {
    const by = nameField(refresh);
    const id = uid("note");
    const area: HTMLTextAreaElement = h("textarea", { id, oninput: refresh });
    const phrase = (words: string) => h("button", { type: "button", onclick: () => {
      area.value = area.value.trim() === "" ? words : `${area.value.trim()}; ${words}`;
      refresh();
    } }, words);
    return {
      content: [
        h("div", { class: "phrases", role: "group", "aria-label": "Phrases" }, phrases.map(phrase)),
        h("div", { class: "field" }, h("label", { for: id }, "In your words"), h("div", { class: "entry" }, area)),
        by.element,
      ],
      ways: [{ text: "Put on record", request: () => (by.value() && area.value.trim() ? { by: by.value(), kind: "text", value: area.value.trim() } : null) }],
    };
  });
}

function temperature(): Promise<void> {
  return put("Temperature of the part", (refresh) => {
    const by = nameField(refresh);
    const id = uid("warm");
    const number = numberInput(id, refresh);
    const unit: HTMLSelectElement = h("select", { "aria-label": "Unit of the temperature", onchange: refresh },
      h("option", { value: "degC" }, "°C"), h("option", { value: "degF" }, "°F"));
    unit.value = prefs.units === "us" ? "degF" : "degC";
    return {
      content: [
        h("div", { class: "field" }, h("label", { for: id }, "Measured"), h("div", { class: "help" }, "Beside the weld, where the procedure has it measured. Hot steel does not look hot."), h("div", { class: "entry" }, number, unit)),
        by.element,
      ],
      ways: [{ text: "Put on record", request: () => (by.value() && isNumber(number) ? { by: by.value(), kind: "temperature", value: `${number.value.trim()} ${unit.value}` } : null) }],
    };
  });
}

const quarters = [0, 90, 180, 270];

// torchAngle asks where the torch stands. A quarter is put on record by the touch itself, for it holds then, and gloves do not type.
function torchAngle(): Promise<void> {
  return put("Where does the torch stand?", (refresh) => {
    const by = nameField(refresh);
    const id = uid("angle");
    const number = numberInput(id, refresh);
    const at = (angle: string) => ({ by: by.value(), kind: "torch_at" as const, value: `${angle} deg` });
    return {
      content: [
        h("p", {}, "In degrees from the reference mark, clockwise seen from the torch side. It holds at the moment of the touch, so let the torch stand still."),
        by.element,
        h("div", { class: "field" }, h("label", { for: id }, "At another angle"), h("div", { class: "help" }, "From -360 to 360."), h("div", { class: "entry" }, number, h("span", {}, "°"))),
      ],
      ways: [
        ...quarters.map((angle): Way => ({ text: angle === 0 ? "0° (the mark)" : `${angle}°`, request: () => (by.value() ? at(String(angle)) : null) })),
        { text: "At the angle typed", kind: "plain", request: () => (by.value() && isNumber(number) && Math.abs(numberOf(number.value) ?? Infinity) <= 360 ? at(number.value.trim()) : null) },
      ],
    };
  });
}

function numberInput(id: string, refresh: () => void): HTMLInputElement {
  return h("input", { id, class: "number", type: "text", inputmode: "decimal", autocomplete: "off", oninput: refresh });
}

const isNumber = (input: HTMLInputElement) => numberOf(input.value) !== null;

function endPass(): Promise<void> {
  return put("End this pass here?", (refresh) => {
    const by = nameField(refresh);
    return {
      content: [h("p", {}, "What the arc does from now on counts to the next pass. This stops neither the arc nor the rotation."), by.element],
      ways: [{ text: "End the pass", kind: "stop", request: () => (by.value() ? { by: by.value(), kind: "end_of_pass" } : null) }],
    };
  });
}

async function stop(): Promise<void> {
  const wrong = h("div", {});
  for (;;) {
    const answer = await askDialog("Stop recording?", () => [wrong,
      h("p", {}, "The recording ends here, and is kept. This does not stop the arc, the wire or the rotation: that is done at the machine.")],
    [{ text: "Stop recording", value: true, kind: "stop" }, { text: "Go on recording", value: false }]);
    if (!answer) {
      return;
    }
    try {
      const ended = await api.stop();
      say(`The recording ${ended.record} has ended; all of it is stored.`);
      location.hash = link("record", ended.record);
      return;
    } catch (thrown) {
      fill(wrong, troubleBox(troubleOf(thrown)));
    }
  }
}
