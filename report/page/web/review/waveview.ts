// Which stretch of an axis is shown, and how fingers, wheel, keys and buttons move it. All charts of a page share one view.
import { h } from "../base/dom";

export class View {
  from: number;
  until: number;
  private readonly watchers = new Set<() => void>();

  // The view never leaves [min, max], and never gets shorter than least.
  constructor(readonly min: number, readonly max: number, readonly least: number) {
    this.from = min;
    this.until = max;
  }

  onChange(watcher: () => void): void {
    this.watchers.add(watcher);
  }

  set(from: number, until: number): void {
    const span = Math.min(this.max - this.min, Math.max(this.least, until - from));
    let a = (from + until - span) / 2;
    a = Math.min(Math.max(a, this.min), this.max - span);
    if (a !== this.from || a + span !== this.until) {
      this.from = a;
      this.until = a + span;
      this.watchers.forEach((watcher) => watcher());
    }
  }

  // zoom shortens the view by a factor above 1 and keeps a point where it is.
  zoom(factor: number, around = (this.from + this.until) / 2): void {
    const span = Math.min(this.max - this.min, Math.max(this.least, (this.until - this.from) / factor));
    const share = (around - this.from) / (this.until - this.from);
    this.set(around - share * span, around + (1 - share) * span);
  }

  pan(share: number): void {
    const by = share * (this.until - this.from);
    this.set(this.from + by, this.until + by);
  }

  whole(): void {
    this.set(this.min, this.max);
  }
}

// handle lets fingers and the wheel move a view over a surface: one finger shifts it, two stretch it.
export function handle(surface: HTMLElement, view: View, tapped: (at: number) => void): void {
  const fingers = new Map<number, number>(); // x by pointer
  let moved = 0;
  const at = (x: number) => {
    const box = surface.getBoundingClientRect();
    return view.from + ((x - box.left) / box.width) * (view.until - view.from);
  };
  surface.style.touchAction = "pan-y";
  surface.addEventListener("pointerdown", (event) => {
    if (event.button === 0) {
      fingers.set(event.pointerId, event.clientX);
      surface.setPointerCapture(event.pointerId);
      moved = fingers.size > 1 ? Infinity : 0;
    }
  });
  surface.addEventListener("pointermove", (event) => {
    const was = fingers.get(event.pointerId);
    if (was === undefined) {
      return;
    }
    const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1];
    const width = surface.getBoundingClientRect().width;
    if (other === undefined) {
      view.pan((was - event.clientX) / width);
    } else {
      stretch(view, at(was), at(other), was, event.clientX, other, surface.getBoundingClientRect());
    }
    moved += Math.abs(event.clientX - was);
    fingers.set(event.pointerId, event.clientX);
  });
  const lift = (event: PointerEvent) => {
    if (fingers.delete(event.pointerId) && fingers.size === 0 && moved < 6 && event.type === "pointerup") {
      tapped(at(event.clientX));
    }
  };
  surface.addEventListener("pointerup", lift);
  surface.addEventListener("pointercancel", lift);
  surface.addEventListener("wheel", (event) => {
    event.preventDefault();
    if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) {
      view.pan(event.deltaX / surface.clientWidth);
    } else {
      view.zoom(Math.pow(1.25, -Math.sign(event.deltaY) * Math.min(3, Math.abs(event.deltaY) / 60)), at(event.clientX));
    }
  }, { passive: false });
}

// stretch keeps what is under two fingers under them, while one of them moves from was to now.
function stretch(view: View, moving: number, resting: number, was: number, now: number, other: number, box: DOMRect): void {
  if (Math.abs(now - other) < 12 || Math.abs(was - other) < 1) {
    return;
  }
  const perPixel = (moving - resting) / (now - other);
  if (perPixel > 0) {
    const from = resting - (other - box.left) * perPixel;
    view.set(from, from + box.width * perPixel);
  }
}

// onKeys lets keys move a view: + and - zoom, arrows shift, Home shows the whole.
export function onKeys(element: HTMLElement, view: View): void {
  element.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !(event.target instanceof HTMLElement) || /^(INPUT|SELECT|TEXTAREA)$/.test(event.target.tagName)) {
      return;
    }
    const acts: Record<string, () => void> = {
      "+": () => view.zoom(2), "=": () => view.zoom(2), "-": () => view.zoom(0.5), "_": () => view.zoom(0.5),
      ArrowLeft: () => view.pan(-0.25), ArrowRight: () => view.pan(0.25), ArrowUp: () => view.zoom(2), ArrowDown: () => view.zoom(0.5), Home: () => view.whole(),
    };
    const act = acts[event.key];
    if (act) {
      event.preventDefault();
      act();
    }
  });
}

// viewButtons are the same for those who touch.
export function viewButtons(view: View, whole: string): HTMLElement {
  const button = (name: string, words: string, act: () => void) => h("button", { type: "button", "aria-label": words, title: words, class: "view-button", onclick: act }, name);
  const zoomOut = button("−", "Show more", () => view.zoom(0.5));
  const all = h("button", { type: "button", onclick: () => view.whole() }, whole);
  const left = button("◀", "Earlier", () => view.pan(-0.5));
  const right = button("▶", "Later", () => view.pan(0.5));
  const zoomIn = button("+", "Show less, larger", () => view.zoom(2));
  const look = () => {
    const full = view.until - view.from >= view.max - view.min;
    zoomOut.disabled = full;
    all.disabled = full;
    left.disabled = view.from <= view.min;
    right.disabled = view.until >= view.max;
    zoomIn.disabled = view.until - view.from <= view.least;
  };
  view.onChange(look);
  look();
  return h("div", { class: "view-buttons", role: "group", "aria-label": "Zoom and shift" }, zoomOut, zoomIn, left, right, all);
}
