// The sentences of the program, which are metric as its JSON is, in the units that the person reads: the rule of report/sheet
// (unitwords.go), held to it by testdata/units/sentences.tsv.
import { prefs } from "./prefs";
import { convert } from "./units";

const us: Record<string, string> = {
  "kJ/mm": "kJ/in", "mm/min": "in/min", "m/min": "in/min", "L/min": "ft3/h", mm2: "in2", degC: "degF", kg: "lb", mm: "in", m: "ft", g: "lb", L: "ft3",
};
const inch = 25.4;
// Of these only the length is another one; 1 ksi is 4448.2216152605 N on a square inch.
const scaled: Record<string, [string, number]> = { "mm/min/A": ["in/min/A", 1 / inch], "mm/s": ["in/s", 1 / inch], "A/mm": ["A/in", inch], MPa: ["ksi", (inch * inch) / 4448.2216152605] };

const number = String.raw`[+-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?`;
const said = new RegExp(`(${number})(?:( to |\\.\\.)(${number}))? (kJ/mm|mm/min/A|mm/min|mm/s|m/min|L/min|A/mm|mm2|MPa|degC|kg|mm|m|g|L)`, "g");

// inWords is a sentence of the program in the person's units. What stands in quotes is somebody else's word, and stays.
export function inWords(sentence: string): string {
  if (prefs.units !== "us") {
    return sentence;
  }
  return sentence.replace(said, (all: string, first: string, to: string | undefined, second: string | undefined, unit: string, at: number) => {
    const end = sentence[at + all.length] ?? "";
    if (/[\w.]/.test(sentence[at - 1] ?? "") || /[\w/]/.test(end) || (sentence.slice(0, at).split('"').length - 1) % 2 === 1) {
      return all;
    }
    const [name, factor] = scaled[unit] ?? [us[unit]!, null];
    const of = (value: number) => (factor === null ? convert(value, unit, name)! : value * factor);
    return `${converted(first, of)}${to ? to + converted(second!, of) : ""} ${name}`;
  });
}

// converted gives a printed number no more digits than it takes to say no less: see the rule in unitwords.go.
function converted(metric: string, of: (value: number) => number): string {
  const value = of(Number(metric));
  const step = of(1) - of(0);
  const [whole = "", fraction = ""] = metric.replace(/^[+-]+/, "").replace(/e.*/, "").split(".");
  let text: string;
  if (metric.includes("e") || (whole + fraction).replace(/^0+/, "").length > 6) {
    text = String(Number(value.toPrecision(6))).replace(/e([+-])(\d)$/, "e$10$2"); // two figures, as the program writes it
  } else {
    let decimals = Math.ceil(fraction.length - Math.log10(step) - 1e-9);
    if (value !== 0 && step > 1 && of(0) === 0) {
      decimals = Math.max(decimals, 2 - Math.floor(Math.log10(Math.abs(value))));
    }
    text = value.toFixed(Math.max(0, decimals));
  }
  return metric.startsWith("+") && value > 0 ? `+${text}` : text;
}

// The fields in which the program speaks; in rows of some lists the plain field does.
const spoken = new Set(["sentence", "sentences", "headline", "words", "claim", "missing", "remedy", "why", "answer", "notes", "said", "preheat_basis", "t85_from_basis", "window", "set_to", "passes"]);
const rows: Record<string, string> = { warnings: "text", reasons: "text", remarks: "text", facts: "value" };

// speaking makes every sentence of an answer say itself in the units that hold when it is read: they may be switched meanwhile.
// A set-up check of a channel in degC stays as it is: its correction holds for readings in degC.
export function speaking<T>(answer: T, under = ""): T {
  if (answer === null || typeof answer !== "object" || ("figures" in answer && /degC/.test(String((answer as Record<string, unknown>)["sentence"])))) {
    return answer;
  }
  for (const [key, value] of Object.entries(answer)) {
    const name = Array.isArray(answer) ? under : key;
    if (typeof value !== "string") {
      speaking(value, name);
    } else if (spoken.has(name) || rows[under] === name || (name === "text" && "check" in answer)) {
      Object.defineProperty(answer, key, { get: () => inWords(value), enumerable: true, configurable: true });
    }
  }
  return answer;
}
