// Tones for those who look at the arc and not at the page. A browser gives no tone before the page was touched once.

type Tone = [frequency: number, start: number, length: number]; // Hz, s, s

const patterns = {
  deviation: [[740, 0, 0.11], [740, 0.17, 0.11], [988, 0.34, 0.34]], // short, short, long and up
  lost: [[620, 0, 0.22], [466, 0.27, 0.22], [349, 0.54, 0.4]], // three, falling
  over: [[523, 0, 0.12], [392, 0.15, 0.2]],
} satisfies Record<string, Tone[]>;

let context: AudioContext | null = null;

// wakeSound opens the loudspeaker at the first touch or key, until the signal ends.
export function wakeSound(woken: () => void, signal: AbortSignal): void {
  const wake = () => {
    context ??= typeof AudioContext === "undefined" ? null : new AudioContext();
    void context?.resume().then(woken, () => undefined);
  };
  addEventListener("pointerdown", wake, { signal, passive: true });
  addEventListener("keydown", wake, { signal });
}

// canSound says whether a tone would be heard.
export function canSound(): boolean {
  return context?.state === "running";
}

export function play(name: keyof typeof patterns): void {
  const c = context;
  if (c?.state !== "running") {
    return;
  }
  for (const [frequency, start, length] of patterns[name]) {
    const from = c.currentTime + 0.02 + start;
    const tone = new OscillatorNode(c, { type: "triangle", frequency });
    const loud = new GainNode(c, { gain: 0 });
    loud.gain.setValueAtTime(0, from);
    loud.gain.linearRampToValueAtTime(0.5, from + 0.015);
    loud.gain.setValueAtTime(0.5, from + length - 0.03);
    loud.gain.linearRampToValueAtTime(0, from + length);
    tone.connect(loud).connect(c.destination);
    tone.start(from);
    tone.stop(from + length + 0.02);
  }
}
