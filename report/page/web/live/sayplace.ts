// Where the torch is: angle, depth, layer, turn or stroke.
import type { Live } from "../base/api";
import { isNumber } from "../base/gauge";
import { digits, figure, unitFor } from "../base/units";
import { ageOf, type Age, type Stale } from "./sayterms";

interface Part {
  label: string;
  figure: string;
  more: string;
}

export interface Place {
  age: Age;
  angle: Part;
  depth: Part;
  layer: Part;
  turn: Part;
  by: string; // what the angle rests on
  deg: number | null; // for the drawings
  doubtDeg: number | null;
  mm: number | null;
  burning: boolean;
  whole: string; // in one sentence
}

export function sayPlace(live: Live, stale: Stale): Place {
  const place = live.place;
  const angle = isNumber(place?.angle_deg) ? place.angle_deg : null;
  const doubt = isNumber(place?.angle_uncertainty_deg) ? place.angle_uncertainty_deg : null;
  const depth = isNumber(place?.depth_mm) ? place.depth_mm : null;
  const layer = part("layer", place?.layer, place?.layers);
  const turn = turnOf(live);
  const parts: Place = {
    age: ageOf(place !== null && (angle !== null || depth !== null || layer.figure !== "—" || turn.figure !== "—"), false, stale),
    angle: { label: "angle", figure: angle === null ? "—" : `${digits(angle, 0)}°`, more: angle === null ? "" : doubt === null ? "± not known" : `± ${digits(doubt, doubt < 10 ? 1 : 0)}°` },
    depth: { label: "depth", figure: figure(depth, "mm"), more: depth === null ? "" : unitFor("mm") },
    layer, turn,
    by: angle !== null && place?.angle_by ? `Angle ${place.angle_by}.` : "",
    deg: angle, doubtDeg: doubt, mm: depth, burning: live.arc_on && stale === "", whole: "",
  };
  const told = [parts.angle, parts.depth, layer, turn].map((p) => `${p.label} ${p.figure === "—" ? "not known" : `${p.figure} ${p.more}`.trim()}`);
  parts.whole = parts.age === "none" ? "Where the torch stands is not known." : `${parts.age === "old" ? "The torch stood last at" : "The torch is at"} ${told.join(", ")}.`;
  return parts;
}

// part names a number of so many; a plan that has fewer than what is there says nothing of it, as there is no turn 1 of 0.
function part(label: string, number: number | null | undefined, of: number | null | undefined): Part {
  const there = isNumber(number) && number > 0;
  const planned = isNumber(of) ? Math.round(of) : 0;
  return { label, figure: there ? String(number) : "—", more: there && planned >= number ? `of ${planned}` : "" };
}

// turnOf tells the turn; where the bead is laid in strokes of a part of a turn, each is a pass, and that is what is counted.
function turnOf(live: Live): Part {
  const p = live.pass ?? live.last?.pass ?? null;
  if (p?.pattern?.startsWith("segment")) {
    return part("stroke", p.number, null);
  }
  return part("turn", live.place?.turn, live.pass?.planned_turns);
}
