// Ladders of resistors, coils and capacitors with places that are quicker than the sine that drives them by up to fifteen orders, in
// their periodic state. Such a place follows the one before it, and its little current is what is left of terms that cancel.
// Expected: complex voltage dividers (any text on alternating current), each right to the last digits of a double.
import fc from "fast-check";
import { expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { tries } from "../counts.js";

type Complex = readonly [number, number];
const plus = (a: Complex, b: Complex): Complex => [a[0] + b[0], a[1] + b[1]];
const times = (a: Complex, b: Complex): Complex => [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]];
const over = (a: Complex, b: Complex): Complex => {
  const size = Math.hypot(...b);
  const [x, y] = [b[0] / size, b[1] / size];
  return [(a[0] * x + a[1] * y) / size, (a[1] * x - a[0] * y) / size];
};

/** A size between two, spread evenly over its decades. */
const between = (low: number, high: number) =>
  fc
    .double({ min: Math.log10(low), max: Math.log10(high), noNaN: true })
    .map((e) => Number((10 ** e).toPrecision(3)));

const section = fc.record({
  ohms: fc.oneof(between(1e-3, 10), between(100, 1e5)),
  farads: fc.oneof(between(1e-16, 1e-11), between(1e-10, 1e-6)),
  henries: fc.option(between(1e-15, 1e-9), { freq: 3, nil: 0 }),
  load: fc.option(between(1e3, 1e7), { freq: 2, nil: 0 }),
});

it("a ladder shows every voltage and every current of its capacitors to 1e-6 of the swing, its peak too", () => {
  fc.assert(
    fc.property(between(10, 2e4), fc.array(section, { minLength: 2, maxLength: 4 }), (hertz, sections) => {
      const speed = 2 * Math.PI * hertz;
      const text = [`signal v = sine -1 V to 1 V, at ${hertz} Hz`];
      for (const [i, { ohms, farads, henries, load }] of sections.entries()) {
        const [from, to] = [i === 0 ? "v" : `n${i - 1}`, `n${i}`];
        text.push(`resistor r${i} ${from} -> ${henries ? `q${i}` : to} ${ohms} ohm`);
        if (henries) text.push(`inductor l${i} q${i} -> ${to} ${henries} H`);
        if (load) text.push(`resistor g${i} ${to} -> ground ${load} ohm`);
        text.push(`capacitor c${i} ${to} -> ground ${farads} F`);
      }
      // From the end to the source what each section is in series and across, then the voltages back from there.
      const across: Complex[] = [];
      const whole: Complex[] = [];
      for (let i = sections.length - 1; i >= 0; i--) {
        const { ohms, farads, henries, load } = sections[i];
        let admittance: Complex = [load ? 1 / load : 0, speed * farads];
        if (whole[i + 1]) admittance = plus(admittance, over([1, 0], whole[i + 1]));
        across[i] = over([1, 0], admittance);
        whole[i] = plus([ohms, speed * henries], across[i]);
      }
      const run = simulate(compile(text.join("\n")), { until: 2 / hertz, start: "settled" });
      expect(run.status).toBe("complete");
      let volts: Complex = [1, 0];
      for (const [i, { farads }] of sections.entries()) {
        volts = times(volts, over(across[i], whole[i]));
        for (const [name, expected] of [
          [`n${i}`, volts],
          [`c${i}.current`, times(volts, [0, speed * farads])],
        ] as const) {
          const trace = run.trace(name);
          const size = Math.hypot(...expected);
          for (let k = 1; k < 150; k++) {
            const t = (2 * k) / 150 / hertz;
            const right = expected[0] * Math.sin(speed * t) + expected[1] * Math.cos(speed * t);
            expect(Math.abs(trace.at(t) - right)).toBeLessThan(2e-6 * size);
          }
          expect(trace.value.every((v) => Math.abs(v) < size * (1 + 2e-6))).toBe(true);
        }
      }
    }),
    { numRuns: tries(100) },
  );
});
