// The start of a recording: from where, into what, and the button. What is missing is asked for once, on the sheet before the arc.
import { api, troubleOf, type House } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { troubleBox } from "../base/notice";
import { link } from "../base/page";
import { stateMark } from "../base/state";
import { beforeArc, type Point } from "./before";

export interface Place {
  job: string;
  record: string;
  port: string; // empty: the one that the job names, or the virtual box
}

// startSection is the big button; where is the choice of the record, changed hears of another port, mend opens a check.
export function startSection(place: Place, house: House, points: Point[], where: Child, changed: (port: string) => void, mend: (kind: string) => void): HTMLElement {
  const { job, record } = place;
  const trouble = h("div");
  const more = house.records.find((one) => one.record === record)?.state === "recorded";
  const port: HTMLSelectElement = h("select", { id: "port", class: "text", onchange: () => changed(port.value) },
    h("option", { value: "" }, house.virtual_box ? "the virtual sensor box" : "the port that the job names"),
    house.ports.map((name) => h("option", { value: name }, name)));
  port.value = place.port;
  const begin = async () => {
    fill(trouble);
    try {
      const knowing = await beforeArc(job, record, port.value, mend);
      if (knowing === null) {
        return;
      }
      await api.start({ job, record, ...(more ? { more } : {}), ...(port.value ? { port: port.value } : {}), ...knowing });
      location.hash = "#/live";
    } catch (thrown) {
      fill(trouble, troubleBox(troubleOf(thrown)));
      trouble.scrollIntoView({ block: "center" });
    }
  };
  const head = h("h2", { id: "start-head" }, "Start");
  if (house.recording !== null) {
    return h("section", { class: "plate", "aria-labelledby": "start-head" }, head, h("p", {}, stateMark("recording", `${house.recording} is being recorded; one recording runs at a time.`)),
      h("p", {}, h("a", { class: "button go big", href: "#/live" }, "To the arc")));
  }
  const stops = points.filter((point) => point.state === "stops");
  return h("section", { class: "plate", "aria-labelledby": "start-head" }, head,
    h("div", { class: "two" }, where, h("div", { class: "field" }, h("label", { for: "port" }, "From"), port)), trouble,
    h("div", { class: "buttons" }, h("button", { type: "button", class: "go big", "data-needs": "operate", onclick: () => void begin() }, more ? "Go on: start recording" : "Start recording"),
      h("a", { class: "button big", href: link("plan", job) }, "Look at the plan"),
      stops.length > 0 ? stateMark("broken", stops[0]!.says)
        : points.length > 0 ? stateMark("missing", `${points.length === 1 ? "1 thing is" : `${points.length} things are`} missing or doubtful`) : stateMark("done", "nothing is missing")));
}
