// Times: the record keeps UTC; a person reads the clock of the tablet, with its zone told.
import { h } from "./dom";

const two = (n: number) => String(n).padStart(2, "0");

// zone is how far this tablet's clock is from UTC at a time: UTC+02:00.
export function zone(at: Date): string {
  const minutes = -at.getTimezoneOffset();
  const ahead = Math.abs(minutes);
  return minutes === 0 ? "UTC" : `UTC${minutes < 0 ? "-" : "+"}${two(Math.floor(ahead / 60))}:${two(ahead % 60)}`;
}

// clockOf is the time of day on this tablet: 12:03:10.
export function clockOf(at: Date): string {
  return `${two(at.getHours())}:${two(at.getMinutes())}:${two(at.getSeconds())}`;
}

function dayOf(at: Date): string {
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

function utc(at: Date): string {
  return at.toISOString().slice(0, 19).replace("T", " ") + " UTC";
}

// localText is day, time and zone on this tablet, as the program writes a time (report/sheet/instant.go).
export function localText(iso: string | null | undefined): string {
  const at = parse(iso);
  return at ? `${dayOf(at)} ${clockOf(at)} ${zone(at)}` : "—";
}

// when shows a time of the record: local with its zone; UTC is told when it is pointed at.
export function when(iso: string | null | undefined): HTMLElement {
  const at = parse(iso);
  if (!at || !iso) {
    return h("span", { class: "unknown" }, "—");
  }
  return h("time", { datetime: iso, title: utc(at) }, localText(iso));
}

// whenDay shows a date that has no time of day, such as a due date.
export function whenDay(iso: string | null | undefined): string {
  const at = parse(iso);
  return at ? dayOf(at) : "—";
}

function parse(iso: string | null | undefined): Date | null {
  if (!iso) {
    return null;
  }
  const at = new Date(iso);
  return Number.isNaN(at.getTime()) ? null : at;
}

// lasting writes a length of time as a person at a machine says it: 16:04 min, 1:04 h.
export function lasting(seconds: number | null | undefined): string {
  if (seconds === null || seconds === undefined) {
    return "—";
  }
  // Each unit is taken after rounding, so that nothing is 60 s or 60 min long.
  if (seconds < 9.95) {
    return `${seconds.toFixed(1)} s`;
  }
  const whole = Math.round(seconds);
  if (whole < 60) {
    return `${whole} s`;
  }
  if (whole < 3600) {
    return `${Math.floor(whole / 60)}:${two(whole % 60)} min`;
  }
  const minutes = Math.round(whole / 60);
  if (minutes < 4 * 24 * 60) {
    return `${Math.floor(minutes / 60)}:${two(minutes % 60)} h`;
  }
  return `${Math.round(minutes / 60 / 24)} days`;
}
