// What this tablet remembers of its person: theme, units, sound, name.

export type Theme = "shade" | "sun";
export type Units = "metric" | "us";

const key = (name: string) => `arctally.${name}`;

// remembered survives private windows and full stores: then it is forgotten, and nothing fails.
export function remembered(name: string): string | null {
  try {
    return localStorage.getItem(key(name));
  } catch {
    return null;
  }
}

export function remember(name: string, value: string): void {
  try {
    localStorage.setItem(key(name), value);
  } catch {
    // It holds until the page is left.
  }
}

const listeners = new Set<() => void>();

// onPrefs calls back after theme, units or sound were switched; the answer ends that.
export function onPrefs(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function firstTheme(): Theme {
  const kept = remembered("theme");
  if (kept === "sun" || kept === "shade") {
    return kept;
  }
  const wants = (query: string) => matchMedia(query).matches;
  return wants("(prefers-contrast: more)") || wants("(prefers-color-scheme: light)") ? "sun" : "shade";
}

function firstUnits(): Units {
  const kept = remembered("units");
  if (kept === "metric" || kept === "us") {
    return kept;
  }
  return navigator.language === "en-US" ? "us" : "metric";
}

export const prefs = {
  theme: firstTheme(),
  units: firstUnits(),
  sound: remembered("sound") === "on",
};

export function setTheme(theme: Theme): void {
  prefs.theme = theme;
  remember("theme", theme);
  showTheme();
}

export function setUnits(units: Units): void {
  prefs.units = units;
  remember("units", units);
  tell();
}

export function setSound(on: boolean): void {
  prefs.sound = on;
  remember("sound", on ? "on" : "off");
  tell();
}

export function showTheme(): void {
  document.documentElement.dataset["theme"] = prefs.theme;
  tell();
}

function tell(): void {
  for (const listener of [...listeners]) {
    listener();
  }
}

// person is the name that was put on record last from this tablet.
export const person = {
  get: () => remembered("person") ?? "",
  set: (name: string) => remember("person", name),
};
