// Who acts on this tablet: kept from day to day, always shown beside what it signs, one touch to change.
import { askDialog } from "./dialog";
import { fill, h } from "./dom";
import { person } from "./prefs";

// whoLine shows the name, or asks for one; known is who was named last on this machine, and is offered, not taken.
export function whoLine(known: string | null = null): HTMLElement {
  const line = h("div", { class: "facts who" });
  const take = (name: string) => {
    person.set(name);
    draw();
  };
  const draw = () => {
    const name = person.get();
    fill(line, h("span", {}, name !== "" ? ["In the name of ", h("strong", {}, name)] : known ? ["Last here: ", h("strong", {}, known)] : "Nobody has said who works here."),
      name === "" && known ? h("button", { type: "button", onclick: () => take(known) }, "That is me") : null,
      h("button", { type: "button", onclick: () => void ask() }, name === "" && !known ? "Say who" : "Somebody else"));
  };
  const ask = async () => {
    const input: HTMLInputElement = h("input", { id: "who", type: "text", class: "text", autocomplete: "off", value: person.get() });
    const answer = await askDialog("Who works here", () => [
      h("div", { class: "field" }, h("label", { for: "who" }, "Name"), h("div", { class: "help" }, "It is filled in wherever a name is asked for, and stays on this tablet."), input)],
    [{ text: "This is me", value: true, kind: "go" }, { text: "Leave it", value: false }]);
    if (answer) {
      take(input.value.trim());
    }
  };
  draw();
  return line;
}
