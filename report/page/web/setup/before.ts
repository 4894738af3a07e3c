// The one sheet before an arc: what is missing or doubtful, each with what mends it, what could hurt, and who begins all the same.
import { api, type Schemas } from "../base/api";
import { askDialog } from "../base/dialog";
import { fill, h } from "../base/dom";
import { dangersInShort } from "../base/notice";
import { link } from "../base/page";
import { person } from "../base/prefs";
import { stateMark, type Sign } from "../base/state";

export type Begin = Schemas["Begin"];
export type Point = Begin["points"][number];

const signs: Record<Point["state"], Sign> = { missing: "missing", doubtful: "due", stops: "broken" };

// Knowing is who begins, and what they saw that they go without.
export interface Knowing {
  by: string;
  without: string[];
}

// beforeArc asks once for everything; null is: not yet. mend opens the check that a point wants.
export async function beforeArc(job: string, record: string, port: string, mend: (kind: string) => void): Promise<Knowing | null> {
  for (;;) {
    const begin = await api.before(record, job, port);
    const answer = await ask(job, record, begin);
    if (answer === "again") {
      continue;
    }
    if (typeof answer === "string") {
      mend(answer);
      return null;
    }
    return answer;
  }
}

async function ask(job: string, record: string, begin: Begin): Promise<Knowing | string | null> {
  const { points } = begin;
  const stopped = points.some((point) => point.state === "stops");
  const name: HTMLInputElement = h("input", { id: "who-begins", type: "text", class: "text", autocomplete: "off", value: person.get() || begin.operator });
  const tick: HTMLInputElement = h("input", { type: "checkbox" });
  const knowing: Knowing = { by: "", without: points.map((point) => point.says) };
  const answer = await askDialog<Knowing | string | null>("Before the arc", (refresh, end) => {
    const words = h("span");
    const said = () => {
      knowing.by = name.value.trim();
      fill(words, knowing.by === "" ? "" : h("strong", {}, `${knowing.by}: `), points.length === 0 ? "I have seen to what can hurt." : "I have seen to what can hurt, and begin as it stands above.");
      refresh();
    };
    name.addEventListener("input", said);
    tick.addEventListener("change", said);
    const act = (point: Point) => (point.about === "check" ? h("button", { type: "button", "data-needs": "operate", onclick: () => end(point.kind ?? "") }, "Do this check", h("span", { class: "unseen" }, `: ${point.says}`))
      : point.about === "disk" ? h("button", { type: "button", onclick: () => end("again") }, "Look again")
        : h("a", { class: "button", href: link("job", job) }, point.about === "sensor" ? "Find the sensor box" : "Open the job"));
    said();
    return [
      h("p", { class: "muted" }, `${job}, into ${record}. Recording starts no arc, and stops none.`),
      points.length === 0 ? h("p", {}, stateMark("done", "Nothing is missing.")) : h("ul", { class: "points" }, byRemedy(points).map((same) => h("li", {},
        stateMark(signs[same[0]!.state], same.map((point) => point.says).join("; ")), h("span", { class: "muted" }, same[0]!.hint), act(same[0]!)))),
      stopped ? h("p", {}, h("strong", {}, "Nothing can be recorded until that is mended.")) : [
        h("p", { class: "hurts" }, h("strong", {}, "What can hurt: "), dangersInShort),
        h("div", { class: "two" }, h("div", { class: "field" }, h("label", { for: name.id }, "Who begins"), name), h("label", { class: "tick" }, tick, words))],
    ];
  }, [
    ...(stopped ? [] : [{ text: "Start recording", value: knowing, kind: "go" as const, ready: () => tick.checked && knowing.by !== "" }]),
    { text: "Not yet", value: null },
  ]);
  if (answer === knowing) {
    person.set(knowing.by);
  }
  return answer;
}

// byRemedy puts together what one act mends.
function byRemedy(points: Point[]): Point[][] {
  const groups = new Map<string, Point[]>();
  for (const point of points) {
    const key = point.about === "check" ? `${point.kind} ${point.state}` : point.says;
    groups.set(key, [...(groups.get(key) ?? []), point]);
  }
  return [...groups.values()];
}
