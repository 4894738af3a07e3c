// Rows of the review that openapi.yaml leaves open: dispositions and final measurements, as report/sheet writes them.
import type { FindingRow, Reviewed } from "../base/api";
import { numberOf } from "../base/number";

export interface PhotographRow {
  sha256: string;
  caption: string | null;
}

export interface DispositionRow {
  entry: number;
  at: string;
  by: string;
  signed_by?: string;
  method: string;
  result: string;
  decision: string;
  remark: string | null;
  photographs: PhotographRow[];
  corrected_by?: number;
  worse_now?: boolean;
  history?: DispositionRow[];
}

// who says who put an entry on record, and whether a key of his vouches for it. It is said of a typed name too: one may
// be typed so that it reads as if it were signed.
export function who(entry: { by: string; signed_by?: string }): string {
  return entry.by + (entry.signed_by ? " (signed)" : " (name typed)");
}

export interface MachiningRow {
  entry: number;
  at: string;
  by: string;
  signed_by?: string;
  stations: { depth_mm: number | null; angle_deg: number | null; diameter_mm: number | null; beyond_mm: number | null }[];
  instrument: string | null;
  expanded_uncertainty_mm: number | null;
  wanted_low_mm: number | null;
  wanted_high_mm: number | null;
  cleaned_up: string;
  where: string | null;
  remark: string | null;
  photographs: PhotographRow[];
  corrected_by?: number;
}

// entriesOf are all entries about a finding, oldest first, and the one that its state rests on.
export function entriesOf(finding: FindingRow): { current: DispositionRow | null; all: DispositionRow[] } {
  const current = (finding.disposition as DispositionRow | null | undefined) ?? null;
  return { current, all: current ? [...(current.history ?? []), current].sort((a, b) => a.entry - b.entry) : [] };
}

export function machiningOf(reviewed: Reviewed): MachiningRow[] {
  return (reviewed.review.machining ?? []) as unknown as MachiningRow[];
}

// isOpen tells whether somebody has still to do something.
export function isOpen(finding: FindingRow): boolean {
  return finding.state === "open" || finding.state === "to repair";
}

// depthOf is how deep the unrolled map reaches, mm: the length of the bore; null where there is no map.
export function depthOf(reviewed: Reviewed): number | null {
  const map = reviewed.review.map;
  return map ? map.rows * map.depth_step_mm : null;
}

// beyondTyped is how far a typed diameter lies out of typed limits, all in one unit; null where one of them is no number, or none is there.
export function beyondTyped(diameter: string, low: string, high: string): number | null {
  const [value, least, most] = [diameter, low, high].map(numberOf) as [number | null, number | null, number | null];
  if (value === null || (least === null && most === null) || (low.trim() !== "" && least === null) || (high.trim() !== "" && most === null)) {
    return null;
  }
  return least !== null && value < least ? value - least : most !== null && value > most ? value - most : 0;
}
