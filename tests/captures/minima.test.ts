// Captures whose sum of squares has several minima, or whose samples are not taken when the instrument says: the hidden values lie
// in the stated intervals all the same. Made by the sweep's closed form, with a random stream that meets these cases.
import { readFileSync } from "node:fs";
import { expect, it } from "vitest";
import { compile, fit as fitted, readCapture } from "../../src/index.js";
import { lineSweep, sweep } from "./generator.js";

const design = compile(readFileSync(new URL("../../examples/line.ramp", import.meta.url), "utf8"));

/** Even numbers from 0 to 1: 32 bits of a linear congruence (D. E. Knuth & H. W. Lewis), mixed. */
function stream(seed: number): () => number {
  let s = seed >>> 0;
  return () => {
    s = (Math.imul(s, 1664525) + 1013904223) >>> 0;
    let x = s ^ (s >>> 15);
    x = Math.imul(x, 0x2c1b3c6d);
    return ((x ^ (x >>> 12)) >>> 0) / 2 ** 32;
  };
}

interface Trial {
  readonly trial: number;
  readonly uncalibrated?: boolean;
  /** Deviation of the instants, s. */
  readonly jitter?: number;
  /** How many samples are taken, of so many lines: two unless given. */
  readonly samples?: number;
  readonly lines?: number;
  /** Deviation of the noise and step of the scale, V. */
  readonly noise?: number;
  readonly step?: number;
}

/** The capture of one trial of a stream, and what is hidden in it: 8 bits and noise of 20 mV unless given. */
function made(seed: number, { trial, uncalibrated = false, jitter = 0, samples = 800, ...how }: Trial) {
  const { lines = 2, noise = 0.02, step = 5 / 256 } = how;
  const next = stream(seed);
  const apart = (lines * lineSweep.period) / samples;
  const normal = () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
  for (let k = 0; ; k++) {
    const hidden = [(12 + 6 * next()) * 1e-9, 4 + 14 * next()];
    const curve = sweep({ ...lineSweep, capacitance: hidden[0], on: hidden[1] });
    const begin = next() * 60e-6 + 9e-6;
    const gain = uncalibrated ? 0.97 + 0.06 * next() : 1;
    const offset = uncalibrated ? (next() - 0.5) * 0.3 : 0;
    const rows = Array.from({ length: samples }, (_, i) => {
      const off = jitter * normal();
      const v = gain * curve(begin + i * apart + off) + offset + noise * normal();
      return `${(i * apart).toExponential(7)},${(Math.round(v / step) * step).toFixed(6)}`;
    });
    if (k === trial) {
      const capture = readCapture(`t (s),ramp (V)\n${rows.join("\n")}\n`);
      const found = fitted(design, {
        values: ["timing", { name: "reset.on", from: "1 ohm", to: "100 ohm" }],
        captures: [{ capture, of: "ramp", uncalibrated }],
        simulate: { until: "400 us" },
      });
      return { hidden, found };
    }
  }
}

it("a gain that slid along a valley until the ramp met its guard: the other minimum counts, and both are told", () => {
  const { hidden, found } = made(11, { trial: 11, uncalibrated: true });
  found.values.forEach(({ interval }, i) => {
    expect(interval.low).toBeLessThan(hidden[i]);
    expect(interval.high).toBeGreaterThan(hidden[i]);
  });
  // Of slope and gain only the product shows: timing and gain stay where they were, and the place at the guard is told beside.
  expect(found.instruments[0].gain!.value).toBeCloseTo(1, 1);
  expect(found.others).toHaveLength(1);
  expect(found.others[0][0]).toBeLessThan(0.8 * hidden[0]);
});

it("a minimum in the delay where a sample gets onto the edge is left for the lower one", () => {
  const { hidden, found } = made(3, { trial: 14 });
  // The sum of squares at the hidden values, by the closed form: no minimum may be above it.
  expect(found.sum).toBeLessThan(0.3713);
  found.values.forEach(({ value, uncertainty }, i) => {
    expect(Math.abs(value - hidden[i]) / uncertainty).toBeLessThan(3.9);
  });
});

it("several delays about as good: the intervals reach over all of them", () => {
  const { hidden, found } = made(101, { trial: 157 });
  // By the closed form the sum at the hidden values is 0.37541; at this one it is lower by less than the end of an interval is worth,
  // (1.96 s)², though it lies nine of the parabola's standard uncertainties off.
  const worth = (1.96 * found.instruments[0].deviation) ** 2;
  expect(found.sum).toBeLessThan(0.37541);
  expect(0.37541 - found.sum).toBeLessThan(worth);
  found.values.forEach(({ interval }, i) => {
    expect(interval.low).toBeLessThan(hidden[i]);
    expect(interval.high).toBeGreaterThan(hidden[i]);
  });
  // The delay is told as it is known: to a good part of the 20 ns, not to its 1.5 ns at the lowest sum.
  const { interval } = found.instruments[0].delay;
  expect(interval.high - interval.low).toBeGreaterThan(10e-9);
});

it("samples that are taken 5 ns off scatter more on an edge, and count by less there", () => {
  let [still, moving, known] = [0, 0, 0];
  for (let trial = 0; trial < 4; trial++) {
    const { hidden, found } = made(61 + trial, { trial: 0, jitter: 5e-9, samples: 3200 });
    const { jitter, bad } = found.instruments[0];
    if (Math.abs(jitter / 5e-9 - 1) < 0.5) moving++;
    if (Math.abs(found.values[1].value - hidden[1]) < 3.9 * found.values[1].uncertainty) known++;
    if (bad === 0) still++;
  }
  // None of four is off by more than one in ten thousand would be, and no sample of an edge is taken for bad. Some 30 samples tell
  // the deviation to an eighth: 1 / sqrt(2 n).
  expect([known, still, moving]).toEqual([4, 4, 4]);
});

it("samples that are taken 50 ns off, at an edge of 50 ns to 250 ns: at its foot and top as well they count by what they tell", () => {
  let [still, moving] = [0, 0];
  for (let trial = 0; trial < 4; trial++) {
    const { hidden, found } = made(71 + trial, { trial: 0, jitter: 50e-9, samples: 2000, noise: 0.01 });
    const { jitter, bad } = found.instruments[0];
    if (Math.abs(jitter / 50e-9 - 1) < 0.5) moving++;
    if (bad === 0) still++;
    found.values.forEach(({ value, uncertainty }, i) => {
      expect(Math.abs(value - hidden[i]) / uncertainty).toBeLessThan(3.9);
    });
  }
  expect([still, moving]).toEqual([4, 4]);
});

it("samples that are taken 100 ns off, as long as an edge takes: its slowness and their errors are told apart", () => {
  const found = [73, 74, 75, 78].map((seed) =>
    made(seed, { trial: 0, jitter: 100e-9, samples: 2000, noise: 0.01 }),
  );
  for (const { hidden, found: one } of found) {
    expect(one.instruments[0].bad).toBe(0);
    one.values.forEach(({ interval }, i) => {
      expect(interval.low).toBeLessThan(hidden[i]);
      expect(interval.high).toBeGreaterThan(hidden[i]);
    });
  }
  // Some 25 samples on two edges tell a deviation to a seventh, 1 / sqrt(2 n); four captures to a fourteenth.
  const mean = found.reduce((sum, { found: one }) => sum + one.instruments[0].jitter / found.length, 0);
  expect(Math.abs(mean / 100e-9 - 1)).toBeLessThan(3 / 14);
});

it("an edge that is sampled at the same places in each line is rounded the same each time: four lines tell no more than two", () => {
  // Steps of 156 mV and next to no noise; 400 samples a line.
  const [two, four] = [2, 4].map((lines) =>
    made(5, { trial: 0, samples: 400 * lines, lines, noise: 0.005, step: 5 / 32 }),
  );
  // If the errors were apart, the uncertainty would fall with the root of the count.
  const share = four.found.values[1].uncertainty / two.found.values[1].uncertainty;
  expect(share).toBeGreaterThan(0.9);
  expect(share).toBeLessThan(1.1);
});
