// What is at a place of the wall: its values, the passes that laid it, its findings, and the way to the waveform.
import type { FindingRow, PassRow } from "../base/api";
import { h, type Child } from "../base/dom";
import { isNumber } from "../base/gauge";
import { icon, stateMark, stateSign } from "../base/state";
import { digits, figure, withUnit } from "../base/units";
import { passesAt, type Cell, type Review, type WallMap } from "./data";
import { valueWords, type Chosen } from "./map";
import { viewOf } from "./mapscale";
import { passLink } from "./passlink";

export function cellBox(record: string, review: Review, map: WallMap, where: Chosen | null): Child {
  if (!where) {
    return [h("h2", {}, "At a place"), h("p", { class: "muted" }, "Touch a cell of the wall, or move there with the arrow keys: what was laid there is told here.")];
  }
  const angle = where.column * map.angle_step_deg;
  const depth = where.row * map.depth_step_mm;
  const cell = where.cell;
  const found = review.findings.findings.filter((f) => isNumber(f.angle_deg) && isNumber(f.depth_mm) &&
    Math.floor(f.angle_deg / map.angle_step_deg) % map.columns === where.column && Math.min(map.rows - 1, Math.floor(f.depth_mm / map.depth_step_mm)) === where.row);
  return [
    h("h2", {}, `${digits(angle, 0)}° to ${digits(angle + map.angle_step_deg, 0)}°, ${figure(depth, "mm")} to ${withUnit(depth + map.depth_step_mm, "mm")} deep`),
    cell ? values(cell, map, where.row * map.columns + where.column) : h("p", {}, "Nothing is known of this place."),
    h("div", { class: "buttons cell-acts" }, passesAt(review, angle + map.angle_step_deg / 2, depth + map.depth_step_mm / 2).slice(0, 6).map((pass) =>
      h("a", { class: "button", href: placeLink(record, pass, angle + map.angle_step_deg / 2, depth + map.depth_step_mm / 2) }, passWords(pass)))),
    h("ul", { class: "cell-findings" }, found.map((f) => h("li", {}, h("a", { class: "cell-finding", href: findingLink(record, f) }, icon(stateSign(f.state)),
      h("span", {}, h("strong", {}, `${f.number} `), f.sentence, ` (${f.state})`))))),
  ];
}

function passWords(pass: PassRow): string {
  return `Waveform here, ${isNumber(pass.layer) ? `layer ${pass.layer}, ` : ""}pass ${pass.number}`;
}

// findingLink leads to the waveform of a finding.
function findingLink(record: string, f: FindingRow): string {
  return passLink(record, f.pass, { at: String(f.tick_ns), finding: String(f.number) });
}

function placeLink(record: string, pass: PassRow, angle: number, depth: number): string {
  return passLink(record, pass.number, { angle: angle.toFixed(1), depth: depth.toFixed(2) });
}

function values(cell: Cell, map: WallMap, at: number): Child {
  if ((cell.planned_share ?? 1) < 0.5 && !cell.arc_time_s) {
    return h("p", {}, "A planned gap: nothing is laid here.");
  }
  const arcOn = viewOf(map.views, "arc-on", null);
  const rows: [string, string][] = [
    ["Heat input", withUnit(cell.heat_input_kj_per_mm, "kJ/mm")], ["Arc energy", withUnit(cell.arc_energy_kj_per_mm, "kJ/mm")],
    ["Arc time", withUnit(cell.arc_time_s, "s", 1)], ["Arc on", arcOn ? valueWords(arcOn, at) || "—" : "—"], ["Length laid", withUnit(cell.path_mm, "mm")],
    ["Height", withUnit(cell.height_mm, "mm")], ["Above finish", withUnit(cell.stock_mm, "mm")],
  ];
  return [
    h("dl", { class: "cell-values" }, rows.map(([what, value]) => h("div", {}, h("dt", {}, what), h("dd", {}, value)))),
    (cell.without_data_s ?? 0) > 0 ? h("p", {}, stateMark("doubtful", `${withUnit(cell.without_data_s, "s", 1)} without data`)) : null,
  ];
}
