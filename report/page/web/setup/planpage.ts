// The plan of a job that is there.
import { api, aborted, troubleOf, type Live, type Plan } from "../base/api";
import { fill, h } from "../base/dom";
import { onEvent } from "../base/events";
import { again, cautions, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { onPrefs } from "../base/prefs";
import { layerTable, planDrawings, planTotals, planWarnings, rpmChooser } from "./planview";
import { shapeOf, type Values } from "./values";

export function planPage(job: string): Page {
  const offs: (() => void)[] = [];
  return {
    title: `Plan of ${job}`,
    trail: [{ text: "Home", href: "#/" }, { text: job, href: link("job", job) }],
    render: (root, signal) => {
      let layer = 0;
      const ask = async () => {
        fill(root, waitBox("Planning …"));
        try {
          const [file, plan, live] = await Promise.all([api.readFile("job", job, signal), api.plan({ file: job }, signal), api.live(signal)]);
          layer = layerInHand(live, job);
          const draw = () => fill(root, content(job, plan, file.values, layer));
          draw();
          offs.push(onPrefs(draw), onEvent("live", (now) => {
            const next = layerInHand(now, job);
            if (next !== layer) {
              layer = next;
              draw();
            }
          }));
        } catch (thrown) {
          if (!aborted(thrown)) {
            fill(root, troubleBox(troubleOf(thrown)), again(ask), h("p", {}, h("a", { class: "button", href: link("job", job) }, "To the job's form")));
          }
        }
      };
      return ask();
    },
    leave: () => offs.forEach((off) => off()),
  };
}

// layerInHand is the layer that comes next while this job is recorded; else the first.
function layerInHand(live: Live | null, job: string): number {
  return live && live.job_file === job && live.next ? live.next.layer : 1;
}

function content(job: string, plan: Plan, values: Values, layer: number): Node[] {
  return [
    cautions(),
    rpmChooser(plan, layer),
    h("div", {}, planTotals(plan)),
    h("div", {}, planWarnings(plan)),
    h("section", { class: "plate", "aria-labelledby": "layers-head" }, h("h2", { id: "layers-head" }, "Layer by layer"), layerTable(plan)),
    h("div", { class: "two plate" }, planDrawings(shapeOf(values), plan)),
    h("div", { class: "buttons" },
      h("a", { class: "button go big", href: link("checks", job) }, "Checks and start"),
      h("a", { class: "button big", href: link("job", job) }, "Change the job")),
  ];
}
