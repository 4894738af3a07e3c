// Hatchings: what a state looks like where colour does not reach, on the wall and on the map.

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
