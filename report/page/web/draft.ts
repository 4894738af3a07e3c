// What a person typed and has not saved: it outlives a reload, a closed lid and a network that is away.
import type { Values } from "./values";

export interface Draft {
  values: Values;
  etag: string | null; // what the file was when it was read; null is a new one
  base: Values; // its values then
}

const key = (name: string) => `arctally.draft.${name}`;

export function keepDraft<T>(name: string, draft: T): void {
  try {
    sessionStorage.setItem(key(name), JSON.stringify(draft));
  } catch {
    // The form itself still holds it.
  }
}

export function readDraft<T>(name: string): T | null {
  try {
    const text = sessionStorage.getItem(key(name));
    return text === null ? null : (JSON.parse(text) as T);
  } catch {
    return null;
  }
}

export function dropDraft(name: string): void {
  try {
    sessionStorage.removeItem(key(name));
  } catch {
    // There was none.
  }
}

// differ tells whether two sets of values say different things; an empty text is no value.
export function differ(a: Values, b: Values): boolean {
  return [...new Set([...Object.keys(a), ...Object.keys(b)])].some((k) => (a[k] ?? "") !== (b[k] ?? ""));
}
