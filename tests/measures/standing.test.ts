import { expect, test } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";

// 1 mA into 15 nF for 59.3 µs would make 3.953 V; a rail that is too low, or a guard without resistance, stops it at `top`, after
// 15 µs a volt. From there on the slope is nothing: the error is all of it (Millman & Taub, 1965). The largest distance from the line
// between the ends is at the knee, by straight geometry.
const length = 59.3e-6;
const circuit = (stop: string, more = "") => `
supply plus12 = 12 V
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
${stop}
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
${more}
run for 640 us, from settled
`;
const feed = "current feed plus12 -> ramp 1 mA";
const stops: [string, string, number][] = [
  ["headroom", "supply low = 4.5 V\ncurrent feed low -> ramp 1 mA, headroom 0.9 V", 3.6],
  ["an ideal guard", `supply clamp = 3 V\n${feed}\ndiode guard ramp -> clamp drop 0.6 V`, 3.6],
  ["a hard guard", `supply clamp = 3 V\n${feed}\ndiode guard ramp -> clamp drop 0.59 V, on 10 ohm`, 3.6],
  ["for a fiftieth", "supply low = 4.77 V\ncurrent feed low -> ramp 1 mA, headroom 0.9 V", 3.87],
];

test.each(stops)("a ramp that stands at its top counts up to its reset: %s", (_, stop, top) => {
  const run = simulate(compile(circuit(stop)));
  const worst = (words: string) => measure(run, `${words} of ramp each gate`).value;
  expect(worst("sweep error")).toBeCloseTo(1, 6);
  const knee = ((top - 5e-3) * 15e-9) / 1e-3;
  expect(Math.abs(worst("displacement error") - (1 - knee / length))).toBeLessThan(3e-3);
  expect(Math.abs(worst("transmission error") - (1 - knee / length))).toBeLessThan(3e-3);
  // A window that ends before the reset.
  if (knee < 57e-6)
    expect(measure(run, "sweep error of ramp each gate from 6 us to 63 us").value).toBeCloseTo(1, 6);
});

// The same geometry from 2 V up: a sweep is no other for what it stands on.
test("so does one that starts from above zero", () => {
  const stop =
    "supply base = 2 V\nsupply clamp = 3 V\ncurrent feed plus12 -> ramp 1 mA\ndiode guard ramp -> clamp drop 0.6 V";
  const run = simulate(compile(circuit(stop).replaceAll("ramp -> ground", "ramp -> base")));
  // From within one reset to the end of the next, so that its way down is seen too.
  const worst = (words: string) => measure(run, `${words} of ramp from 66 us to 130 us`).value;
  const knee = ((1.6 - 5e-3) * 15e-9) / 1e-3;
  expect(worst("sweep error")).toBeCloseTo(1, 6);
  expect(Math.abs(worst("displacement error") - (1 - knee / length))).toBeLessThan(3e-3);
});

test("so does one that falls", () => {
  const run = simulate(
    compile(
      circuit("").replace(
        /capacitor[\s\S]*?ohm\n/,
        `supply low = 8.4 V
current feed ramp -> low 1 mA, headroom 0 V
capacitor hold plus12 -> ramp 15 nF
switch reset plus12 -> ramp closed while gate above 2.5 V, on 5 ohm
`,
      ),
    ),
  );
  expect(measure(run, "sweep error of ramp each gate").value).toBeCloseTo(1, 6);
});

test("one that sags from its top until its reset counts too, and one that jumps back", () => {
  for (const back of ["on 5 ohm", "on 1 mohm"]) {
    const run = simulate(
      compile(
        circuit(
          "current feed plus12 -> ramp pulse 0 mA to 1 mA, wide 54 us, every 64 us, first 4.7 us",
          "resistor leak ramp -> ground 300 kohm",
        ).replace("on 5 ohm", back),
      ),
    );
    expect(measure(run, "sweep error of ramp each gate").value).toBeGreaterThan(1);
  }
});

test("what ends where it turns does not stand there", () => {
  const run = simulate(compile("signal wave = path 0 V at 0 s, 5 V at 1 ms, 0 V at 1.9 ms, every 1.9 ms"));
  expect(measure(run, "sweep error of wave each wave").value).toBeLessThan(1e-9);
});

test("what stands still but for rounding has no edge, no sweep and no period", () => {
  // A one-shot that is triggered anew before it ends stands at 5 V through 100 ohm beside 1 kohm, after ten time constants of 91 ns
  // to the last bits: then nothing moves by more than rounding.
  const run = simulate(
    compile(`
signal gate = pulse 0 V to 5 V, wide 10 us, every 64 us, first 20 us
oneshot busy gate -> out lasts 150 us, retriggerable
resistor load out -> ground 1 kohm
capacitor stray out -> ground 1 nF`),
    { until: "2 ms", start: "rest" },
  );
  const out = run.trace("out");
  expect(out.at(1.9e-3) / (5 / 1.1)).toBeCloseTo(1, 12);
  const each = (words: string) => measure(run, `${words} of out each gate`).periods!.slice(1);
  for (const words of ["rise time", "fall time", "sweep error", "period"])
    for (const { value } of each(words)) expect(value, words).toBeNaN();
  // What does move there is measured, however little it is beside the level: a thousandth, of a sine.
  const ripple = simulate(
    compile("signal s = sine 0.9995 V to 1.0005 V, at 1 kHz\nresistor r s -> ground 1 kohm"),
    { until: "3 ms" },
  );
  // From −0.8 to 0.8 of the amplitude.
  expect(measure(ripple, "rise time of s after 1.5 ms").value / (Math.asin(0.8) / 1e3 / Math.PI)).toBeCloseTo(
    1,
    6,
  );
});
