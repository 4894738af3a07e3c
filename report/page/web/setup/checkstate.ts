// How the set-up checks of a job stand: done, overdue, missing.
import type { Schemas } from "../base/api";
import type { Sign } from "../base/state";
import type { Point } from "./before";

export type CheckKind = Schemas["CheckKind"];
export type CheckList = Schemas["CheckList"];

type Check = CheckList["checks"][number];

// stateOf is how a kind of check stands: a check that is past its due day counts as due.
export function stateOf(kind: CheckKind, list: CheckList, points: Point[]): [Sign, string] {
  const own = newest(kind, list);
  const lacks = points.filter((point) => point.kind === kind.kind && point.state === "missing");
  if (lacks.length > 0) {
    return own.length === 0 ? ["missing", "missing"] : ["missing", `done in part; ${lacks.map((point) => point.says).join(", ")}`];
  }
  if (own.length === 0) {
    return ["unjudged", "not done"];
  }
  return own.some((check) => overdue(check)) ? ["due", "overdue"] : ["done", "done"];
}

// overdue tells whether a check is past its due day.
export function overdue(check: Check): boolean {
  return check.due !== undefined && check.due !== "" && new Date(check.due).getTime() + 86_400_000 < Date.now();
}

// newest are the checks of a kind that hold: the last of each channel of each box.
export function newest(kind: CheckKind, list: CheckList): Check[] {
  const last = new Map<string, Check>();
  for (const check of list.checks.filter((check) => check.check === kind.kind)) {
    last.set(`${check.channel ?? ""} ${check.box ?? ""}`, check);
  }
  return [...last.values()];
}

// titles are the checks in the words of the shop.
export const titles: Record<string, string> = {
  zero: "Zero of a sensor", meter: "Sensor against a meter", "wire-speed": "Wire speed", rotation: "Turns of the torch", centring: "Torch in the middle of the bore",
};
