// What the parts of the page are said with. A value is of now, or held (the last arc's, while none burns), or old (the page or the
// box is not heard; it is struck out), or there is none.
import type { Live } from "../base/api";
import { isNumber, type Reading } from "../base/gauge";
import type { Sign } from "../base/state";

export type Age = "now" | "held" | "old" | "none";
export type Stale = "" | "box" | "page";

// Moment is what the page knows when it draws.
export interface Moment {
  live: Live;
  good: boolean; // the stream of news is open
  newsAt: number; // ms; when news came last
  now: number; // ms
  touched: ReadonlySet<string>; // calls that were touched here, and may be out still
}

export interface Value {
  name: string;
  label: string;
  figure: string;
  unit: string;
  age: Age;
  sign: Sign;
  mark: string; // how it stands to its limits
  basis: string;
  raw: string; // what the box reads, before anything is made of it
  reading: Reading;
}

export const fresh = 2000; // ms; older is struck out

export function ageOf(there: boolean, held: boolean, stale: Stale): Age {
  return !there ? "none" : stale !== "" ? "old" : held ? "held" : "now";
}

export function beyond(value: number, low: number | null | undefined, high: number | null | undefined): boolean {
  return (isNumber(low) && value < low) || (isNumber(high) && value > high);
}

export function isOut(sign: Sign): boolean {
  return sign === "outside" || sign === "nearout";
}

export function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

// clock counts minutes and seconds as a stop watch does: 6:17, 1:06:17.
export function clock(seconds: number | null | undefined): string {
  if (!isNumber(seconds)) {
    return "—";
  }
  const whole = Math.floor(seconds);
  const two = (n: number) => String(n).padStart(2, "0");
  const minutes = Math.floor(whole / 60);
  return minutes < 60 ? `${minutes}:${two(whole % 60)}` : `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${two(whole % 60)}`;
}

// lastWords say of which time a held value is.
export function lastWords(live: Live): string {
  return isNumber(live.last?.ended_s) ? `last arc, ${clock(live.last.ended_s)} ago` : "last arc";
}
