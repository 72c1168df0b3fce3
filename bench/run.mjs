// Side-by-side benches: the tool against a loop written by hand for one circuit, and the whole of an example.
// Takes `--short` for a tenth of the length; prints a table and writes out/bench.json:
// [ { name, seconds, ratios: { against: number }, ... } ]. Always: each time is the best of several, in one process,
// and what is timed is also checked: a run that did not end, or a peak off its closed form, is an error.
import { spawnSync } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { cpus } from "node:os";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

process.chdir(fileURLToPath(new URL("..", import.meta.url)));
const short = process.argv.includes("--short");
mkdirSync("out", { recursive: true });
await build({
  entryPoints: ["bench/byhand.ts"],
  outfile: "out/byhand.mjs",
  format: "esm",
  target: "node20",
  logLevel: "warning",
});
const { loop, settled } = await import("../out/byhand.mjs");
const { balance, compile, simulate, verify } = await import("../dist/index.js");

// The values of examples/line.ramp.
const line = {
  period: 64e-6,
  pulse: 4.7e-6,
  rail: 12,
  logic: 5,
  charge: 1e-3,
  headroom: 0.9,
  output: 2e6,
  hold: 15e-9,
  on: 5,
  drop: 0.6,
  diode: 10,
};
const field = { ...line, period: 20e-3, pulse: 155.3e-6, charge: 0.94e-3, hold: 4.7e-6 };
const example = (name) => compile(readFileSync(`examples/${name}.ramp`, "utf8"), { name });
const plainField = () => {
  // The field sweep of the bench is that of nestbox.ramp: a switch without saturation, so that a closed form exists.
  const text = readFileSync("examples/line.ramp", "utf8")
    .replace("line sync", "field sync")
    .replace("15 nF", "4.7 uF")
    .replace("1.00 mA", "0.94 mA");
  return compile(text, { name: "field" });
};

const results = [];
sweep("line sweep", example("line"), line, short ? 0.1 : 1, 100e-9);
sweep("field sweep", plainField(), field, short ? 0.2 : 1, 100e-9);
whole();
wholeBoard();

writeFileSync("out/bench.json", `${JSON.stringify(results, null, 2)}\n`);
console.log(`${cpus()[0]?.model ?? "unknown processor"}, Node ${process.version}; written to out/bench.json`);

/** One sweep for so many seconds of its time, against the loop. */
function sweep(name, design, values, seconds, step) {
  const periods = Math.round(seconds / values.period);
  let run;
  const own = best(() => {
    run = simulate(design, { until: seconds });
  });
  let volts;
  const hand = best(() => {
    volts = loop(values, seconds, step);
  });
  if (run.status !== "complete") throw new Error(`${name}: ${run.reason}`);
  const exact = settled(values).peak;
  const at = values.period * (periods - 1);
  const error = Math.abs(run.trace("ramp").at(at) / exact - 1);
  const handError = Math.abs(volts[Math.round(at / step) - 1] / exact - 1);
  if (!(error < 1e-6)) throw new Error(`${name}: the peak is off by ${error}`);
  const account = balance(run);
  const { steps } = run.statistics;
  results.push({
    name,
    seconds: own,
    ratios: { "loop written by hand, 100 ns": own / hand },
    simulatedSeconds: seconds,
    periods,
    steps,
    stepsAPeriod: steps / periods,
    nanosecondsAStep: (own / steps) * 1e9,
    peakError: error,
    peakErrorByHand: handError,
    currentLaw: account.currentLaw,
    energy: account.energy,
  });
  say([
    `${name}: ${seconds} s, ${periods} periods`,
    `${own.toFixed(3)} s, ${(steps / periods).toFixed(1)} steps a period, ${((own / steps) * 1e9).toFixed(0)} ns a step`,
    `loop by hand ${hand.toFixed(3)} s (${Math.round(seconds / step)} steps); ratio ${(own / hand).toFixed(2)}`,
    `peak off its closed form by ${error.toExponential(1)}, by hand ${handError.toExponential(1)}`,
    `current law ${account.currentLaw.toExponential(1)}, energy ${account.energy.toExponential(1)}`,
  ]);
}

/** The example with all its cases, from text to verdicts. */
function whole() {
  const text = readFileSync("examples/nestbox.ramp", "utf8");
  let checks = [];
  let steps = 0;
  const seconds = best(() => {
    const run = simulate(compile(text));
    steps = run.statistics.steps;
    checks = verify(run, {
      ran: (r) => {
        steps += r.statistics.steps;
      },
    });
  });
  if (!checks.every((c) => c.pass)) throw new Error("nestbox: a check fails");
  results.push({ name: "nestbox with all cases", seconds, ratios: {}, checks: checks.length, steps });
  say([`nestbox with all cases: ${seconds.toFixed(3)} s`, `${checks.length} checks, ${steps} steps`]);
}

/** The whole board, two frames of a crosshatch with both pictures: once, in a process of its own. */
function wholeBoard() {
  const { stdout, stderr, status } = spawnSync(
    process.execPath,
    ["bench/board.mjs", ...(short ? ["--short"] : [])],
    { encoding: "utf8" },
  );
  if (status !== 0) throw new Error(`board: ${stderr}`);
  const { seconds, laps, bytes, steps, simulatedSeconds } = JSON.parse(stdout);
  const lines = simulatedSeconds / line.period;
  results.push({
    name: "board, crosshatch, both pictures",
    seconds,
    ratios: {},
    simulatedSeconds,
    steps,
    laps,
    bytes,
  });
  say([
    `board, ${simulatedSeconds} s of a crosshatch with both pictures: ${seconds.toFixed(1)} s, ${(bytes / 1e6).toFixed(0)} MB at most`,
    `${(steps / lines).toFixed(0)} steps a line, ${((laps.simulate / steps) * 1e9).toFixed(0)} ns a step`,
    `simulated in ${laps.simulate.toFixed(1)} s, screen ${laps.screen.toFixed(1)} s, waveforms ${laps.waveforms.toFixed(1)} s`,
  ]);
}

/** Seconds of the fastest of several goes. */
function best(action) {
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0; k < (short ? 2 : 5); k++) {
    const start = process.hrtime.bigint();
    action();
    least = Math.min(least, Number(process.hrtime.bigint() - start) / 1e9);
  }
  return least;
}

function say([head, ...rest]) {
  console.log(head);
  for (const words of rest) console.log(`  ${words}`);
}
