// Elements without a framework. Text is always set as text, never as HTML.

export type Child = Node | string | number | null | undefined | false | Child[];
type Handler = (event: never) => unknown;
export type Attributes = Record<string, string | number | boolean | null | undefined | Handler>;

const svgNames = "http://www.w3.org/2000/svg";

// h makes an HTML element: h("button", {class: "go", onclick: start}, "Start").
// An attribute that is false, null or undefined is left out; true is set empty.
export function h<K extends keyof HTMLElementTagNameMap>(tag: K, attributes: Attributes = {}, ...children: Child[]): HTMLElementTagNameMap[K] {
  return dress(document.createElement(tag), attributes, children);
}

// s makes an SVG element.
export function s<K extends keyof SVGElementTagNameMap>(tag: K, attributes: Attributes = {}, ...children: Child[]): SVGElementTagNameMap[K] {
  return dress(document.createElementNS(svgNames, tag), attributes, children);
}

function dress<E extends Element>(element: E, attributes: Attributes, children: Child[]): E {
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") {
      element.addEventListener(name.slice(2), value as EventListener);
    } else if (value === true) {
      element.setAttribute(name, "");
    } else if (value !== false && value !== null && value !== undefined) {
      element.setAttribute(name, String(value));
    }
  }
  append(element, children);
  return element;
}

export function append(parent: Node, children: Child[]): void {
  for (const child of children) {
    if (Array.isArray(child)) {
      append(parent, child);
    } else if (child instanceof Node) {
      parent.appendChild(child);
    } else if (child !== null && child !== undefined && child !== false) {
      parent.appendChild(wording(visible(String(child)), parent));
    }
  }
}

// hidden are characters that show nothing by themselves, and may turn what stands around them: the rule of acquire/foreign.
const hidden = /[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\p{Default_Ignorable_Code_Point}]/gu;
const variants = /[\n\t\p{Variation_Selector}]/u;

// visible shows hidden characters by their numbers, as the terminal does: words from outside rule nothing on a page.
export function visible(text: string): string {
  return text.replace(hidden, (one) => variants.test(one) ? one : one.split("").map((unit) => `\\u${unit.charCodeAt(0).toString(16).padStart(4, "0")}`).join(""));
}

// Letters that are written from the right, and would draw the figures behind them to their other side.
const leftward = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefe\u{10800}-\u{10fff}\u{1e800}-\u{1efff}]/u;

// wording is a text for a parent: in a direction of its own where it has such letters.
function wording(text: string, parent: Node): Node {
  const plain = document.createTextNode(text);
  if (!(parent instanceof HTMLElement) || parent instanceof HTMLOptionElement || !leftward.test(text)) {
    return plain;
  }
  const own = document.createElement("bdi");
  own.appendChild(plain);
  return own;
}

// fill puts other children in the place of all that are there.
export function fill(parent: Element, ...children: Child[]): void {
  parent.replaceChildren();
  append(parent, children);
}

let ids = 0;

// uid is an id that no other element of the page has.
export function uid(stem: string): string {
  ids++;
  return `${stem}-${ids}`;
}
