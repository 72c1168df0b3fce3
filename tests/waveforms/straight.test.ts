// Straight lines between the rows of a table show the trace, as a spreadsheet draws it and a script interpolates it. The bound is what
// help and guide say, 1e-4 of the swing; the curves are closed forms.
import { expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { csvLines, toJson } from "../../src/waveforms/csvjson.js";
import { toNpy } from "../../src/waveforms/npy.js";
import { Trace } from "../../src/waveforms/trace.js";

/** With a per cent of it for the trace itself, which is true to 1e-6. */
const bound = 1.01e-4;

/** A table's rows as numbers. */
const rowsOf = (traces: readonly Trace[]) =>
  [...csvLines(traces)].slice(1).map((line) => line.trim().split(",").map(Number));

/** How far straight lines between rows are from a curve, at most, looked at eleven times between any two. */
function farthest(
  rows: readonly (readonly number[])[],
  column: number,
  curve: (t: number) => number,
): number {
  let worst = 0;
  for (let i = 1; i < rows.length; i++) {
    const [a, b] = [rows[i - 1], rows[i]];
    for (let k = 0; k <= 10 && b[0] > a[0]; k++) {
      const t = a[0] + ((b[0] - a[0]) * k) / 10;
      worst = Math.max(worst, Math.abs(a[column] + ((b[column] - a[column]) * k) / 10 - curve(t)));
    }
  }
  return worst;
}

// A sine at 50 Hz into R·C of 1 ms from rest: the complex divider 1/(1 + jωRC), and what the start leaves, gone as e^(-t/RC).
const lag = simulate(
  compile(`signal s = sine -5 V to 5 V, at 50 Hz
resistor r s -> out 1 kohm
capacitor c out -> ground 1 uF
run for 60 ms, from rest`),
);
const w = 2 * Math.PI * 50 * 1e-3;
const steady = (t: number) =>
  (5 / (1 + w * w)) * (Math.sin(2 * Math.PI * 50 * t) - w * Math.cos(2 * Math.PI * 50 * t));
const out = (t: number) => steady(t) - steady(0) * Math.exp(-t / 1e-3);
/** At least the amplitude of the steady state, twice: |1/(1 + jωRC)|. */
const swing = 10 / Math.sqrt(1 + w * w);

it("in comma-separated values, beside a trace that bends elsewhere", () => {
  const rows = rowsOf([lag.trace("out"), lag.trace("s")]);
  expect(farthest(rows, 1, out)).toBeLessThan(bound * swing);
  expect(farthest(rows, 2, (t) => 5 * Math.sin(2 * Math.PI * 50 * t))).toBeLessThan(bound * 10);
  // Not by drowning it: a sine of three periods has bends for some hundred chords (h^2/8 = 2e-4, so 0.04 of a radian), each for itself.
  expect(rows.length).toBeLessThan(2000);
});

it("in JSON, each trace by its own instants", () => {
  const { times, traces } = JSON.parse(toJson([lag.trace("out")]));
  const rows = times[0].map((t: number, i: number) => [t, traces[0].value[i]]);
  expect(farthest(rows, 1, out)).toBeLessThan(bound * swing);
});

it("in an array of numbers", () => {
  const bytes = toNpy([lag.trace("out")]);
  const head = 10 + new DataView(bytes.buffer).getUint16(8, true);
  const data = new Float64Array(bytes.slice(head).buffer);
  const rows = Array.from({ length: data.length / 2 }, (_, i) => [data[2 * i], data[2 * i + 1]]);
  expect(farthest(rows, 1, out)).toBeLessThan(bound * swing);
});

it("rows stand in order of time, and a straight trace has its samples alone", () => {
  const rows = rowsOf([lag.trace("out"), lag.trace("s")]);
  for (let i = 1; i < rows.length; i++) expect(rows[i][0]).toBeGreaterThan(rows[i - 1][0]);
  const data = { name: "a", unit: "V", time: Float64Array.of(0, 1, 2), value: Float64Array.of(0, 1, 2) };
  expect(rowsOf([new Trace({ ...data, slope: Float64Array.of(1, 1, 1) })])).toHaveLength(3);
});

it("no rows come between samples that are next to each other as doubles, and none from rounding", () => {
  const [a, b] = [1, 1 + 2 * Number.EPSILON];
  const close = new Trace({
    name: "a",
    unit: "V",
    time: Float64Array.of(a, b),
    value: Float64Array.of(0, 1),
    slope: Float64Array.of(0, 0),
    exact: true,
  });
  expect(rowsOf([close])).toHaveLength(2);
  const still = new Trace({
    name: "a",
    unit: "V",
    time: Float64Array.of(0, 1),
    value: Float64Array.of(12, 12 + 2e-15),
    slope: Float64Array.of(0, 4e-15),
    exact: true,
  });
  expect(rowsOf([still])).toHaveLength(2);
});
