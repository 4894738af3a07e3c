// The words for keys of rules, channels and events: the table that paper and terminal read (report/sheet/keys.go).
import table from "../../../sheet/keys.tsv";

const words = new Map(table.trim().split("\n").slice(1).map((row) => row.split("\t") as [string, string]));

// spaced is a key in the words of people.
export function spaced(key: string): string {
  return words.get(key) ?? key.replace(/[_-]/g, " ");
}
