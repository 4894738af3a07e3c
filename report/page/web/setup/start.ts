// The start of a recording: what is missing and what could hurt is ticked off first. A tick is a person's word, not proof.
import { api, troubleOf, type House } from "../base/api";
import { askDialog } from "../base/dialog";
import { fill, h } from "../base/dom";
import { cautionTicks, troubleBox } from "../base/notice";
import { link } from "../base/page";
import { stateMark } from "../base/state";
import { overdueChecks, type CheckList } from "./checkstate";

// startSection is the big button, with what stands against pressing it.
export function startSection(job: string, record: string, house: House, list: CheckList): HTMLElement {
  const trouble = h("div");
  const row = house.records.find((one) => one.record === record);
  const more = row?.state === "recorded";
  const port: HTMLSelectElement = h("select", { id: "port", class: "text" },
    h("option", { value: "" }, house.virtual_box ? "the virtual sensor box" : "the port that the job names"),
    house.ports.map((name) => h("option", { value: name }, name)));
  const begin = async () => {
    if (!(await confirmed(job, record, more, list))) {
      return;
    }
    fill(trouble);
    try {
      await api.start({ job, record, ...(more ? { more } : {}), ...(port.value ? { port: port.value } : {}) });
      location.hash = "#/live";
    } catch (thrown) {
      fill(trouble, troubleBox(troubleOf(thrown)));
      trouble.scrollIntoView({ block: "center" });
    }
  };
  if (house.recording !== null) {
    return h("section", { class: "plate" }, h("h2", {}, "Start"), h("p", {}, stateMark("recording", `${house.recording} is being recorded; one recording runs at a time.`)),
      h("p", {}, h("a", { class: "button go big", href: "#/live" }, "To the arc")));
  }
  return h("section", { class: "plate", "aria-labelledby": "start-head" }, h("h2", { id: "start-head" }, "Start"),
    h("p", { class: "facts" }, more ? `Goes on in ${record}.` : `Records into ${record}.`,
      list.missing.length > 0 ? stateMark("missing", `missing: ${list.missing.join(", ")}`) : stateMark("done", "every kind of check is on record")),
    h("div", { class: "field" }, h("label", { for: "port" }, "From"), port), trouble,
    h("div", { class: "buttons" }, h("button", { type: "button", class: "go big", onclick: () => void begin() }, "Start recording"),
      h("a", { class: "button big", href: link("plan", job) }, "Look at the plan")));
}

async function confirmed(job: string, record: string, more: boolean, list: CheckList): Promise<boolean> {
  const open = [...list.missing.map((subject) => `${subject} missing`), ...overdueChecks(list).map((subject) => `${subject} past its due day`)];
  const items: [string, string[]][] = [["I have seen to all of this.", cautionTicks]];
  if (open.length > 0) {
    items.unshift(["I record as it is.", [`Set-up checks: ${open.join(", ")}.`, "The uncertainty of a field instrument stands in for a check that is missing, and the record says so."]]);
  }
  const ticked = new Set<number>();
  const answer = await askDialog("Start recording", (refresh) => [
    h("dl", { class: "numbers" }, h("div", {}, h("dt", {}, "Job"), h("dd", {}, job)), h("div", {}, h("dt", {}, more ? "Goes on in the record" : "Record"), h("dd", {}, record))),
    h("p", {}, "A tick is your word; the program can check none of it."),
    h("div", {}, items.map(([words, lines], k) => [h("ul", { class: "to-see-to" }, lines.map((one) => h("li", {}, one))), h("label", { class: "tick" },
      h("input", { type: "checkbox", onchange: (event: Event) => {
        if ((event.target as HTMLInputElement).checked) {
          ticked.add(k);
        } else {
          ticked.delete(k);
        }
        refresh();
      } }), h("span", {}, words))])),
    h("p", { class: "muted" }, "Recording starts no arc, and stops none."),
  ], [
    { text: "Start recording", value: true, kind: "go", ready: () => ticked.size === items.length },
    { text: "Not yet", value: false },
  ]);
  return answer === true;
}
