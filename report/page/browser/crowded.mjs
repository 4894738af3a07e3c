// A stored record in which very much went wrong: a capture with a deviation every dozen seconds, imported as any other one.
import { cp, writeFile } from "node:fs/promises";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { arctally } from "./rig.mjs";

const demo = path.join(path.dirname(fileURLToPath(import.meta.url)), "../../../testdata/job/demo");
const step = 0.1; // s
const every = 12; // s from one deviation to the next
const lasts = 4; // s
const layer = 480; // s: ten turns at 1.25 rpm
const pause = 30; // s between the layers

const good = { v: 17.5, i: 140, wire: 5.5 / 60, rate: 1.25 / 60 };
// What goes wrong in turn, each by a cause of its own.
const wrong = [
  { wire: 3 / 60, i: 90 }, // the wire slips
  { wire: 7.6 / 60, i: 175 }, // it is fed too fast
  { v: 0, i: 0, rate: good.rate }, // the arc is lost
  { v: 21 }, // the set voltage
  { i: 92, v: 20 }, // the distance from tip to wall
  { rate: 0.7 / 60 }, // the rotation
  { v: 0 }, // current alone: the lead of the voltage is off
  { v: 60, i: 0 }, // voltage alone: the work clamp
];

// crowded puts a record of so many layers into a folder.
export async function crowded(folder, record, layers) {
  await cp(demo, folder, { recursive: true });
  const job = path.join(folder, "crowded.yaml");
  await writeFile(job, `job: Demo loader, boom pin bore, all over
procedure: procedures/gmaw-short-arc.yaml
bore: {worn_diameter: 92.0 mm, finish_diameter: 90.0 mm, length: 33 mm, axis: horizontal}
deposit: {pattern: helix, pitch: 3.0 mm, wire_diameter: 0.9 mm}
rotation: {speed: 1.25 rpm, start_angle: 0 deg}
setpoints: {voltage: 17.5 V, current: 140 A, wire_speed: 5.5 m/min, travel_speed: 360 mm/min}
people: {operator: Operator 1, inspector: Inspector 1}
`);
  const lines = ["t,v,i,w,n"];
  let turns = 0;
  for (let n = 0, k = 0; n < layers * (layer + pause) / step; n++) {
    const t = n * step;
    const within = t % (layer + pause);
    const at = within % every;
    const burning = within < layer;
    if (burning && at < step / 2) {
      k++;
    }
    const off = burning && at >= 5 && at < 5 + lasts ? wrong[k % wrong.length] : {};
    const now = burning ? { ...good, ...off } : { v: 0, i: 0, wire: 0, rate: 0 };
    turns += now.rate * step;
    const ripple = burning && now.v > 0 && now.i > 0 ? 0.05 * (n % 3) : 0;
    lines.push([t.toFixed(1), (now.v + ripple).toFixed(2), now.i + (ripple > 0 ? n % 2 : 0), now.wire.toFixed(5), turns.toFixed(6)].join(","));
  }
  const capture = path.join(folder, `${record}.csv`);
  await writeFile(capture, lines.join("\n") + "\n");
  await arctally("import", capture, "--job", job, "-o", path.join(folder, `${record}.arctally`), "--time", "t", "--time-layout", "unix", "--voltage", "v", "--current", "i", "--wire-speed", "w", "--turns", "n");
}
