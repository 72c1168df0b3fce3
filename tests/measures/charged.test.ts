// The charge that flows into a capacitor is what it holds more: C (v(b) - v(a)), with v by the closed form of a first-order
// circuit under steps, v' = (level - v) / (R C), from edge to edge.
import { expect, it } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";
import { tries } from "../counts.js";
import { chance } from "../simulation/making.js";

it("over many edges, from any instant to any other and to the end, whether or not what repeats is marched: to rounding", () => {
  const next = chance(20);
  for (let turn = 0; turn < tries(20); turn++) {
    const [R, C] = [10 ** (2 + 3 * next()), 10 ** (-10 + 3 * next())];
    const period = R * C * 10 ** (-0.5 + 2 * next());
    const wide = period * (0.1 + 0.8 * next());
    const first = period * (0.05 + 0.1 * next());
    const text = `signal g = pulse 0 V to 5 V, wide ${wide} s, every ${period} s, first ${first} s
resistor r g -> o ${R} ohm
capacitor c o -> ground ${C} F`;
    const until = 40 * period;
    // At time zero the pulse that began a period earlier is over where it is short, and still there where it is long.
    const level = (t: number) => ((t - first + 2 * period) % period < wide ? 5 : 0);
    const v = (t: number) => {
      let x = 0;
      const edges = Array.from(
        { length: 84 },
        (_, k) => first + Math.floor(k / 2 - 1) * period + (k % 2) * wide,
      );
      const marks = [0, ...edges.filter((e) => e > 0 && e < t), t];
      for (let k = 0; k + 1 < marks.length; k++) {
        const to = level((marks[k] + marks[k + 1]) / 2);
        x = to + (x - to) * Math.exp((marks[k] - marks[k + 1]) / (R * C));
      }
      return x;
    };
    const run = simulate(compile(text), { until, start: "rest", repeats: turn % 2 === 0 });
    for (let window = 0; window < 4; window++) {
      const from = until * 0.5 * next();
      const to = window === 0 ? until : from + (until - from) * next();
      const charge = C * (v(to) - v(from));
      const found = measure(run, `charge of c.current from ${from} s to ${to} s`).value;
      expect(Math.abs(found - charge)).toBeLessThan(1e-11 * 5 * C);
      const mean = measure(run, `mean of c.current from ${from} s to ${to} s`).value;
      expect(Math.abs(mean * (to - from) - charge)).toBeLessThan(1e-11 * 5 * C);
    }
  }
});

it("what jumps onto it at an instant counts, and so does what a capacitor that loses some takes up", () => {
  const jump = "signal g = path 1 V at 0 s, 1 V at 1 ms, 4 V at 1 ms\ncapacitor c g -> ground 1 uF";
  const run = simulate(compile(jump), { until: "3 ms" });
  expect(measure(run, "charge of c.current").value).toBeCloseTo(3e-6, 15);
  expect(measure(run, "charge of c.current from 1.5 ms to 2 ms").value).toBe(0);
  const falling = "current i ground -> a 1 mA\ncapacitor c a -> ground 1 uF, loses 20 % at 5 V";
  const fed = simulate(compile(falling), { until: "3 ms", start: "rest" });
  expect(measure(fed, "charge of c.current from 1 ms to 3 ms").value).toBeCloseTo(2e-6, 12);
});
