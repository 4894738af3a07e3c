// Who speaks on the serial ports: a list to touch, which fills in a sensor of the job.
import { api, troubleOf, type PortRow } from "../base/api";
import { fill, h } from "../base/dom";
import { noteBox, troubleBox, waitBox } from "../base/notice";
import { stateMark, type Sign } from "../base/state";
import type { Values } from "./values";

const signs: Record<PortRow["state"], [Sign, string]> = {
  speaks: ["good", "a box speaks"],
  meter: ["doubtful", "a plain meter, as far as one can tell"],
  unknown: ["doubtful", "not understood"],
  silent: ["silent", "silent"],
  busy: ["missing", "in use"],
  closed: ["broken", "cannot be opened"],
};

// portFinder is the button, and the list that it brings; take is told what stands in a sensor's fields.
export function portFinder(take: (values: Values) => void): HTMLElement {
  const list = h("div");
  const button: HTMLButtonElement = h("button", { type: "button", "data-needs": "operate", onclick: () => void listen() }, "Find the boxes that are plugged in");
  const listen = async () => {
    button.disabled = true;
    fill(list, waitBox("Listening to the ports, at every usual baud rate; it takes up to a minute …"));
    try {
      const rows = await api.listen();
      fill(list, rows.length === 0
        ? noteBox(h("p", {}, h("strong", {}, "No serial port is there.")), h("p", {}, "Plug in the sensor box, and check its cable and supply."))
        : h("ul", { class: "ports", "aria-label": "Ports that are plugged in" }, rows.map((row) => portRow(row, take))));
    } catch (thrown) {
      fill(list, troubleBox(troubleOf(thrown)));
    } finally {
      button.disabled = false;
    }
  };
  return h("div", { class: "finder" }, h("p", {}, button), list);
}

function portRow(row: PortRow, take: (values: Values) => void): HTMLElement {
  const understood = Object.keys(row.values).length > 0;
  return h("li", {}, h("p", {}, stateMark(...signs[row.state]), " ", h("code", {}, row.port)),
    row.says ? h("p", {}, row.says) : null,
    row.problem ? h("p", {}, h("strong", {}, row.problem)) : null, row.hint ? h("p", { class: "muted" }, row.hint) : null,
    row.state === "meter" ? h("p", { class: "muted" }, "Say below which of its columns is what.") : null,
    understood ? h("p", {}, h("button", { type: "button", onclick: () => take(row.values) }, "Record from this one", h("span", { class: "unseen" }, `: ${row.port}`))) : null);
}
