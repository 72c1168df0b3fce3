// `npm run verify:long`: what takes too long for every change. A hundred thousand random passive circuits, twenty
// thousand of diodes, ten thousand walked through leap by leap, a hundred million streamed steps with the memory they take, the same bits under other versions of
// Node, and the whole table once more. UPDATE_BOUNDS=1 tightens tests/bounds.json afterwards. Exits 1 where anything
// fails. Seeds continue those of the tests, so nothing is tried twice.
import { cpus } from "node:os";
import { tighten } from "../numerics/bounds.js";
import { expected } from "./checksum.js";
import { faults } from "./diodes.js";
import { engines } from "./engines.js";
import { flow } from "./flow.js";
import { measured } from "./measure.js";
import { compareMany } from "./passive.js";
import { walkMany } from "./walk.js";

let failed = 0;
const say = (ok: boolean, line: string) => {
  if (!ok) failed++;
  console.log(`${ok ? "ok  " : "FAIL"} ${line}`);
};
const begun = performance.now();
const clock = () => `${((performance.now() - begun) / 1000).toFixed(0)} s`;
console.log(`Node ${process.version}, ${cpus()[0].model}, ${new Date().toISOString().slice(0, 10)}`);

for (let tenth = 0; tenth < 10; tenth++) {
  const { beyond, worst, median } = compareMany(10_001 + tenth * 10_000, 10_000);
  const shares = `largest error ${worst.toFixed(4)} of its bound, bounds around ${median.toExponential(1)} of the state`;
  say(beyond.length === 0, `10 000 passive circuits: ${beyond.length} beyond K h², ${shares} (${clock()})`);
  if (beyond.length > 0) console.log(`     seeds ${beyond.slice(0, 20).join(", ")}`);
}

const wrong: string[] = [];
for (let seed = 2001; seed <= 22_000; seed++) wrong.push(...faults(seed));
say(wrong.length === 0, `20 000 circuits of diodes: ${wrong.length} begin in other modes (${clock()})`);
for (const line of wrong.slice(0, 20)) console.log(`     ${line}`);

for (let tenth = 0; tenth < 10; tenth++) {
  const { faults: lost, leaps, events } = walkMany(1001 + tenth * 1000, 1000);
  const seen = `${leaps} leaps walked through, ${events} events`;
  say(
    lost.length === 0,
    `1000 wild circuits: ${lost.length} guards or ends that differ, ${seen} (${clock()})`,
  );
  for (const line of lost.slice(0, 10)) console.log(`     ${line}`);
}

const { samples, steps, seconds, memory, worst } = flow(100_000_000);
for (const { steps: at, heap, buffers } of memory) {
  const mega = (bytes: number) => `${(bytes / 1e6).toFixed(2)} MB`;
  console.log(`     ${(at / 1e6).toFixed(1)} million steps: heap ${mega(heap)}, buffers ${mega(buffers)}`);
}
const [first] = memory;
const flat = memory.every((m) => m.heap < first.heap + 2e6 && m.buffers <= first.buffers + 1e5);
const speed = `${(steps / seconds / 1e6).toFixed(1)} million steps a second`;
say(
  flat && memory.length === 10,
  `${steps} steps streamed, ${samples} samples: memory flat, ${speed} (${clock()})`,
);
say(worst < 1e-7, `every 97th sample of them within ${worst.toExponential(1)} V of its closed form`);

for (const found of await engines([22, 24])) {
  if ("sum" in found)
    say(
      found.sum === expected,
      `Node ${found.version}: checksum ${found.sum}, expected ${expected} (${clock()})`,
    );
  else console.log(`     Node ${found.version}: not tried, ${found.missing}`);
}

const all = measured();
const misses = all.filter((m) => !m.pass);
say(
  misses.length === 0,
  `${all.length} claims of the table, ${misses.length} beyond their tolerance (${clock()})`,
);
for (const { row, claim, error } of misses)
  console.log(`     ${row.row}: ${claim.what}: ${error} of ${claim.bound}`);
if (process.env["UPDATE_BOUNDS"] === "1" && misses.length === 0)
  console.log(`     ${tighten(all)} bounds tightened in tests/bounds.json`);

process.exitCode = failed > 0 ? 1 : 0;
