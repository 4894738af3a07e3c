// What is at a place of the wall: its values, the passes that laid it, its findings, and the way to the waveform.
import type { CellAlone, FindingRow, Schemas } from "../base/api";
import { h, type Child } from "../base/dom";
import { isNumber } from "../base/gauge";
import { icon, stateMark, stateSign } from "../base/state";
import { digits, figure, withUnit } from "../base/units";
import type { Cell, WallMap } from "./data";
import { valueIn, valueWords, type Chosen } from "./map";
import { viewOf } from "./mapscale";
import { passLink } from "./passlink";

// cellBox says what is at a place; cell is null while that is still being read.
export function cellBox(record: string, map: WallMap, where: Chosen | null, cell: CellAlone | null): Child {
  if (!where) {
    return [h("h2", {}, "At a place"), h("p", { class: "muted" }, "Touch a cell of the wall, or move there with the arrow keys: what was laid there is told here.")];
  }
  const angle = where.column * map.angle_step_deg;
  const depth = where.row * map.depth_step_mm;
  return [
    h("h2", {}, `${digits(angle, 0)}° to ${digits(angle + map.angle_step_deg, 0)}°, ${figure(depth, "mm")} to ${withUnit(depth + map.depth_step_mm, "mm")} deep`),
    cell ? values(cell, map, where.row * map.columns + where.column) : null,
    h("div", { class: "buttons cell-acts" }, cell?.passes.slice(0, 6).map((pass) =>
      h("a", { class: "button", href: placeLink(record, pass, angle + map.angle_step_deg / 2, depth + map.depth_step_mm / 2) }, passWords(pass)))),
    h("ul", { class: "cell-findings" }, cell?.findings.map((f) => h("li", {}, h("a", { class: "cell-finding", href: findingLink(record, f) }, icon(stateSign(f.state)),
      h("span", {}, h("strong", {}, `${f.number} `), f.sentence, ` (${f.state})`))))),
  ];
}

function passWords(pass: Schemas["PassName"]): string {
  return `Waveform here, ${isNumber(pass.layer) ? `layer ${pass.layer}, ` : ""}pass ${pass.number}`;
}

// findingLink leads to the waveform of a finding.
function findingLink(record: string, f: FindingRow): string {
  return passLink(record, f.pass, { at: String(f.tick_ns), finding: String(f.number) });
}

function placeLink(record: string, pass: Schemas["PassName"], angle: number, depth: number): string {
  return passLink(record, pass.number, { angle: angle.toFixed(1), depth: depth.toFixed(2) });
}

function values(all: CellAlone, map: WallMap, at: number): Child {
  const cell: Cell = all.cell;
  if ((cell.planned_share ?? 1) < 0.5 && !cell.arc_time_s) {
    return h("p", {}, "A planned gap: nothing is laid here.");
  }
  const arcOn = viewOf(map.views, "arc-on", null);
  const rows: [string, string][] = [
    ["Heat input", withUnit(cell.heat_input_kj_per_mm, "kJ/mm")], ["Arc energy", withUnit(cell.arc_energy_kj_per_mm, "kJ/mm")],
    ["Arc time", withUnit(cell.arc_time_s, "s", 1)], ["Arc on", arcOn ? valueWords(arcOn, at, valueIn(all, arcOn)) || "—" : "—"], ["Length laid", withUnit(cell.path_mm, "mm")],
    ["Height", withUnit(cell.height_mm, "mm")], ["Above finish", withUnit(cell.stock_mm, "mm")],
  ];
  return [
    h("dl", { class: "cell-values" }, rows.map(([what, value]) => h("div", {}, h("dt", {}, what), h("dd", {}, value)))),
    (cell.without_data_s ?? 0) > 0 ? h("p", {}, stateMark("doubtful", `${withUnit(cell.without_data_s, "s", 1)} without data`)) : null,
  ];
}
