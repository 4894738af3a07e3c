// What a person typed and has not saved: it outlives a reload, a closed lid and a network that is away.

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
