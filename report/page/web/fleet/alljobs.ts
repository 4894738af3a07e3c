// All jobs in one picture: the questions of the fleet, asked of the folder that is served, or of the database that was named.
import "./fleet.css";
import { aborted, api, newest, troubleOf, type Schemas } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { onEvent } from "../base/events";
import { again, noteBox, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { onPrefs } from "../base/prefs";
import { stateMark, type Sign } from "../base/state";
import { when } from "../base/time";
import { counted } from "../base/units";
import { changesAnswer, dueAnswer, openAnswer, provedAnswer } from "./answers";
import { askedIn, askedLink, askedQuery, mostLines, perPage, questions, sides, type Asked, type Question } from "./asked";
import { chartFigure } from "./chart";

type Answer = Schemas["FleetAnswer"];

export function allJobsPage(question: string | undefined, query: URLSearchParams): Page {
  const asked = askedIn(question, query);
  const offs: (() => void)[] = [];
  return {
    title: "All jobs",
    trail: [{ text: "Home", href: "#/" }],
    render: (root, signal) => {
      const news = h("p", { class: "facts", role: "status" });
      const place = h("div");
      const looked = h("p", { class: "muted" });
      const wanted = newest(signal);
      let shown: Answer | null = null;
      let text = "";
      const draw = () => {
        if (shown) {
          const back = standing(place);
          fill(place, content(shown, asked));
          back();
        }
      };
      const ask = async () => {
        try {
          const bar = h("progress", { max: 1, "aria-label": "Looked through" });
          const answer = await api.allJobs(asked.question, askedQuery(asked), (share) => {
            bar.value = share;
            if (shown) {
              fill(news, h("span", {}, "Something has changed: the folder is being looked through. What stands here is from before."), bar);
            } else if (!bar.isConnected) {
              fill(place, h("div", { class: "plate" }, h("h2", {}, "The folder is being looked through"), bar,
                h("p", { class: "muted" }, "What is new is judged once, one record after the other. It goes on when this page is left.")));
            }
          }, wanted());
          fill(news);
          fill(looked, lookedWords(answer.of));
          const now = JSON.stringify({ ...answer, of: { ...answer.of, at: "" } });
          if (now !== text || shown === null) { // else nothing moves under the finger
            [shown, text] = [answer, now];
            draw();
          }
        } catch (thrown) {
          if (!aborted(thrown)) {
            [shown, text] = [null, ""];
            fill(news);
            fill(looked);
            fill(place, troubleBox(troubleOf(thrown), again(ask)));
          }
        }
      };
      offs.push(onPrefs(draw), onEvent("house", () => void ask()), onEvent("restart", () => void ask()));
      fill(root, tabs(asked.question), choices(asked), news, place, looked);
      fill(place, waitBox("Asking …"));
      return ask();
    },
    leave: () => offs.forEach((off) => off()),
  };
}

// press is a link that is a choice among others; the one that holds says so.
function press(words: string, href: string, holds: boolean): HTMLElement {
  return h("a", { class: holds ? "button go" : "button", href, "aria-current": holds ? "true" : null }, words);
}

function tabs(now: Question): HTMLElement {
  return h("nav", { class: "buttons fleet-tabs", "aria-label": "What is asked" }, (Object.keys(questions) as Question[]).map((one) => press(questions[one], askedLink({ question: one }), one === now)));
}

// choices are what a question may be limited by.
function choices(asked: Asked): Child {
  const { question } = asked;
  const among = (label: string, all: HTMLElement[]) => h("nav", { class: "buttons fleet-choices", "aria-label": label }, h("span", { class: "muted" }, label), all);
  switch (question) {
    case "heat-input": case "arc-on":
      return among("A chart for each", sides.map((by) => press(by, askedLink({ question, by }), by === asked.by)));
    case "calibrations":
      return among("Run out within", [30, 60, 365].map((days) => press(days === 365 ? "a year" : `${days} days`, askedLink({ question, days }), days === asked.days)));
    case "since":
      return among("During the last", [1, 7, 30, 365].map((days) => press(days === 1 ? "day" : days === 365 ? "year" : `${days} days`, askedLink({ question, days }), days === asked.days)));
  }
  return null;
}

function content(answer: Answer, asked: Asked): Child {
  const { of, here } = answer;
  const [lines, all] = counts(answer);
  return [
    of.given === null ? null : noteBox(h("p", {}, "These are the answers of the database ", h("strong", {}, of.given), ". Nothing of this folder is taken in.")),
    of.passing === null ? null : noteBox(h("p", {}, "It is found out anew when the program begins anew: ", of.passing)),
    leftOut(of),
    h("h2", {}, questions[asked.question]),
    answer.charts ? charts(answer.charts, here) : null,
    answer.proved ? provedAnswer(answer.proved, here) : null,
    answer.open ? openAnswer(answer.open, here) : null,
    answer.due ? dueAnswer(answer.due, here) : null,
    answer.changes ? changesAnswer(answer.changes, here, of.since) : null,
    lines < all ? h("p", { class: "buttons" }, h("span", {}, `${lines} of ${all} are shown.`),
      asked.most < mostLines ? h("a", { class: "button", href: askedLink({ ...asked, most: Math.min(mostLines, asked.most + 2 * perPage) }) }, "Show more") : null) : null,
  ];
}

function lookedWords(of: Schemas["FleetOf"]): Child {
  return [of.jobs === null ? "Asked " : `${counted(of.jobs, "job", "jobs")} of this folder, looked through `, when(of.at), ". The program flags; only a person accepts."];
}

// standing remembers where a person is on the page, and what is unfolded; the answer brings that back after it was drawn anew.
function standing(place: HTMLElement): () => void {
  const key = (one: Element | null) => one?.getAttribute("href") ?? one?.getAttribute("aria-label") ?? one?.textContent;
  const at = place.contains(document.activeElement) ? key(document.activeElement) : null;
  const open = [...place.querySelectorAll("details[open] > summary")].map(key);
  return () => {
    for (const summary of place.querySelectorAll("summary")) {
      summary.parentElement!.toggleAttribute("open", open.includes(key(summary)));
    }
    if (at !== null) {
      [...place.querySelectorAll<HTMLElement>("a, summary, [tabindex]")].find((one) => key(one) === at)?.focus({ preventScroll: true });
    }
  };
}

// counts are how many lines are shown, and how many there are.
function counts({ charts, proved, open, due, changes }: Answer): [number, number] {
  if (charts) {
    return [charts.charts.length, charts.charts_in_all];
  }
  if (proved) {
    return [proved.procedures.length, proved.procedures_in_all];
  }
  if (open) {
    return [open.events.length, open.open_in_all];
  }
  if (due) {
    return [due.calibrations.length, due.overdue + due.run_out_within];
  }
  return changes ? [changes.states.length, changes.states_in_all] : [0, 0];
}

function charts(answer: Schemas["FleetCharts"], here: Answer["here"]): Child {
  return [
    h("p", { class: "muted" }, "A point is one job, the mean of its passes there. The limits are the process's own, mean ± 3 R/1.128 with the mean moving range R, from 8 jobs on; they judge nothing. What needs a look stands first.",
      answer.jobs_without_a_date > 0 ? ` ${answer.jobs_without_a_date} without a date ${answer.jobs_without_a_date === 1 ? "stands" : "stand"} on no chart.` : null),
    answer.charts.length === 0 ? h("p", {}, "There is nothing to draw yet: a chart begins with the first pass that is judged.") : answer.charts.map((chart) => chartFigure(chart, answer.measure, answer.by, here)),
  ];
}

const outSigns: Record<Schemas["FleetLeftOut"]["state"], [Sign, string]> = { recording: ["recording", "being recorded"], broken: ["broken", "cannot be taken in"], aside: ["note", "stands aside"] };

// leftOut names the records that stand in no answer, or not as they are now, and why.
function leftOut(of: Schemas["FleetOf"]): Child {
  if (of.left_out.length === 0) {
    return null;
  }
  return h("details", { class: "plate fold fleet-out" },
    h("summary", {}, stateMark(outSigns[of.left_out.some((one) => one.state === "broken") ? "broken" : of.left_out[0]!.state][0], `${counted(of.left_out.length, "record is", "records are")} left out`)),
    h("ul", { class: "points" }, of.left_out.map((one) => {
      const [sign, words] = outSigns[one.state];
      return h("li", {}, stateMark(sign, words), h("span", { class: "muted" }, h("strong", {}, one.record), ": ", one.why, one.hint === null ? null : ["; ", one.hint]),
        one.state === "broken" ? null : h("a", { class: "button", href: one.state === "recording" ? "#/live" : link("record", one.record) }, one.state === "recording" ? "To the arc" : "Review", h("span", { class: "unseen" }, ` ${one.record}`)));
    })));
}
