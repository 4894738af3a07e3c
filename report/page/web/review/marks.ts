// Where findings are marked on the unrolled wall: how far each went on, and its tag, which never leaves its angle.

// Span is a part of a way that does not go over the reference mark: from the lower angle to the higher, and the turns gone at both.
export interface Span {
  from: number;
  to: number;
  turnsFrom: number;
  turnsTo: number;
}

// mostTurns is how many turns of a way are drawn: beyond that they cover one another.
const mostTurns = 200;

// spans cut the way of a finding at the reference mark. A way below 0 is anti-clockwise.
export function spans(angle: number, way: number): Span[] {
  const all: Span[] = [];
  let left = Math.min(Math.abs(way), 360 * mostTurns);
  for (let gone = 0, at = angle; left > 0;) {
    if (way < 0 && at === 0) {
      at = 360;
    }
    const step = Math.min(way < 0 ? at : 360 - at, left);
    const to = way < 0 ? at - step : at + step;
    const turns: [number, number] = [gone / 360, (gone + step) / 360];
    all.push(way < 0 ? { from: to, to: at, turnsFrom: turns[1], turnsTo: turns[0] } : { from: at, to, turnsFrom: turns[0], turnsTo: turns[1] });
    left -= step;
    gone += step;
    at = to % 360;
  }
  return all;
}

export interface Rect {
  x: number;
  y: number;
  w: number;
  h: number;
}

export interface Tag {
  x: number; // where the tag hangs
  y: number;
  toX: number; // the place itself
  toY: number;
}

// room is how far apart two tags hang.
const room = { x: 27, y: 24 };
const edge = 14;

// hang finds room for the tags of places (angle in degrees, depth as a share of the wall): at their angle, below or above the place where others
// hang there already; null has no room. Only at the edge of the wall a tag stands beside its angle.
export function hang(places: { angle: number; depth: number }[], box: Rect): (Tag | null)[] {
  const hung: Tag[] = [];
  return places.map(({ angle, depth }) => {
    const toX = box.x + (angle / 360) * box.w;
    const toY = box.y + Math.min(1, Math.max(0, depth)) * box.h;
    const x = Math.min(box.x + box.w - edge, Math.max(box.x + edge, toX));
    const first = Math.min(box.y + box.h - edge - 2, Math.max(box.y + edge + 2, toY));
    for (let k = 0; k * room.y <= 2 * box.h; k++) {
      const y = first + room.y * Math.ceil(k / 2) * (k % 2 ? 1 : -1);
      const inside = y >= box.y + edge && y <= box.y + box.h - edge;
      if (inside && !hung.some((one) => Math.abs(one.x - x) < room.x && Math.abs(one.y - y) < room.y)) {
        const tag = { x, y, toX, toY };
        hung.push(tag);
        return tag;
      }
    }
    return null;
  });
}
