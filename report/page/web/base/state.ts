// The states, each by shape, word and colour. The shapes are sections of a bore: whole, half laid, broken through.
import { h, s, type Child } from "./dom";

// Sign is a shape; its colour comes from the class sign-NAME in parts.css.
export type Sign =
  | "within" | "near" | "nearout" | "outside" | "unjudged"
  | "open" | "accepted" | "repair" | "machined"
  | "good" | "doubtful" | "silent" | "unplugged"
  | "recording" | "idle" | "done" | "missing" | "due" | "broken" | "caution" | "note";

const ring = (r: number, extra = {}) => s("circle", { cx: 12, cy: 12, r, class: "line", ...extra });
const disc = (r: number) => s("circle", { cx: 12, cy: 12, r, class: "solid" });
const path = (d: string, solid = false) => s("path", { d, class: solid ? "solid" : "line" });

const shapes: Record<Sign, () => SVGElement[]> = {
  within: () => [ring(9), disc(4)], // a torch in the middle of its bore
  near: () => [ring(9), path("M12 3a9 9 0 0 1 0 18z", true)], // half laid
  nearout: () => [path("M12 2 22 12 12 22 2 12z"), path("M12 2 22 12 12 22z", true)], // a lozenge, half full
  outside: () => [path("M12 2 23 21H1z", true), s("path", { d: "M12 9v6M12 17.2v1.6", class: "cut" })], // a wedge
  unjudged: () => [ring(9, { "stroke-dasharray": "4 3.07" })], // a ring of dashes
  open: () => [path("M4 3h16v13l-8 6-8-6z"), path("M12 7v5M12 14.5v1.5")], // a tag hung on the spot
  accepted: () => [path("M4 3h16v13l-8 6-8-6z"), path("m8 10 3 3 5-6")],
  repair: () => [path("M4 3h16v13l-8 6-8-6z", true), s("path", { d: "M7 11c2-4 3 4 5 0s3 4 5 0", class: "cut" })], // a bead across
  machined: () => [path("M3.5 9.5a9 9 0 1 0 17 0z"), path("M1 9.5h22")], // the top is cut off
  good: () => [path("M10 7H7a5 5 0 0 0 0 10h3M14 7h3a5 5 0 0 1 0 10h-3M8 12h8")],
  doubtful: () => [path("M10 7H7a5 5 0 0 0 0 10h3M14 7h3a5 5 0 0 1 0 10h-3M8 12h1.5M14.5 12H16")],
  silent: () => [path("M9 7H7a5 5 0 0 0 0 10h2M15 7h2a5 5 0 0 1 0 10h-2")],
  unplugged: () => [path("M8 7H7a5 5 0 0 0 0 10h1M16 7h1a5 5 0 0 1 0 10h-1M15 4 9 20")],
  recording: () => [ring(10), disc(6)],
  idle: () => [ring(10)],
  done: () => [disc(10), s("path", { d: "m7 12.5 3.5 3.5 6.5-8", class: "cut" })],
  missing: () => [ring(10, { "stroke-dasharray": "5 2.85" }), path("M12 6.5v7M12 16.5v1.5")],
  due: () => [ring(10), path("M12 6v6l4 3")],
  broken: () => [path("M5 2h10l4 4v5l-4 2 3 2-4 3 2 4H5z"), path("M9 9h5")], // a torn sheet
  caution: () => [path("M12 2 23 21H1z"), path("M12 9v6M12 17.2v1.6")],
  note: () => [path("M4 3h16v18H4zM8 8h8M8 12h8M8 16h5")],
};

// Words for signs; a page may use its own words beside the same sign.
export const signWords: Record<Sign, string> = {
  within: "within", near: "near a limit", nearout: "outside, near the limit", outside: "outside", unjudged: "not judged",
  open: "open", accepted: "accepted", repair: "to repair", machined: "machined away",
  good: "good", doubtful: "doubtful", silent: "silent", unplugged: "unplugged",
  recording: "recording", idle: "not recording", done: "done", missing: "missing", due: "due", broken: "broken", caution: "caution", note: "note",
};

// icon is the shape alone, hidden from readers of the screen: a word must stand beside it.
export function icon(sign: Sign, className = ""): SVGSVGElement {
  return s("svg", { viewBox: "0 0 24 24", class: `icon sign-${sign} ${className}`.trim(), "aria-hidden": "true", focusable: "false" }, shapes[sign]());
}

// stateMark is shape and word together.
export function stateMark(sign: Sign, words = signWords[sign]): HTMLElement {
  return h("span", { class: `state sign-${sign}` }, icon(sign), h("span", {}, words));
}

// strip is a row of a list: its sign, its name over its facts, and what can be done with it.
export function strip(sign: Sign, name: Child, facts: Child, acts: Child, below?: Child, className = ""): HTMLLIElement {
  return h("li", { class: `strip ${className}`.trim() },
    h("span", { class: `eye sign-${sign}` }, icon(sign)),
    h("div", {}, h("div", { class: "name" }, name), h("div", { class: "facts" }, facts)),
    h("div", { class: "acts" }, acts),
    below ? h("div", { class: "below" }, below) : null);
}

// signGroup is a shape to be put into a larger drawing: middle and size in the units of that drawing.
export function signGroup(sign: Sign, x: number, y: number, size: number): SVGGElement {
  return s("g", { class: `sign-${sign}`, transform: `translate(${x - size / 2} ${y - size / 2}) scale(${size / 24})` }, shapes[sign]());
}

// stateSign finds the sign for a word of the program: verdicts, states of channels, of findings, of the link.
export function stateSign(word: string | null | undefined): Sign {
  switch (word) {
    case "within": case "near": case "nearout": case "outside": case "unjudged": case "open": case "accepted":
    case "good": case "doubtful": case "silent": case "unplugged": case "recording":
      return word;
    case "to repair": return "repair";
    case "machined away": return "machined";
    case "partly decided": return "open";
    case "decided": return "accepted";
    case null: case undefined: case "": case "not judged": return "unjudged";
  }
  return verdictSign(word);
}

// verdictSign reads the four verdicts of a pass, which are sentences.
function verdictSign(verdict: string): Sign {
  if (verdict.startsWith("outside")) {
    return verdict === "outside" ? "outside" : "nearout";
  }
  if (verdict.startsWith("within")) {
    return verdict === "within" ? "within" : "near";
  }
  return "unjudged";
}
