// From a number back to the job that it comes from, where its record is in this folder.
import type { Schemas } from "../base/api";
import { h, type Child } from "../base/dom";
import { link } from "../base/page";

export type Place = Pick<Schemas["FleetDot"], "record" | "digest" | "pass" | "simulated">;
export type Here = Schemas["FleetAnswer"]["here"];

// named is what the record is called here, or was called where it was taken in, and that it is of no weld where it is simulated.
export function named(place: Place, here: Here): string {
  const [folder, name] = place.record.split("/") as [string, string | undefined];
  const called = here[place.digest] ?? (name === undefined ? folder.replace(/\.arctally$/, "") : `bundle ${folder.slice(0, 12)}`);
  return place.simulated === true ? `${called} (simulated)` : called;
}

// leadsTo is the page of the job, of its pass, or of one of its events; null where the record is not here.
export function leadsTo(place: Place, here: Here, event?: number): string | null {
  const record = here[place.digest];
  if (record === undefined) {
    return null;
  }
  return event !== undefined ? link("record", record, "event", event) : place.pass !== null ? link("record", record, "pass", place.pass) : link("record", record);
}

// lead is the button that goes there, or why there is none.
export function lead(words: string, place: Place, here: Here, event?: number): Child {
  const href = leadsTo(place, here, event);
  return href === null ? h("span", { class: "muted" }, "not in this folder") : h("a", { class: "button", href }, words, h("span", { class: "unseen" }, ` of ${named(place, here)}`));
}
