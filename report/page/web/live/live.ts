// The page of the arc: of a recording that runs, of one that has ended, of none.
import "./live.css";
import { api, aborted, Trouble, troubleOf, type House, type Live } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { onEvent } from "../base/events";
import { again, cautions, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { icon } from "../base/state";
import { lasting } from "../base/time";
import { counted } from "../base/units";
import { screenOf, type Screen } from "./screen";

type Phase = "none" | "running" | "over";

const phaseOf = (live: Live | null): Phase => (live === null ? "none" : live.phase === "ended" || live.phase === "failed" ? "over" : "running");

export function livePage(): Page {
  const offs: (() => void)[] = [];
  return {
    title: "The arc",
    quiet: true,
    wide: true,
    render: async (root, signal) => {
      root.classList.add("live");
      let shown: Phase | "" = "";
      let screen: Screen | null = null;
      let stop: AbortController | null = null;
      let record = "";
      const take = (live: Live | null) => {
        const phase = phaseOf(live);
        if (phase === shown && live?.record === record && phase === "running") {
          screen!.take(live!);
          return;
        }
        if (phase === shown && phase !== "running") {
          return;
        }
        stop?.abort();
        stop = new AbortController();
        [shown, record, screen] = [phase, live?.record ?? "", null];
        if (phase === "running") {
          screen = screenOf(live!, stop.signal);
          fill(root, screen.element);
        } else if (live) {
          fill(root, over(live));
        } else {
          void nothing(root, signal);
        }
      };
      const ask = async () => {
        try {
          take(await api.live(signal));
        } catch (thrown) {
          if (!aborted(thrown) && screen === null) {
            fill(root, troubleBox(troubleOf(thrown), again(ask)));
          }
        }
      };
      signal.addEventListener("abort", () => stop?.abort(), { once: true });
      offs.push(onEvent("live", take), onEvent("restart", ask));
      fill(root, waitBox("Asking how the arc stands …"));
      await ask();
    },
    leave: () => offs.forEach((off) => off()),
  };
}

// over says how a recording ended, and leads to its review.
function over(live: Live): Child {
  const failed = live.phase === "failed";
  return h("div", { class: "live-over" },
    failed
      ? troubleBox(new Trouble(-1, `The recording failed: ${live.trouble?.error ?? "why is not known"}`, live.trouble?.hint ?? ""))
      : h("div", { class: "box" }, icon("done"), h("div", {}, h("p", {}, h("strong", {}, `The recording ${live.record} has ended.`)),
        h("p", {}, `${counted(live.counts.passes, "pass", "passes")}, arc ${lasting(live.arc_time_s)}, ${counted(live.counts.findings, "finding", "findings")}. All of it is stored.`))),
    h("div", { class: "buttons" }, h("a", { class: "button go big", href: link("record", live.record) }, "To the review"),
      h("a", { class: "button big", href: link("checks", live.job_file) }, failed ? "Start again" : "Checks and start"), h("a", { class: "button big", href: "#/" }, "Home")));
}

// nothing says that nothing is recorded, and where one begins.
async function nothing(root: HTMLElement, signal: AbortSignal): Promise<void> {
  const jobs = h("div", {}, waitBox("Looking for jobs …"));
  fill(root, h("div", { class: "live-over" }, h("div", { class: "box" }, icon("idle"), h("div", {}, h("p", {}, h("strong", {}, "Nothing is being recorded.")),
    h("p", {}, "A recording begins with a job: its set-up checks first, then the start."))), jobs));
  try {
    const house: House = await api.house(signal);
    const good = house.jobs.filter((job) => job.error === null);
    fill(jobs, h("div", { class: "buttons" }, good.map((job) => h("a", { class: "button go big", href: link("checks", job.file) }, `Checks and start: ${job.name ?? job.file}`)),
      h("a", { class: "button big", href: "#/" }, good.length === 0 ? "There is no job yet: make one" : "Home")), cautions(false));
  } catch (thrown) {
    if (!aborted(thrown)) {
      fill(jobs, troubleBox(troubleOf(thrown)));
    }
  }
}
