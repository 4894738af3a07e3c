// Hatchings: what a state looks like where colour does not reach, on the ring and on the map.
import { s } from "./dom";

// hatches are the patterns of the ring; the page that draws it puts them in once. stem keeps the ids apart.
export function hatches(stem: string): SVGDefsElement {
  return s("defs", {},
    pattern(`${stem}-near`, "h-near", "M0 8 8 0M-2 2 2-2M6 10 10 6"),
    pattern(`${stem}-outside`, "h-outside", "M0 0 8 8M0 8 8 0"),
    pattern(`${stem}-unjudged`, "h-unjudged", "M1 4h2M5 0h2M5 8h2"),
    pattern(`${stem}-gap`, "h-gap", "M0 2h8M0 6h8"));
}

function pattern(id: string, name: string, d: string): SVGPatternElement {
  return s("pattern", { id, width: 8, height: 8, patternUnits: "userSpaceOnUse" },
    s("rect", { width: 8, height: 8, class: `${name}-ground` }), s("path", { d, class: `${name}-line` }));
}

// colour reads a colour of the theme, for what is painted on a canvas.
export function colour(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
}

export type Hatch = "rising" | "falling" | "cross" | "level" | "dots";

// hatchIn fills a rectangle of a canvas with a hatching, in the pixels of the canvas.
export function hatchIn(c: CanvasRenderingContext2D, kind: Hatch, x: number, y: number, w: number, h: number, stroke: string, step = 7): void {
  if (w <= 0 || h <= 0) {
    return;
  }
  c.save();
  c.beginPath();
  c.rect(x, y, w, h);
  c.clip();
  c.strokeStyle = stroke;
  c.fillStyle = stroke;
  c.lineWidth = Math.max(1, step / 5);
  c.beginPath();
  if (kind === "dots") {
    for (let b = Math.floor(y / step) * step; b < y + h + step; b += step) {
      for (let a = Math.floor(x / step) * step; a < x + w + step; a += step) {
        c.fillRect(a, b, c.lineWidth, c.lineWidth);
      }
    }
  } else if (kind === "level") {
    for (let b = Math.floor(y / step) * step; b < y + h + step; b += step) {
      c.moveTo(x, b);
      c.lineTo(x + w, b);
    }
  } else {
    // Lines go through the same points of the canvas in every rectangle, so that neighbours join.
    if (kind !== "falling") {
      for (let k = Math.floor((x + y) / step) * step; k < x + y + w + h + step; k += step) {
        c.moveTo(k - y, y);
        c.lineTo(k - y - h, y + h);
      }
    }
    if (kind !== "rising") {
      for (let k = Math.floor((x - y - h) / step) * step; k < x + w - y + step; k += step) {
        c.moveTo(k + y, y);
        c.lineTo(k + y + h, y + h);
      }
    }
  }
  c.stroke();
  c.restore();
}
