// Words fitted into a place of a fixed size: the first form that fits at the smallest size is taken, then the largest size that holds it.
const known = new Map<string, number>(); // how wide words are, in their own size
let rooms = new WeakMap<Element, [wide: number, high: number]>(); // measured once for each size of the glass
let pen: CanvasRenderingContext2D | null = null;

addEventListener("resize", () => {
  rooms = new WeakMap();
});

function widthOf(words: string): number {
  const key = words.replace(/\d/g, "0"); // figures are as wide as one another
  let width = known.get(key);
  if (width === undefined) {
    if (known.size > 500) {
      known.clear();
    }
    pen ??= document.createElement("canvas").getContext("2d")!;
    pen.font = `700 100px ${getComputedStyle(document.body).fontFamily}`;
    width = pen.measureText(key).width / 100;
    known.set(key, width);
  }
  return width;
}

function roomOf(element: Element): [number, number] {
  let room = rooms.get(element);
  if (!room) {
    room = [element.clientWidth - 1, element.clientHeight];
    if (room[0] > 0) {
      rooms.set(element, room);
    }
  }
  return room;
}

// fit writes the words; sizes are in px, the largest first. Words that fit in no form are cut at their end, never made smaller.
export function fit(element: HTMLElement, forms: string[], sizes: number[]): void {
  const [wide, high] = roomOf(element);
  const may = sizes.filter((px) => px <= high);
  const smallest = may[may.length - 1] ?? sizes[sizes.length - 1]!;
  const words = forms.find((one) => widthOf(one) * smallest <= wide) ?? forms[forms.length - 1] ?? "";
  const px = `${may.find((one) => widthOf(words) * one <= wide) ?? smallest}px`;
  if (element.textContent !== words) {
    element.textContent = words;
  }
  if (element.style.fontSize !== px) {
    element.style.fontSize = px;
  }
}

// fitFigure writes a figure, which is never cut: half of a number is another number.
export function fitFigure(element: HTMLElement, figure: string): void {
  fit(element, [figure], [78, 70, 64, 56, 50, 44, 38, 32, 26, 20, 14]);
}
