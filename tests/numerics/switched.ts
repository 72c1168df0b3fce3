// Rows 4, 5 and 6: ramps that are reset, by their own level or by a pulse. The instant of a reset and what is lost in it
// have closed forms without any step in them, so they must come out to rounding whatever the step.
import { farthest, largest, once, order, type Row, run } from "./claim.js";

const reset = `
  current feed ground -> ramp 1 mA
  capacitor hold ramp -> ground 1 uF
  switch reset ramp -> ground closed while ramp above 1 V`;

const resets = once(() => run(reset, { until: "5.5 ms", start: "rest" }).losses);
const hundred = once(() => run(reset, { until: "100.5 ms", start: "rest" }));

const sawtooth: Row = {
  row: "4",
  title: "1 mA into 1 µF, ideal reset at 1 V",
  source: "dv/dt = I/C = 1 V/ms; C V²/2 = 0.5 µJ lost in a discharge through nothing (any circuits text)",
  note:
    "An event is put on the first tick behind its crossing, and a tick is the end of the run divided by some 2⁵³. So " +
    "each reset may be late by a tick, and the ramp after it begins as late: over a hundred resets that may grow to a " +
    "hundred ticks, 1.1 · 10⁻¹⁵ s of 100 ms, which is more than four units in the last place of each instant.",
  claims: [
    {
      what: "resets in 5.5 ms",
      expected: 5,
      kind: "same",
      bound: 0,
      got: () => resets().length,
    },
    {
      what: "instants: worst distance from k ms, in units in the last place of k ms",
      expected: 0,
      kind: "absolute",
      bound: 4,
      got: () =>
        largest(
          resets().map(({ time }, k) => {
            const exact = (k + 1) * 1e-3;
            return (time - exact) / 2 ** (Math.floor(Math.log2(exact)) - 52);
          }),
        ),
    },
    {
      what: "energy lost in each",
      expected: 0.5e-6,
      unit: "J",
      kind: "relative",
      bound: 1e-12,
      got: () =>
        farthest(
          resets().map((loss) => loss.energy),
          0.5e-6,
        ),
    },
    {
      what: "resets in 100.5 ms",
      expected: 100,
      kind: "same",
      bound: 0,
      got: () => hundred().losses.length,
    },
    {
      what: "a hundred resets: worst distance of number k from k ms, in ticks, divided by k",
      expected: 0,
      kind: "absolute",
      bound: 1,
      got: () => {
        const tick = 100.5e-3 / 2 ** 53;
        return largest(hundred().losses.map(({ time }, k) => (time - (k + 1) * 1e-3) / tick / (k + 1)));
      },
    },
    {
      what: "a hundred resets: energy lost in each",
      expected: 0.5e-6,
      unit: "J",
      kind: "relative",
      bound: 1e-12,
      got: () =>
        farthest(
          hundred().losses.map((loss) => loss.energy),
          0.5e-6,
        ),
    },
  ],
};

const relaxation = `
  supply plus5 = 5 V
  switch up plus5 -> top closed while cap below 1 V, open 4 V
  resistor charge top -> cap 10 kohm
  capacitor hold cap -> ground 10 nF, starts 0.5 V
  switch down cap -> bottom closed while cap above 4 V, open 1 V
  resistor drain bottom -> ground 1 kohm`;
/** The three ways to march at a fixed step. */
export type Method = "trapezoid" | "tr-bdf2" | "mixed";

/** R C ln 4 each way: 100 µs up, 10 µs down. */
export const period = 110e-6 * Math.log(4);

/** The mean of six periods, between the instants at which the wave turns at 1 V. */
export function swinging(step?: string | number, method?: Method): number {
  const options = { until: "1.3 ms", ...(step !== undefined && { step }), ...(method && { method }) };
  const { time, slope, slopeBefore } = run(relaxation, options).trace("cap");
  const turns = [...time].filter((_, i) => i > 0 && slopeBefore![i] < 0 && slope![i] > 0);
  return (turns[6] - turns[0]) / 6;
}
const halvings = ["0.25 us", "0.125 us", "62.5 ns", "31.25 ns", "15.625 ns"];
const late = once(() => halvings.map((step) => swinging(step) - period));

const relaxing: Row = {
  row: "5",
  title: "Relaxation, 5 V, 10 kΩ up, 1 kΩ down, 10 nF, between 1 V and 4 V",
  source:
    "R C ln((V − V₁)/(V − V₂)) each way (Millman & Taub): (100 + 10) µs · ln 4 = 152.492379723187968 µs",
  note:
    "The charging resistor must not conduct while the other discharges, hence two switches. Steps below 0.25 µs, a " +
    "fortieth of the shorter time constant: above that the next power of the step still shows.",
  claims: [
    {
      what: "period at h = 62.5 ns",
      expected: period,
      unit: "s",
      kind: "relative",
      bound: 1e-6,
      got: () => swinging("62.5 ns"),
    },
    {
      what: "period at default settings",
      expected: period,
      unit: "s",
      kind: "relative",
      bound: 1e-12,
      got: () => swinging(),
    },
    {
      what: "order across events, over four halvings",
      expected: 2,
      kind: "absolute",
      bound: 0.02,
      got: () => order(late()[0], late()[4]) / 4,
    },
    {
      what: "order across events, in each of four halvings",
      expected: 2,
      kind: "absolute",
      bound: 0.02,
      got: () =>
        farthest(
          late()
            .slice(1)
            .map((fine, k) => order(late()[k], fine)),
          2,
        ),
    },
  ],
};

/** Resets with a sync pulse besides. */
const hasten = (pulse: string, until: string) =>
  run(
    `${reset}
    signal sync = pulse 0 V to 1 V, wide 1 us, ${pulse}
    switch hasten ramp -> ground closed while sync above 0.5 V`,
    { until, start: "rest" },
  ).losses;

/** Peaks that the pulse leaves, from the energy that each reset loses: V = √(2 E/C). */
const peaks = (pulse: string, until: string) =>
  once(() => hasten(pulse, until).map(({ energy }) => Math.sqrt((2 * energy) / 1e-6)));
const early = peaks("every 0.751 ms, first 0.75 ms", "7.6 ms");
const both = peaks("every 1.001 ms, first 1 ms", "10.05 ms");
const plain = peaks("every 0.75 ms", "5 ms");
const single = peaks("first 1 ms", "1.5 ms");

const hastened: Row = {
  row: "6",
  title: "The same with a sync pulse every 0.75 ms, and one that coincides with the reset at 1 ms",
  source:
    "I t/C between resets; common practice for a free-running sweep locked by its sync, no source needed",
  note:
    "The pulse holds the ramp down for 1 µs, so it comes every 0.751 ms (1.001 ms) to leave exactly 0.75 ms (1 ms) " +
    "to climb. Where pulse and level coincide there is one reset, not two.",
  claims: [
    {
      what: "every 0.751 ms: resets in 7.6 ms",
      expected: 10,
      kind: "same",
      bound: 0,
      got: () => early().length,
    },
    {
      what: "every 0.751 ms: each peak",
      expected: 0.75,
      unit: "V",
      kind: "relative",
      bound: 1e-14,
      got: () => farthest(early(), 0.75),
    },
    {
      what: "the first peak, in units in the last place",
      expected: 0.75,
      unit: "V",
      kind: "ulp",
      bound: 1,
      got: () => early()[0],
    },
    {
      what: "the instant of the first reset is the pulse's own",
      expected: 0.75e-3,
      unit: "s",
      kind: "same",
      bound: 0,
      got: () => hasten("first 0.75 ms", "1 ms")[0].time,
    },
    {
      what: "every 0.75 ms, held down for 1 µs of it: each peak",
      expected: 0.749,
      unit: "V",
      kind: "relative",
      bound: 1e-12,
      got: () => farthest(plain(), 0.749),
    },
    {
      what: "pulse and level at 1 ms: resets in 1.5 ms",
      expected: 1,
      kind: "same",
      bound: 0,
      got: () => single().length,
    },
    {
      what: "pulse and level at one instant, ten times: resets",
      expected: 10,
      kind: "same",
      bound: 0,
      got: () => both().length,
    },
    {
      what: "pulse and level at one instant, ten times: each peak",
      expected: 1,
      unit: "V",
      kind: "relative",
      bound: 1e-12,
      got: () => farthest(both(), 1),
    },
  ],
};

export const switched: readonly Row[] = [sawtooth, relaxing, hastened];
