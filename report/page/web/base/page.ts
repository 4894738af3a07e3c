// What a page is to the shell around it.

export interface Crumb {
  text: string;
  href: string;
}

export interface Page {
  title: string; // document title and heading
  trail?: Crumb[]; // where one is, from home on; the shell adds the page itself
  quiet?: boolean; // the heading is read out but not shown: the page needs the room
  wide?: boolean; // the page takes the whole width
  // render fills root, once. What it waits for ends with the signal, when the page is left.
  render(root: HTMLElement, signal: AbortSignal): void | Promise<void>;
  // leave ends listeners and timers.
  leave(): void;
}

// link makes the address of a page; its parts may hold any character.
export function link(...parts: (string | number)[]): string {
  return "#/" + parts.map((part) => encodeURIComponent(part)).join("/");
}
