// Home: what is being recorded or was left open first, then jobs, records and procedures, each with what is wrong with it.
import { api, aborted, troubleOf, type House, type Schemas } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { doorLine } from "../base/door";
import { onEvent } from "../base/events";
import { again, troubleBox, waitBox } from "../base/notice";
import { link, type Page } from "../base/page";
import { icon, stateMark, strip, type Sign } from "../base/state";
import { when } from "../base/time";
import { whoLine } from "../base/who";
import { beforeArc } from "./before";

export function homePage(): Page {
  let off: () => void = () => undefined;
  let offRestart: () => void = () => undefined;
  let timer: ReturnType<typeof setTimeout> | undefined;
  return {
    title: "Jobs and records",
    render: async (root, signal) => {
      fill(root, waitBox("Looking for jobs …"));
      const draw = (house: House) => {
        const focused = document.activeElement?.getAttribute("href");
        clearTimeout(timer);
        if (house.records.some((row) => row.judged.state === "being judged")) {
          timer = setTimeout(() => void ask(), 2000); // to see how far it is
        }
        fill(root, content(house));
        if (focused && root.isConnected) {
          root.querySelector<HTMLElement>(`[href="${CSS.escape(focused)}"]`)?.focus();
        }
      };
      off = onEvent("house", draw);
      const ask = async () => {
        try {
          draw(await api.house(signal));
        } catch (thrown) {
          if (!aborted(thrown)) {
            fill(root, troubleBox(troubleOf(thrown), again(ask)));
          }
        }
      };
      offRestart = onEvent("restart", ask);
      await ask();
    },
    leave: () => {
      clearTimeout(timer);
      off();
      offRestart();
    },
  };
}

function content(house: House): Child {
  const running = house.records.find((row) => row.record === house.recording);
  const others = house.records.filter((row) => row !== running);
  return [
    house.elsewhere ? elsewhereBox(house.elsewhere) : null,
    running ? runningStrip(running) : house.go_on ? goOnStrip(house.go_on, house) : null,
    house.virtual_box
      ? h("p", { class: "box" }, icon("note"), h("span", {}, "A virtual sensor box stands in for a real one: what is recorded now is not from an arc."))
      : null,
    whoLine(house.operator),
    doorLine(),
    h("div", { class: "buttons" },
      h("a", { class: house.procedures.length > 0 ? "button go big" : "button big", href: "#/job" }, "New job"),
      h("a", { class: house.procedures.length > 0 ? "button big" : "button go big", href: "#/procedure" }, "New procedure"),
      h("a", { class: "button big", href: "#/jobs" }, "All jobs")),
    section("Jobs", house.jobs.length > 0 ? null : house.procedures.length === 0 ? "There is no job yet. Begin with New procedure: it has the limits that a job is judged by." : "There is no job yet. Begin with New job: it says which bore is welded, and how.", house.jobs.map(jobStrip)),
    section("Records", others.length > 0 ? null : running ? "Nothing but what is being recorded now." : "Nothing was recorded here yet. A record begins with the first check of a job, or with its start.",
      others.map(recordStrip)),
    house.removed.length > 0 ? section("Removed here", house.removed_more > 0 ? `${house.removed_more} more went before these: arctally hand-over --list names all of them.` : null, house.removed.map(removedStrip)) : null,
    section("Procedures", house.procedures.length === 0 ? "There is no procedure yet." : null, house.procedures.map(procedureStrip)),
    h("p", { class: "muted" }, `Kept in ${house.folder} · ${house.program}`),
  ];
}

// elsewhereBox says that an arc is recorded which these pages cannot show.
function elsewhereBox(other: Schemas["Elsewhere"]): HTMLElement {
  return h("div", { class: "box box-trouble", role: "alert" }, icon("outside"), h("div", {}, h("strong", {}, other.words), h("p", {}, other.next)));
}

function section(head: string, said: string | null, strips: HTMLElement[]): HTMLElement {
  const id = `section-${head.replaceAll(" ", "-")}`;
  return h("section", { "aria-labelledby": id }, h("h2", { id }, head),
    strips.length > 0 ? h("ul", { class: "strips" }, strips) : null, said ? h("p", { class: "muted" }, said) : null);
}

function act(text: string, about: string, href: string, kind = ""): HTMLElement {
  return h("a", { class: `button ${kind}`.trim(), href }, text, h("span", { class: "unseen" }, ` ${about}`));
}

function runningStrip(row: Schemas["RecordRow"]): HTMLElement {
  return h("section", { "aria-label": "Recording now" }, h("ul", { class: "strips" },
    strip("recording", row.job ?? row.record, [stateMark("recording"), h("span", {}, row.record)],
      act("To the arc", row.record, "#/live", "go big"), null, "now")));
}

// goOnStrip offers the record that was open as the program ended: nothing else comes before it.
function goOnStrip(open: Schemas["GoOn"], house: House): HTMLElement {
  const { record, job_file: job } = open;
  const trouble = h("div");
  const goOn = async () => {
    fill(trouble);
    try {
      const knowing = job === null ? null : await beforeArc(job, record, "", () => { location.hash = link("checks", job, record); });
      if (knowing !== null) {
        await api.start({ job: job!, record, more: house.records.find((row) => row.record === record)?.state === "recorded", ...knowing });
        location.hash = "#/live";
      }
    } catch (thrown) {
      fill(trouble, troubleBox(troubleOf(thrown)));
    }
  };
  return h("section", { "aria-label": "Left open" }, h("ul", { class: "strips" },
    strip("due", ["Go on with ", open.job ?? record], [stateMark("due", "left open"), h("span", {}, record), open.since ? h("span", {}, "last written ", when(open.since)) : null],
      [job === null ? null : h("button", { type: "button", class: "go big", "data-needs": "operate", onclick: () => void goOn() }, "Go on recording"), act("Review", record, link("record", record))],
      [h("p", {}, open.words), trouble], "now")));
}

function wrong(error: string | null, hint: string | null | undefined): Child {
  return error ? [h("p", { class: "said" }, h("strong", {}, error)), hint ? h("p", { class: "muted" }, hint) : null] : null;
}

function jobStrip(row: Schemas["FileRow"]): HTMLLIElement {
  const broken = row.error !== null;
  return strip(broken ? "broken" : "idle", row.name ?? row.file,
    [broken ? stateMark("broken", "cannot be read") : null, h("span", {}, `${row.file}.yaml`), row.procedure ? h("span", {}, `procedure ${row.procedure}`) : null],
    broken
      ? act("Mend", row.file, link("job", row.file), "go")
      : [act("Plan", row.file, link("plan", row.file)), act("Checks and start", row.file, link("checks", row.file), "go"), act("Change", row.file, link("job", row.file))],
    wrong(row.error, row.hint));
}

function procedureStrip(row: Schemas["FileRow"]): HTMLLIElement {
  const broken = row.error !== null;
  return strip(broken ? "broken" : "note", row.name ?? row.file,
    [broken ? stateMark("broken", "cannot be read") : null, h("span", {}, `${row.file}.yaml`)],
    act(broken ? "Mend" : "Change", row.file, link("procedure", row.file), broken ? "go" : ""),
    wrong(row.error, row.hint));
}

function recordStrip(row: Schemas["RecordRow"]): HTMLLIElement {
  const [sign, words] = recordState(row);
  const unreadable = row.state === "unreadable";
  const recorded = row.state === "recorded" || row.state === "recording";
  return strip(sign, row.job ?? row.record,
    [stateMark(sign, words), row.worst ? h("span", {}, row.worst) : null, h("span", {}, row.record), row.created ? when(row.created) : null, size(row.bytes)],
    unreadable ? act("Check it", row.record, link("record", row.record, "paper")) : [
      recorded ? act("Review", row.record, link("record", row.record), row.open_findings ? "" : "go") : null,
      recorded ? act("Inspect", row.record, link("record", row.record, "inspect"), row.open_findings ? "go" : "") : null,
      recorded ? act("Print", row.record, link("record", row.record, "paper")) : null,
      !recorded && row.job_file ? act("Checks and start", row.record, link("checks", row.job_file)) : null,
    ],
    [wrong(row.error, row.hint) ?? (row.judged.state === "not judged yet" && row.judged.why ? h("p", { class: "muted" }, row.judged.why) : null), handed(row.handed)]);
}

// handed says how a record stands to the store into which closed ones are handed over.
function handed(row: Schemas["HandedRow"] | null | undefined): Child {
  const again = row?.again ? [", tried again ", when(row.again)] : null;
  switch (row?.state) {
    case "given": return h("p", { class: "facts" }, stateMark("done", "handed over"), h("span", {}, when(row.at), ` as bundle ${row.bundle?.slice(0, 12)}`));
    case "waits": return [h("p", { class: "muted" }, stateMark("due", row.says ? "not handed over yet" : "waits to be handed over"), again), wrong(row.says, row.hint)];
    case "failed": return [h("p", {}, stateMark("broken", "not handed over")), wrong(row.says, row.hint)];
    case "not closed": return h("p", { class: "muted" }, stateMark("idle", "not closed, and not handed over"));
  }
  return null;
}

function removedStrip(row: Schemas["RemovedRow"]): HTMLLIElement {
  return strip("idle", row.job || row.record,
    [stateMark("idle", "removed here"), h("span", {}, row.record), when(row.at), h("span", {}, `the store has it as bundle ${row.bundle.slice(0, 12)}`)], null);
}

// recordState is the state of a record as it needs a person.
function recordState(row: Schemas["RecordRow"]): [Sign, string] {
  const open = row.open_findings;
  switch (row.state) {
    case "unreadable": return ["broken", "cannot be read"];
    case "checks only": return ["done", "set-up checks only, no arc yet"];
    case "recording": return ["recording", "recording"];
  }
  if (row.judged.state === "being judged") {
    return ["unjudged", `being judged, ${Math.round(100 * (row.judged.progress ?? 0))} %`];
  }
  if (open === null || open === undefined) {
    return ["unjudged", "recorded, not judged yet"];
  }
  return open > 0 ? ["open", open === 1 ? "1 finding is open" : `${open} findings are open`] : ["accepted", "no finding is open"];
}

function size(bytes: number | undefined): Child {
  return bytes === undefined ? null : h("span", {}, bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1000))} kB` : `${(bytes / 1e6).toFixed(1)} MB`);
}
