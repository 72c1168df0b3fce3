// The same job from a script: compile a design, simulate it, look at a trace, judge the checks.
import { readFileSync } from "node:fs";
import { compile, engineering, simulate, verifyAll } from "rampwright";

const file = process.argv[2] ?? "line.ramp";
const design = compile(readFileSync(file, "utf8"), { name: file });
const run = simulate(design, { until: "1 ms" });
if (run.status === "stopped") throw new Error(run.reason);

const ramp = run.trace("ramp");
console.log(`${design.title}: ${ramp.time.length} samples up to ${engineering(run.reached, "s")}`);
console.log(`at 60 µs: ${engineering(ramp.at(60e-6), ramp.unit)}`);
console.log(`every 8 µs: ${ramp.resample(8e-6, 0, 64e-6).length} values`);

for (const { name, case: drawn, measured, unit, pass } of verifyAll(design)) {
  console.log(`${pass ? "pass" : "FAIL"}  ${drawn || "as drawn"}: ${name}, ${engineering(measured, unit)}`);
}
