// Rows 8 and 9: what is handed on at an instant. Charge and flux shared by ideal switches have closed forms without any
// step in them; so has the current of a chopped coil that a diode takes over, and the state it settles to.
import { ratio } from "../../src/base/fraction.js";
import { atOnce } from "../../src/base/slices.js";
import { compile } from "../../src/index.js";
import { settledStart } from "../../src/simulation/settled.js";
import { farthest, last, once, type Row, run } from "./claim.js";

const shared = once(() =>
  run(
    `capacitor first a -> ground 1 uF, starts 10 V
     capacitor second b -> ground 0.47 uF, starts 0 V
     switch join a -> b closed from 1 ms to 3 ms`,
    { until: "2 ms", start: "rest" },
  ),
);
const handed = once(() =>
  run(
    `inductor first ground -> a 1 mH, starts 2 A
     inductor second a -> ground 3 mH, starts 0 A
     switch loop a -> ground closed from 0 s to 1 ms`,
    { until: "2 ms", start: "rest" },
  ),
);

const sharing: Row = {
  row: "8",
  title:
    "Charge shared by an ideal switch (10 V on 1 µF, 0.47 µF empty); flux shared (2 A in 1 mH, 3 mH at rest)",
  source:
    "conservation of charge and of flux linkage; the energy lost is what is missing (any circuits text)",
  claims: [
    {
      what: "voltage of both capacitors",
      expected: 6.802721088435374,
      unit: "V",
      kind: "relative",
      bound: 1e-14,
      got: () =>
        farthest([last(shared().trace("a").value), last(shared().trace("b").value)], 6.802721088435374),
    },
    {
      what: "energy lost in sharing charge",
      expected: 1.598639455782313e-5,
      unit: "J",
      kind: "relative",
      bound: 1e-14,
      got: () => shared().losses.reduce((sum, { energy }) => sum + energy, 0),
    },
    {
      what: "current of both coils",
      expected: 0.5,
      unit: "A",
      kind: "relative",
      bound: 1e-14,
      got: () =>
        farthest(
          ["first", "second"].map((coil) => last(handed().trace(`${coil}.current`).value)),
          0.5,
        ),
    },
    {
      what: "energy lost in sharing flux",
      expected: 1.5e-3,
      unit: "J",
      kind: "relative",
      bound: 1e-14,
      got: () => handed().losses.reduce((sum, { energy }) => sum + energy, 0),
    },
  ],
};

const chopper = `
  supply plus12 = 12 V
  signal gate = pulse 0 V to 5 V, wide 40 us, every 100 us
  switch chop plus12 -> top closed while gate above 2.5 V
  diode freewheel ground -> top drop 0 V
  resistor loss top -> mid 2 ohm
  inductor coil mid -> ground 1 mH`;
const chopped = (options: { step?: string; method?: "mixed" | "trapezoid" }) =>
  once(() => {
    const done = run(chopper, { until: "100 us", start: "settled", ...options });
    const { time, value } = done.trace("coil.current");
    // Between 0 and 40 µs it rises, so the ends are where it turns.
    const at = (t: number) => value[time.findIndex((x) => Math.abs(x - t) < 1e-12)];
    let charge = 0;
    for (let k = 1; k < time.length; k++) charge += ((time[k] - time[k - 1]) * (value[k] + value[k - 1])) / 2;
    return { begins: value[0], ends: last(value), high: at(40e-6), mean: charge / 100e-6 };
  });
const mixed = chopped({ step: "1 us" });
const trapezoids = chopped({ step: "1 us", method: "trapezoid" });
const shooting = once(() => {
  const found = atOnce(
    settledStart(compile(chopper), { method: "mixed", tolerance: 5e-5, steps: 1e6 }, ratio(1, 1_000_000)),
  );
  if (!found.ok) throw new Error(found.reason);
  return found;
});
const [low, high] = [2.2570739868029834, 2.5448438139020735];

const freewheeling: Row = {
  row: "9",
  title: "R-L, 2 Ω, 1 mH, 12 V chopped at 10 kHz, duty 0.4, ideal freewheel diode: settled",
  source:
    "two exponentials that meet (Mohan, Undeland & Robbins, Power Electronics, ch. 7); shooting: Aprille & Trick, " +
    "Proc. IEEE 60(1) (1972)",
  note: "Two periods are marched: one to find the step, one that shows that nothing is left to correct.",
  claims: [
    {
      what: "highest current, 100 steps a period",
      expected: high,
      unit: "A",
      kind: "relative",
      bound: 5e-8,
      got: () => mixed().high,
    },
    {
      what: "lowest current, 100 steps a period",
      expected: low,
      unit: "A",
      kind: "relative",
      bound: 5e-8,
      got: () => mixed().begins,
    },
    {
      what: "mean current, 100 trapezoids a period: V d/R exactly, since the trapezoid's means obey L Δi = h (v̄ − R ī)",
      expected: 2.4,
      unit: "A",
      kind: "relative",
      bound: 1e-14,
      got: () => trapezoids().mean,
    },
    {
      what: "mean current, 100 steps a period, mixed",
      expected: 2.4,
      unit: "A",
      kind: "relative",
      bound: 5e-8,
      got: () => mixed().mean,
    },
    {
      what: "change of the current over the settled period, as a share of it",
      expected: 0,
      kind: "absolute",
      bound: 1e-14,
      got: () => mixed().ends / mixed().begins - 1,
    },
    {
      what: "periods marched to find it: one Newton step and its proof",
      expected: 2,
      kind: "same",
      bound: 0,
      got: () => shooting().shots,
    },
    {
      what: "residual of the shooting itself",
      expected: 0,
      kind: "absolute",
      bound: 1e-14,
      got: () => shooting().residual,
    },
  ],
};

export const shares: readonly Row[] = [sharing, freewheeling];
