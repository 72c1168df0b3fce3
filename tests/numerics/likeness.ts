// Row 13: what must not matter. A circuit whose sources, or whose times, are multiplied by a power of two has the same
// waveform in other units, bit for bit: nothing absolute may hide in the method. Other names, another order, another
// level of impedance, sources one by one: the same to rounding.
import { compile, type Run, type SimulateOptions, simulate } from "../../src/index.js";
import { largest, type Row } from "./claim.js";

/** Factors by which a design is scaled: voltages and currents of sources, L and C and time, impedances. */
interface Scale {
  readonly level?: number;
  readonly time?: number;
  readonly impedance?: number;
}

/** The designs, as functions of what is scaled; products stand in the text and are exact rationals there. */
const designs: Readonly<Record<string, (s: Required<Scale>) => string>> = {
  "passive ladder": ({ level: v, time: t, impedance: z }) => `
    signal drive = pulse 0 V to ${v} * 5 V, wide ${t} * 20 us, every ${t} * 50 us, edges ${t} * 200 ns
    resistor r1 drive -> a ${z} * 100 ohm
    inductor l1 a -> b ${t} * ${z} * 1 mH
    capacitor c1 b -> ground ${t} * 47 nF / ${z}
    resistor r2 b -> c ${z} * 220 ohm
    capacitor c2 c -> ground ${t} * 10 nF / ${z}
    current pull c -> ground ${v} * 1 mA / ${z}
    resistor r3 c -> ground ${z} * 1 kohm`,
  "line sweep": ({ level: v, time: t, impedance: z }) => `
    supply plus12 = ${v} * 12 V
    supply plus5 = ${v} * 5 V
    signal gate = pulse 0 V to ${v} * 5 V, wide ${t} * 4.7 us, every ${t} * 64 us, edges ${t} * 200 ns
    current feed plus12 -> c ${v} * 1.5 mA / ${z}, headroom ${v} * 0.9 V, output ${z} * 2 Mohm
    capacitor hold c -> ground ${t} * 15 nF / ${z}
    switch reset c -> ground closed while gate above ${v} * 2.5 V, on ${z} * 5 ohm
    diode guard c -> plus5 drop ${v} * 0.6 V, on ${z} * 10 ohm`,
  "free-running ramp": ({ level: v, time: t, impedance: z }) => `
    run for ${t} * 256 us, from rest
    current feed ground -> c ${v} * 1 mA / ${z}
    capacitor hold c -> ground ${t} * 1 nF / ${z}
    resistor leak c -> ground ${z} * 47 kohm
    switch reset c -> ground closed while c above ${v} * 3 V, open ${v} * 0.1 V, on ${z} * 22 ohm`,
};

const us = (t: number, k: number) => t * k * 1e-6;

function made(name: string, scale: Scale, options: SimulateOptions = {}): Run {
  const s = { level: 1, time: 1, impedance: 1, ...scale };
  const done = simulate(compile(designs[name](s)), { until: us(s.time, 256), ...options });
  if (done.status !== "complete") throw new Error(done.reason);
  return done;
}

/** Samples of `c` that differ in any bit from those of the design as it stands, after undoing the scale. */
function unlike(name: string, scale: Scale, options: SimulateOptions = {}): number {
  const plain = made(name, {}, options).trace("c");
  const other = made(name, scale, options).trace("c");
  const { level = 1, time = 1 } = scale;
  if (plain.time.length !== other.time.length) return Number.POSITIVE_INFINITY;
  let count = 0;
  plain.value.forEach((v, i) => {
    if (!Object.is(other.value[i], v * level) || other.time[i] !== plain.time[i] * time) count++;
  });
  return count;
}

/**
 * Largest difference of two traces of `c` as a share of the swing, at every microsecond and a seventh. Events may lie a
 * tick apart, so samples are not compared one by one.
 */
function apart(one: Run, other: Run): number {
  const [a, b] = [one.trace("c"), other.trace("c")];
  const instants = Array.from({ length: 255 }, (_, k) => (k + 1 / 7) * 1e-6);
  return largest(instants.map((t) => a.at(t) - b.at(t))) / largest(a.value);
}

const powers = [-20, -3, 1, 7, 30];
const exact = (what: string, got: () => number) => ({
  what,
  expected: 0,
  kind: "absolute" as const,
  bound: 0,
  got,
});
const rounding = (what: string, got: () => number) => ({ ...exact(what, got), bound: 1e-12 });

/** The lines of a text in another order: reversed, halves swapped, or turned. */
function reordered(text: string): string[] {
  const lines = text.trim().split("\n");
  const middle = lines.length >> 1;
  return [
    lines.toReversed(),
    [...lines.slice(middle), ...lines.slice(0, middle)],
    [...lines.slice(1), lines[0]],
  ].map((order) => order.join("\n"));
}

const fixed = { step: "0.25 us" };
const unit = { level: 1, time: 1, impedance: 1 };

const superposed = () => {
  const options: SimulateOptions = { until: 256e-6, step: "0.25 us", start: "rest" };
  const text = designs["passive ladder"](unit);
  const only = (pulse: string, pull: string) =>
    simulate(compile(text.replace("5 V", pulse).replace("1 * 1 mA", pull)), options).trace("c").value;
  const [both, one, other] = [only("5 V", "1 * 1 mA"), only("5 V", "0 mA"), only("0 V", "1 * 1 mA")];
  return largest(both.map((v, i) => v - one[i] - other[i])) / largest(both);
};

export const likeness: readonly Row[] = [
  {
    row: "13",
    title: "What must not matter: units of level and time, names, order, impedance, sources one by one",
    source:
      "similarity and superposition (algebra); multiplying by a power of two is exact in binary arithmetic",
    note:
      "Bit-identical scaling is asked at default settings, where the steps are chosen by the run itself. The steady " +
      "state is sought over a stated time, 10¹² s, so with other times it may round otherwise: 10⁻¹² there.",
    claims: Object.keys(designs).flatMap((name) => [
      ...powers.flatMap((k) => [
        exact(`${name}: sources × 2^${k}, samples with any bit different`, () =>
          unlike(name, { level: 2 ** k }),
        ),
        exact(`${name}: from rest, L, C and time × 2^${k}, samples with any bit different`, () =>
          unlike(name, { time: 2 ** k }, { start: "rest" }),
        ),
      ]),
      ...(name === "free-running ramp"
        ? []
        : [
            rounding(`${name}: from the steady state, L, C and time × 2^7`, () => {
              const { value } = made(name, { time: 2 ** 7 }, { step: 2 ** 7 * 0.25e-6 }).trace("c");
              const plain = made(name, {}, { step: 0.25e-6 }).trace("c").value;
              return largest(plain.map((v, i) => v - value[i])) / largest(plain);
            }),
          ]),
      exact(`${name}: both at once from rest, samples with any bit different`, () =>
        unlike(name, { level: 2 ** 5, time: 2 ** -9 }, { start: "rest" }),
      ),
      ...[0, 1, 2].map((k) =>
        rounding(`${name}: statements in another order (${k + 1})`, () => {
          const text = reordered(designs[name](unit))[k];
          const other = simulate(compile(text), { until: 256e-6, ...fixed });
          return apart(made(name, {}, fixed), other);
        }),
      ),
      exact(`${name}: other names, samples with any bit different`, () => {
        const text = designs[name](unit).replace(
          /\b(drive|gate|hold|reset|a|b|r1)\b(?! (kohm|ohm))/g,
          "zz_$1",
        );
        const other = simulate(compile(text), { until: 256e-6 }).trace("c").value;
        return made(name, {})
          .trace("c")
          .value.filter((v, i) => !Object.is(v, other[i])).length;
      }),
      rounding(`${name}: impedances × 1.7`, () =>
        apart(made(name, {}, fixed), made(name, { impedance: 1.7 }, fixed)),
      ),
      ...(name === "passive ladder" ? [rounding("superposition of both sources", superposed)] : []),
    ]),
  },
];
