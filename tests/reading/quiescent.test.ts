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

type Section = { ohms: number; farads: number; henries: number; load: number };

/** A ladder from one place on: its text, and the voltage and capacitor current of each place, of a voltage at its beginning. */
function ladder(name: string, from: string, sections: readonly Section[], begun: Complex, speed: number) {
  const lines: string[] = [];
  for (const [i, { ohms, farads, henries, load }] of sections.entries()) {
    const [before, to] = [i === 0 ? from : `${name}n${i - 1}`, `${name}n${i}`];
    lines.push(`resistor ${name}r${i} ${before} -> ${henries ? `${name}q${i}` : to} ${ohms} ohm`);
    if (henries) lines.push(`inductor ${name}l${i} ${name}q${i} -> ${to} ${henries} H`);
    if (load) lines.push(`resistor ${name}g${i} ${to} -> ground ${load} ohm`);
    lines.push(`capacitor ${name}c${i} ${to} -> ground ${farads} F`);
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
  let volts = begun;
  const expected: (readonly [string, Complex])[] = [];
  for (const [i, { farads }] of sections.entries()) {
    volts = times(volts, over(across[i], whole[i]));
    expected.push([`${name}n${i}`, volts], [`${name}c${i}.current`, times(volts, [0, speed * farads])]);
  }
  return { lines, expected, volts, end: `${name}n${sections.length - 1}` };
}

/** Runs two periods of the settled state, and holds every trace against its phasor: between samples, and at each of them. */
function held(hertz: number, lines: readonly string[], expected: readonly (readonly [string, Complex])[]) {
  const speed = 2 * Math.PI * hertz;
  const text = [`signal v = sine -1 V to 1 V, at ${hertz} Hz`, ...lines].join("\n");
  const run = simulate(compile(text), { until: 2 / hertz, start: "settled" });
  expect([run.status, run.reason]).toEqual(["complete", ""]);
  for (const [name, [real, imaginary]] of expected) {
    const trace = run.trace(name);
    const size = Math.hypot(real, imaginary);
    const off = (t: number, value: number) =>
      Math.abs(value - real * Math.sin(speed * t) - imaginary * Math.cos(speed * t)) / size;
    for (let k = 1; k < 150; k++) {
      const t = (2 * k) / 150 / hertz;
      expect(off(t, trace.at(t))).toBeLessThan(2e-6);
    }
    expect(trace.value.every((v, k) => off(trace.time[k], v) < 2e-6)).toBe(true);
  }
}

const hertz = between(10, 2e4);

it("a ladder shows every voltage and every current of its capacitors to 1e-6 of the swing, its peak too", () => {
  fc.assert(
    fc.property(hertz, fc.array(section, { minLength: 2, maxLength: 4 }), (f, sections) => {
      const { lines, expected } = ladder("", "v", sections, [1, 0], 2 * Math.PI * f);
      held(f, lines, expected);
    }),
    { numRuns: tries(100) },
  );
});

it("so does one behind a source that follows another's end, and capacitors straight across both sources", () => {
  const few = fc.array(section, { minLength: 1, maxLength: 2 });
  const made = fc.record({ one: few, two: few, gain: between(0.1, 10), farads: between(1e-12, 1e-6) });
  fc.assert(
    fc.property(hertz, made, (f, { one, two, gain, farads }) => {
      const speed = 2 * Math.PI * f;
      const first = ladder("a", "v", one, [1, 0], speed);
      const follows: Complex = [gain * first.volts[0], gain * first.volts[1]];
      const second = ladder("b", "x", two, follows, speed);
      held(
        f,
        [
          `capacitor plain v -> ground ${farads} F`,
          ...first.lines,
          `voltage m x -> ground 0 V, follows ${first.end}, gain ${gain}`,
          `capacitor led x -> ground ${farads} F`,
          ...second.lines,
        ],
        [
          ["plain.current", [0, speed * farads]],
          ...first.expected,
          ["led.current", times(follows, [0, speed * farads])],
          ...second.expected,
        ],
      );
    }),
    { numRuns: tries(40) },
  );
});
