// Rows 7 and 11: what hangs directly on a source. A capacitor on a source has the source's own slope for its current,
// and a switch that a source commands follows the source's own crossings: nothing of the step may be in either.
import { farthest, largest, once, type Row, run } from "./claim.js";

const slope = `
  signal slope = path 0 V at 0 s, 10 V at 10 ms
  capacitor load slope -> ground 1 uF`;

const omega = 2 * Math.PI * 50;
// Beside the capacitor on the source, another behind a resistor: its voltage has errors of the step in it.
const mains = `
  signal mains = sine -10 V to 10 V, at 50 Hz, phase 90 deg
  capacitor load mains -> ground 100 uF
  resistor series mains -> soft 50 ohm
  capacitor store soft -> ground 100 uF`;
const steps = ["0.1 ms", "0.05 ms", "0.025 ms", "0.0125 ms"];
const inconsistent = once(() => steps.map((step) => run(mains, { until: "40 ms", step, start: "rest" })));

/** Worst error of the current −CωV sin ωt. */
const current = (k: number) => {
  const { time, value } = inconsistent()[k].trace("load.current");
  return largest(value.map((i, n) => i + 100e-6 * omega * 10 * Math.sin(omega * time[n])));
};

/** Worst error of the voltage behind the resistor, from 0 V: RC v′ + v = 10 cos ωt. */
const behind = (k: number) => {
  const { time, value } = inconsistent()[k].trace("soft");
  const tau = 5e-3;
  const size = 10 / (1 + (omega * tau) ** 2);
  const settled = (t: number) => size * (Math.cos(omega * t) + omega * tau * Math.sin(omega * t));
  return largest(value.map((v, n) => v - settled(time[n]) + size * Math.exp(-time[n] / tau)));
};

const onSource: Row = {
  row: "7",
  title:
    "A capacitor across a source: 1 V/ms across 1 µF from rest; 10 cos(2π50t) V across 100 µF, begun inconsistent",
  source: "i = C dv/dt; a plain trapezoid with the current as its memory gives 2, 0, 2, 0 mA (algebra)",
  note:
    "The current of a capacitor that hangs on a source is taken from the source's own slope, so nothing of the step is " +
    "in it: there is no error left to fall four-fold with a halving. That is asked of the voltage behind a resistor in " +
    "the same circuit with the same start.",
  claims: [
    ...(["mixed", "trapezoid", "tr-bdf2"] as const).map((method) => ({
      what: `${method}: 1 mA at every step`,
      expected: 1e-3,
      unit: "A",
      kind: "relative" as const,
      bound: 1e-12,
      got: () =>
        farthest(
          run(slope, { until: "8 ms", step: "0.5 ms", start: "rest", method }).trace("load.current").value,
          1e-3,
        ),
    })),
    ...[0, 1].map((k) => ({
      what: `−CωV sin ωt at h = ${steps[k]}: asked for 3 · 10⁻⁵ A`,
      expected: 0,
      unit: "A",
      kind: "absolute" as const,
      bound: 1e-12,
      got: () => current(k),
    })),
    ...[0, 1, 2].map((k) => ({
      what: `voltage behind 50 Ω: error at h = ${steps[k]} over error at ${steps[k + 1]}`,
      expected: 4,
      kind: "absolute" as const,
      bound: 0.1,
      got: () => behind(k) / behind(k + 1),
    })),
  ],
};

// sin(2πft) = 0.9999 at asin(0.9999)/2πf and mirrored about a quarter period.
const crossings = [0.0002477491904525953, 0.00025225080954740473];
const between = crossings[1] - crossings[0];
const grids = ["0 s", "1.3 us", "3.7 us", "4.999 us", "7.77 us", "9.99 us"];

/** Instants at which the watched place jumps; the sine is the source's own or that of a tank. */
const jumps = (shift: string, tone: string, until: string) => {
  const { time } = run(
    `${tone}
     signal nudge = path 0 V at ${shift}, 1 V at 1 s
     resistor tie nudge -> ground 1 kohm
     supply plus5 = 5 V
     resistor load plus5 -> out 1 kohm
     switch watch out -> ground closed while tone above 0.9999 V, on 1 ohm`,
    { until, step: "10 us" },
  ).trace("out");
  return [...time].filter((t, i) => time[i + 1] === t);
};
const direct = "signal tone = sine -1 V to 1 V, at 1 kHz";
// The same sine in a tank, a quarter period ahead: L C = 1/ω², 1 V at the start.
const tank = `
  capacitor hold tone -> ground 1 uF, starts 1 V
  inductor coil tone -> ground 25.3302959105844428610 mH, starts 0 A`;
// The trapezoid turns slower, tan(ω′h/2) = ωh/2; the instants are held to its own frequency.
const slow = (2 * Math.atan(Math.PI * 1e3 * 10e-6)) / 10e-6;
const half = Math.acos(0.9999) / slow;
const turn = (2 * Math.PI) / slow;
const inTank = [half, turn - half, turn + half];

const worstOf = (found: readonly number[], exact: readonly number[]) =>
  found.length === exact.length ? largest(found.map((t, k) => (t - exact[k]) / between)) : Number.NaN;

const grazing: Row = {
  row: "11",
  title: "1 kHz unit sine against 0.9999, h = 10 µs: two crossings 4.5 µs apart, inside one step",
  source: "asin(0.9999)/2πf and its mirror about a quarter period",
  note:
    "Where the threshold is watched through the circuit, the sine is that of a tank and has the trapezoid's own lag, " +
    "(ωh)²/12 of the phase; pieces of a step lag less, hence the wider bound there.",
  claims: [
    ...grids.map((shift) => ({
      what: `grid shifted by ${shift.replace("us", "µs")}: both crossings, in units of the time between them`,
      expected: 0,
      kind: "absolute" as const,
      bound: 1e-11,
      got: () => worstOf(jumps(shift, direct, "500 us"), crossings),
    })),
    ...["0 s", "1.3 us", "3.7 us", "7.77 us"].map((shift) => ({
      what: `watched through a tank, grid shifted by ${shift.replace("us", "µs")}: all three crossings, in the same units`,
      expected: 0,
      kind: "absolute" as const,
      bound: 0.05,
      got: () => worstOf(jumps(shift, tank, "1.2 ms"), inTank),
    })),
  ],
};

export const sources: readonly Row[] = [onSource, grazing];
