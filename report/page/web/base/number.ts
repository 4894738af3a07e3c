// Numbers as people type them, by the rule of the program (acquire/quantity): here only to draw and to say what was read.
// What the program keeps it reads itself, from the text as it was typed.

// numberOf is what a typed number is; null where it is none, or may be two things.
export function numberOf(text: string): number | null {
  const typed = text.trim();
  const fraction = /^(?:(\d+)(?: +|-))?(\d+)\/(\d+)$/.exec(typed);
  if (fraction) {
    const [whole, part, of] = [Number(fraction[1] ?? 0), Number(fraction[2]), Number(fraction[3])];
    return [2, 4, 8, 16, 32, 64].includes(of) && part > 0 && part < of ? whole + part / of : null;
  }
  if (!/^[+-]?(\d+([.,]\d+)?|[.,]\d+)([eE][+-]?\d+)?$/.test(typed) || /^[+-]?[1-9]\d{0,2},\d{3}([eE]|$)/.test(typed)) {
    return null;
  }
  const value = Number(typed.replace(",", "."));
  return Number.isFinite(value) ? value : null;
}

// splitQuantity parts "92.0 mm" or "3 5/8 in" into number and unit; what is no number stays with the digits, so that nothing typed is lost.
export function splitQuantity(text: string): [string, string] {
  const found = /^((?:\d+(?: +|-))?\d+\/\d+|[+-]?[\d.,]+(?:[eE][+-]?\d+)?)\s*(.*)$/.exec(text.trim());
  return found ? [found[1]!, found[2]!.trim()] : [text.trim(), ""];
}
