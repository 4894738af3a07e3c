// The record on paper and as files, and the question whether it is whole.
import { api, aborted, troubleOf } from "../base/api";
import { fill, h } from "../base/dom";
import { troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { prefs } from "../base/prefs";
import { stateMark } from "../base/state";
import { choices } from "./choices";

const files: [string, string, string][] = [
  ["pdf", "PDF", "the weld record, to print, sign and keep"],
  ["html", "Web page", "the weld record in one file that any browser opens"],
  ["csv", "CSV, samples", "every sample of every channel as text; an hour of arc can be gigabytes"],
  ["passes.csv", "CSV, passes", "one line a pass"],
  ["findings.csv", "CSV, findings", "one line a finding"],
  ["parquet", "Parquet", "for programs that compute with it"],
  ["json", "JSON", "passes and findings, in full precision"],
];

export function paperPage(record: string): Page {
  return {
    title: `Print and files: ${record}`,
    trail: [{ text: "Home", href: "#/" }, { text: record, href: link("record", record) }],
    render: (root, signal) => {
      const links = h("ul", { class: "strips" });
      const draw = () => fill(links, files.map(([form, name, what]) => {
        const printed = form === "pdf" || form === "html";
        const href = api.file(record, form, printed ? { paper: paper.value() === "US Letter" ? "letter" : "a4", units: units.value() === "US" ? "us" : "metric" } : {});
        return h("li", { class: "file" }, h("a", { class: printed ? "button go big" : "button big", href, download: `${record}.${form}` }, name), h("span", { class: "muted" }, what));
      }));
      const paper = choices("Paper", ["A4", "US Letter"], prefs.units === "us" ? "US Letter" : "A4", draw);
      const units = choices("Units on paper", ["metric", "US"], prefs.units === "us" ? "US" : "metric", draw);
      const whole = h("div", { role: "status" });
      const check = async () => {
        fill(whole, waitBox("Reading the whole record …"));
        try {
          const answer = await api.integrity(record, signal);
          fill(whole, h("div", { class: answer.whole ? "box" : "box box-trouble" }, h("span"), h("div", {},
            h("p", {}, stateMark(answer.whole ? "done" : "broken", answer.whole ? "whole" : "not whole")), h("p", { class: "said" }, answer.text), answer.hint ? h("p", {}, answer.hint) : null)));
        } catch (thrown) {
          if (!aborted(thrown)) {
            fill(whole, troubleBox(troubleOf(thrown)));
          }
        }
      };
      const fingerprint = h("p", { class: "fingerprint" }, "…");
      draw();
      fill(root, h("div", { class: "two" }, paper.element, units.element),
        h("section", { "aria-labelledby": "files-head" }, h("h2", { id: "files-head" }, "Files"), links),
        h("section", { class: "plate", "aria-labelledby": "whole-head" }, h("h2", { id: "whole-head" }, "Is the record whole?"),
          h("p", {}, "Reads all of it again, and finds whether anything was changed or is missing. A long record takes a while."),
          h("p", { class: "buttons" }, h("button", { type: "button", class: "big", onclick: () => void check() }, "Check the record")), whole,
          h("h3", {}, "Fingerprint"), fingerprint, h("p", { class: "muted" }, "It is printed on the weld record too: the same fingerprint is the same content.")));
      api.review(record, (share) => { fingerprint.textContent = `judging the record: ${Math.round(100 * share)} %`; }, signal).then(
        (reviewed) => { fingerprint.textContent = reviewed.review.fingerprint || "—"; },
        (thrown) => {
          if (!aborted(thrown)) {
            fingerprint.textContent = `— (${troubleOf(thrown).error})`;
          }
        });
    },
    leave: () => undefined,
  };
}
