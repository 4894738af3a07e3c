// What a scale of values must show, and what of it is cut. The strike of an arc is rare, and far from all that is judged: it does not set the scale.

export interface Spread {
  low: number;
  high: number;
}

// shown is the share of the points that a scale must show.
const shown = 0.9;

// scaleOf spans the limits, all means that are judged, and the middle of the points; null where there is nothing to show.
export function scaleOf(points: number[], means: number[], limits: (number | null)[]): Spread | null {
  const sure = [...means, ...limits.filter((one): one is number => one !== null)];
  const sorted = [...points].sort((a, b) => a - b);
  const at = (share: number) => sorted[Math.round(share * (sorted.length - 1))]!;
  if (sorted.length > 0) {
    sure.push(at((1 - shown) / 2), at((1 + shown) / 2));
  }
  return sure.length === 0 ? null : { low: sure.reduce((a, b) => Math.min(a, b)), high: sure.reduce((a, b) => Math.max(a, b)) };
}

export interface Cut {
  x: number; // where the furthest of it is
  value: number; // the furthest itself
  up: boolean;
}

// cutsOf are the stretches beyond a scale, each by what goes furthest; what lies nearer than apart is one.
export function cutsOf(xs: number[], ys: (number | null)[], low: number, high: number, apart: number): Cut[] {
  const cuts: Cut[] = [];
  const last: { up: Cut | null; down: Cut | null; upAt: number; downAt: number } = { up: null, down: null, upAt: 0, downAt: 0 };
  xs.forEach((x, k) => {
    const value = ys[k];
    if (value === null || value === undefined || (value >= low && value <= high)) {
      return;
    }
    const up = value > high;
    const [side, seen] = up ? (["up", "upAt"] as const) : (["down", "downAt"] as const);
    const open = last[side];
    if (open && x - last[seen] <= apart) {
      if (up ? value > open.value : value < open.value) {
        open.x = x;
        open.value = value;
      }
    } else {
      last[side] = { x, value, up };
      cuts.push(last[side]);
    }
    last[seen] = x;
  });
  return cuts;
}
