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
      parent.appendChild(document.createTextNode(String(child)));
    }
  }
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
