// Row 12: what every circuit obeys, whatever its answer: currents at a place add up to nothing, powers add up to
// nothing at every sample, charge and energy are the integrals of current and power. On trapezoidal steps these hold
// for the discrete sums as well, to rounding.
import { balance } from "../../src/index.js";
import { largest, last, once, order, type Row, run } from "./claim.js";

const text = `
  signal drive = pulse 0 V to 5 V, wide 20 us, every 50 us
  resistor r1 drive -> a 100 ohm
  inductor l1 a -> b 1 mH
  capacitor c1 b -> ground 47 nF
  resistor r2 b -> c 220 ohm
  capacitor c2 c -> ground 10 nF
  resistor r3 c -> ground 1 kohm`;
const names = ["drive", "r1", "l1", "c1", "r2", "c2", "r3"];

const plain = once(() => run(text, { until: "200 us", step: "0.5 us", method: "trapezoid" }));
const account = once(() => balance(plain()));

/** Σ v·i over all parts at each sample between edges, as a share of the largest of them. */
const tellegen = once(() => {
  const powers = names.map((name) => plain().trace(`${name}.power`));
  const sums: number[] = [];
  // Between edges all traces have one sample an instant; at an edge some have two.
  for (let t = 1.25e-6; t < 200e-6; t += 2.5e-6) {
    const instant = Math.round(t * 2e6) / 2e6;
    const all = powers.map(({ time, value }) => value[time.findIndex((x) => Math.abs(x - instant) < 1e-12)]);
    const scale = Math.max(1e-6, ...all.map(Math.abs));
    sums.push(all.reduce((a, b) => a + b, 0) / scale);
  }
  return largest(sums);
});

/** Charge of a capacitor by the trapezoid over its current, less C Δv, as a share of C times 5 V. */
const charge = () => {
  const { time, value: i } = plain().trace("c1.current");
  const { value: v } = plain().trace("b");
  let sum = 0;
  for (let k = 1; k < time.length; k++) sum += ((time[k] - time[k - 1]) * (i[k] + i[k - 1])) / 2;
  return (sum - 47e-9 * (last(v) - v[0])) / (47e-9 * 5);
};

const share = (step: string) => balance(run(text, { until: "200 us", step, method: "tr-bdf2" })).energy;

const rounding = (what: string, got: () => number) => ({
  what,
  expected: 0,
  kind: "absolute" as const,
  bound: 1e-12,
  got,
});

export const laws: readonly Row[] = [
  {
    row: "12",
    title: "Laws of every passive circuit, 0.5 µs trapezoids through the edges of a pulse",
    source:
      "Kirchhoff; Tellegen, Philips Research Reports 7 (1952); the trapezoid's means are exact for linear elements",
    claims: [
      rounding(
        "Σ i = 0 at every place and sample, share of the largest current there",
        () => account().currentLaw,
      ),
      rounding("Σ v·i = 0 at every sample, share of the largest power", tellegen),
      rounding("Σ h·ī = C·Δv, share of C · 5 V", charge),
      rounding("Σ h·v̄·ī = ΔE on trapezoids, share of the energy", () => account().trapezoid),
      rounding("delivered = dissipated + stored over the whole run, share of it", () => account().energy),
      {
        what: "the same at default settings",
        expected: 0,
        kind: "absolute",
        bound: 1e-10,
        got: () => balance(run(text, { until: "2 ms" })).energy,
      },
      {
        what: "TR-BDF2: order in which its account closes, h from 0.5 µs to 62.5 ns: at least 1.9",
        expected: "yes",
        kind: "same",
        bound: 0,
        got: () => (order(share("0.5 us"), share("0.0625 us")) / 3 > 1.9 ? "yes" : "no"),
      },
    ],
  },
];
