// Who acts on this tablet: kept from day to day, always shown beside what it signs, one touch to change.
import { askDialog } from "./dialog";
import { fill, h } from "./dom";
import { person } from "./prefs";

// whoLine shows the name, or asks for one; changed is called with another one.
export function whoLine(changed: () => void = () => undefined): HTMLElement {
  const line = h("p", { class: "facts who" });
  const draw = () => {
    const name = person.get();
    fill(line, h("span", {}, name === "" ? "Nobody has said who works here." : ["In the name of ", h("strong", {}, name)]),
      h("button", { type: "button", onclick: () => void ask() }, name === "" ? "Say who" : "Somebody else"));
  };
  const ask = async () => {
    const input: HTMLInputElement = h("input", { id: "who", type: "text", class: "text", autocomplete: "off", value: person.get() });
    const answer = await askDialog("Who works here", () => [
      h("div", { class: "field" }, h("label", { for: "who" }, "Name"), h("div", { class: "help" }, "It is filled in wherever a name is asked for, and stays on this tablet."), input)],
    [{ text: "This is me", value: true, kind: "go" }, { text: "Leave it", value: false }]);
    if (answer) {
      person.set(input.value.trim());
      draw();
      changed();
    }
  };
  draw();
  return line;
}
