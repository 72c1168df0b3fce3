// Writes examples/captures: captures of the nest-box monitor's line sweep, by itself and on the whole board, each on a good board and on
// three with a fault, made by the sweep's closed form and not by the simulator, and a bag of capacitors:
// `node .ci/script.mjs tests/captures/bench.ts`.
import { mkdirSync, writeFileSync } from "node:fs";
import { captureText, evens, type Instrument, lineSweep, sweep } from "./generator.js";

/** Eight bits over 10 V, a sample every 200 ns, five lines; noise of 8 mV. */
const scope: Instrument = { samples: 1600, interval: 200e-9, begin: 21e-6, step: 10 / 256, noise: 0.008 };
const { supply, output, current } = lineSweep;

/** With no sync the ramp rises until something holds it: the guard, a drop of 0.6 V and 10 ohm above 5 V. */
const guarded = (5.6 / 10 + current + supply / output) / (1 / 10 + 1 / output);
/** Without a guard it rises until the source has no headroom left: 12 V less 0.9 V. */
const unguarded = supply;

const header =
  "Made by the closed form of the sweep with noise of 8 mV and steps of 39 mV and not taken from a board";

const boards: readonly [file: string, says: string, curve: (t: number) => number][] = [
  ["good", "a good board", sweep(lineSweep)],
  [
    "timing",
    "a board with 18 nF in the place of the timing capacitor's 15 nF",
    sweep({ ...lineSweep, capacitance: 18e-9 }),
  ],
  ["halted", "a board whose ramp is never reset: no sync comes, or the switch stays open", () => guarded],
  ["guard", "the same with the guard diode open", () => unguarded],
];
for (const [file, says, curve] of boards) {
  const text = captureText(curve, scope, file.length).replace("made by,a generator", `# ${header}: ${says}.`);
  writeFileSync(`examples/captures/${file}.csv`, text);
}

// The whole board: its line gate and its line ramp at once, five lines.
const pulses = (t: number) => (t % lineSweep.period < lineSweep.reset ? 5 : 0);
const still = () => 0;
const whole: readonly [file: string, says: string, curves: readonly ((t: number) => number)[]][] = [
  ["good", "a good board", [pulses, sweep(lineSweep)]],
  [
    "halted",
    "the ramp stops at 5.6 V and the picture is gone, though the gate is there",
    [pulses, () => guarded],
  ],
  ["silent", "the ramp stops at 5.6 V and the gate is gone", [still, () => guarded]],
  [
    "large",
    "33 nF in the place of the timing capacitor's 15 nF",
    [pulses, sweep({ ...lineSweep, capacitance: 33e-9 })],
  ],
];
mkdirSync("examples/captures/board", { recursive: true });
for (const [file, says, curves] of whole) {
  const text = captureText(curves, { ...scope, samples: 640, interval: 500e-9 }, file.length);
  const said = `# ${header}: the line gate (CH1) and the line ramp (CH2) of the whole board; ${says}.`;
  writeFileSync(`examples/captures/board/${file}.csv`, text.replace("made by,a generator", said));
}

// Twelve capacitors of each ramp as a bridge would show them, anywhere within 5 %.
const next = evens(2026);
const within = (value: number) => (value * (0.95 + 0.1 * next())).toPrecision(4);
const bag = Array.from({ length: 12 }, (_, k) => `${k + 1},${within(15)},${within(4.7)}`);
writeFileSync(
  "examples/captures/bag.csv",
  `# Made by a generator, anywhere within 5 %, and not measured of any parts.\npart,line (nF),field (uF)\n${bag.join("\n")}\n`,
);
