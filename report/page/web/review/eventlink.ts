// What is asked of the list of events, as it stands in the address, so that going back shows the same list.
import { link } from "../base/page";
import { prefs } from "../base/prefs";

const keys = ["state", "cause", "rule", "pass", "layer", "group", "from"] as const;
export const perPage = 25; // events, as the program sends them at once
export const findingsPerPage = 10;
export type Asked = Partial<Record<(typeof keys)[number], string>>;

export function askedIn(query: URLSearchParams): Asked {
  return Object.fromEntries(keys.map((key) => [key, query.get(key) ?? ""]).filter(([, value]) => value !== "")) as Asked;
}

// asking is what the program is asked: the words are in the units of the person.
export function asking(asked: Asked): Record<string, string> {
  return { ...asked, units: prefs.units };
}

export function listLink(record: string, asked: Asked): string {
  return link("record", record, "inspect") + tail(asked);
}

// eventLink leads to one event; where in the list one was does not matter there.
export function eventLink(record: string, event: number, asked: Asked = {}): string {
  const { from: _, ...rest } = asked;
  return link("record", record, "event", event) + tail(rest);
}

function tail(asked: Asked): string {
  const query = new URLSearchParams(asked as Record<string, string>).toString();
  return query ? `?${query}` : "";
}
