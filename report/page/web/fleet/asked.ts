// What is asked of all jobs, as it stands in the address, so that going back shows the same.
import { link } from "../base/page";

export const questions = { "heat-input": "Heat input", "arc-on": "Arc-on ratio", proved: "Proved", open: "Open events", calibrations: "Calibrations", since: "Taken in" } as const;
export type Question = keyof typeof questions;

export const sides = ["procedure", "box", "operator", "layer"] as const;
export type Side = (typeof sides)[number];

export const perPage = 20; // lines that are told, as the program has it
export const mostLines = 200;

export interface Asked {
  question: Question;
  by: Side; // of charts
  days: number; // of calibrations and of what was taken in
  most: number;
}

export const usualDays = (question: Question) => (question === "since" ? 30 : 60);

// askedIn reads an address; what does not belong there is as if it were left out.
export function askedIn(question: string | undefined, query: URLSearchParams): Asked {
  const known = question !== undefined && Object.hasOwn(questions, question) ? (question as Question) : "heat-input";
  const whole = (key: string, least: number, most: number, otherwise: number) => {
    const value = Number(query.get(key) ?? NaN);
    return Number.isInteger(value) && value >= least && value <= most ? value : otherwise;
  };
  return { question: known, by: sides.find((side) => side === query.get("by")) ?? "procedure", days: whole("days", 0, 36500, usualDays(known)), most: whole("most", 1, mostLines, perPage) };
}

// askedLink leads to a question; what is usual is left out.
export function askedLink(asked: Partial<Asked> & { question: Question }): string {
  const tail = new URLSearchParams();
  const put = (key: string, value: string | number | undefined, usual: string | number) => value !== undefined && value !== usual && tail.set(key, String(value));
  put("by", asked.by, "procedure");
  put("days", asked.days, usualDays(asked.question));
  put("most", asked.most, perPage);
  return link("jobs", asked.question) + (tail.size > 0 ? `?${tail}` : "");
}

// askedQuery is what the program is asked.
export function askedQuery({ question, by, days, most }: Asked): Record<string, string | number | undefined> {
  const charts = question === "heat-input" || question === "arc-on";
  return { by: charts ? by : undefined, days: question === "calibrations" || question === "since" ? days : undefined, most };
}
