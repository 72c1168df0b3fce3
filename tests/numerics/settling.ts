// Beyond the numbered rows: starts that are settled, whatever the time constants, and how a measured value changes with
// the values of the parts, both against closed forms.

import { atOnce } from "../../src/base/slices.js";
import { compile, sensitivities, verify } from "../../src/index.js";
import { settledStart } from "../../src/simulation/settled.js";
import { largest, once, type Row, run } from "./claim.js";

const coupling = `
  signal video = pulse 0 V to 1 V, wide 12 us, every 64 us
  capacitor couple video -> a 10 uF
  resistor bias a -> ground 470 kohm
  resistor series a -> b 10 kohm
  capacitor second b -> c 4.7 uF
  resistor leak c -> ground 1 Mohm
  capacitor stray c -> ground 100 pF`;

const rectifier = `
  signal mains = sine -10 V to 10 V, at 50 Hz
  diode charge mains -> bulk drop 0 V
  capacitor store bulk -> ground 100 uF
  resistor load bulk -> ground 10 kohm`;

// Charges from 0.5 V toward 5 V, would turn at 4 V after 151 µs, but is cut short each 140 µs.
const locked = `
  signal sync = pulse 0 V to 5 V, wide 10 us, every 140 us
  supply plus5 = 5 V
  resistor charge plus5 -> cap 10 kohm
  capacitor hold cap -> ground 10 nF
  switch turn cap -> ground closed while cap above 4 V, open 0.5 V, on 100 ohm
  switch lock cap -> ground closed while sync above 2.5 V, on 100 ohm`;

const board = `
  supply plus12 = 12 V
  signal ls = line sync of 625/50, 0 V to 5 V
  signal fs = field sync of 625/50, 0 V to 5 V
  block sweep joins rail, gate, ramp
    given charge = 1 mA
    given timing = 15 nF
    current feed rail -> ramp charge, output 2 Mohm, headroom 0.9 V
    capacitor hold ramp -> ground timing
    switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
  end
  use sweep as line joins plus12, ls, lr with charge 1 mA, timing 15 nF
  use sweep as field joins plus12, fs, fr with charge 30 uA, timing 150 nF
  capacitor couple lr -> lout 1 uF
  resistor bias lout -> ground 1 Mohm`;

const shots = (text: string) => {
  const found = atOnce(settledStart(compile(text), { method: "mixed", tolerance: 5e-5, steps: 1e7 }));
  return found.ok ? found.shots : Number.NaN;
};

/** Largest difference between the first period and later ones at the same place in them, as a share of the swing. */
const drift = (text: string, place: string, period: number, step: number, later: readonly number[]) => () => {
  const until = period * (Math.max(...later) + 1);
  const trace = run(text, { start: "settled", until, step }).trace(place);
  const within = Array.from({ length: 61 }, (_, k) => ((k + 0.37) / 61) * period);
  const size = largest(within.map((t) => trace.at(t)));
  return largest(within.flatMap((t) => later.map((n) => trace.at(t) - trace.at(t + n * period)))) / size;
};

/** The sine is left where it falls as fast as exp(−t/RC), RC = 1 s, and met again in its next rise, by halving. */
const lost = () => {
  const speed = 2 * Math.PI * 50;
  const leaves = (Math.PI - Math.atan(speed)) / speed;
  const fading = (t: number) => Math.sin(speed * leaves) * Math.exp(leaves - t);
  let [low, high] = [20e-3, 25e-3];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (Math.sin(speed * middle) < fading(middle)) low = middle;
    else high = middle;
  }
  return 1 - fading(low);
};

const ripple = once(() => {
  const { value } = run(rectifier, { start: "settled", until: "40 ms" }).trace("bulk");
  return 1 - Math.min(...value) / 10;
});

const atMost = (what: string, bound: number, got: () => number) => ({
  what,
  expected: 0,
  kind: "absolute" as const,
  bound,
  got,
});
const few = (what: string, text: string, most: number) => ({
  what: `${what}: settles within ${most} periods marched`,
  expected: "yes",
  kind: "same" as const,
  bound: 0,
  got: () => (shots(text) <= most ? "yes" : "no"),
});

const settled: Row = {
  row: "settled",
  title:
    "Settled starts: time constants of seconds, a rectifier, a relaxation locked to a pulse, line and field sweep",
  source:
    "shooting: Aprille & Trick, Proc. IEEE 60(1) (1972); events: Aizerman & Gantmacher (1958); tilt 200 tanh(T/4RC) %: " +
    "Millman & Taub, ch. 2; ripple: where the fading exp(−t/RC) meets the next rise, by bisection",
  claims: [
    few("coupling, 4.7 s and 5.2 s", coupling, 4),
    atMost(
      "coupling: periods 1, 2 and 49 against the first",
      1e-11,
      drift(coupling, "c", 64e-6, 1e-6, [1, 2, 49]),
    ),
    few("half-wave rectifier, RC = 1 s", rectifier, 3),
    atMost(
      "rectifier: periods 1 and 2 against the first",
      1e-11,
      drift(rectifier, "bulk", 20e-3, 50e-6, [1, 2]),
    ),
    {
      what: "rectifier: ripple as a share of the peak, default settings",
      expected: lost(),
      kind: "relative",
      bound: 1e-11,
      got: ripple,
    },
    few("relaxation locked to a pulse", locked, 6),
    atMost(
      "locked: periods 1, 2 and 9 against the first",
      1e-11,
      drift(locked, "cap", 140e-6, 1e-6, [1, 2, 9]),
    ),
    few("line and field sweep, coupled with 1 s, common period 40 ms", board, 4),
    atMost(
      "line sweep behind 1 s: the next 40 ms against the first",
      3e-11,
      drift(board, "lout", 40e-3, 8e-6, [1]),
    ),
    atMost("field sweep: the next 40 ms against the first", 1e-12, drift(board, "fr", 40e-3, 8e-6, [1])),
    ...[0.1, 0.5, 1, 2, 5].map((x) => ({
      what: `tilt of a coupled square wave, T/RC = ${x}, share of half the swing`,
      expected: 2 * Math.tanh(x / 4),
      kind: "absolute" as const,
      bound: 1e-12,
      got: () =>
        verify(
          run(
            `given line = 64 us
             signal square = pulse -1 V to 1 V, wide line / 2, every line
             capacitor couple square -> out 10 nF
             resistor leak out -> ground line / (${x} * 10 nF)
             check "tilt" tilt of out from 0 s to line / 2 below 1000 %`,
            { start: "settled", until: "64 us" },
          ),
        )[0].measured,
    })),
  ],
};

/** Derivative (or its share) of what the check "v" measures, by the value of a part. */
const sensitivity = (text: string, part: string, aspect: "derivative" | "relative") => () =>
  sensitivities(compile(text), "v", { simulate: { start: "rest" } }).find(
    (s) => s.part === part && s.of === "value",
  )![aspect];

const ramp = `
  current feed ground -> ramp 1 mA
  capacitor hold ramp -> ground 10 nF
  check "v" peak of ramp below 100 V
  run for 52.6 us`;
const charging = `
  supply source = 5 V
  resistor feed source -> out 1 kohm
  capacitor hold out -> ground 1 uF
  check "v" value of out at 0.7 ms below 5 V
  run for 0.7 ms`;
const divider = `
  supply source = 5 V
  resistor upper source -> out 1 kohm
  resistor lower out -> ground 2.2 kohm
  check "v" value of out at 1 us below 5 V
  run for 2 us`;
// v = V (1 − e^−x) with x = T/RC: dv/dR · R/v = −x e^−x/(1 − e^−x)
const share = (-0.7 * Math.exp(-0.7)) / -Math.expm1(-0.7);

const moved: Row = {
  row: "sensitivity",
  title: "How a measured value changes with a part's value",
  source: "derivatives of I T/C, V (1 − exp(−T/RC)) and V R₂/(R₁ + R₂); extrapolation: Richardson (1911)",
  claims: (
    [
      ["peak of a ramp by its current", ramp, "feed", "derivative", 5260, "V/A", 1e-9],
      ["peak of a ramp by its capacitor", ramp, "hold", "derivative", -526e6, "V/F", 1e-8],
      ["peak of a ramp by its capacitor, in shares", ramp, "hold", "relative", -1, "", 1e-8],
      ["RC at 0.7 τ by the resistor, in shares", charging, "feed", "relative", share, "", 1e-9],
      ["RC at 0.7 τ by the capacitor, in shares", charging, "hold", "relative", share, "", 1e-9],
      ["RC at 0.7 τ by the supply, in shares", charging, "source", "relative", 1, "", 1e-9],
      ["divider by its upper resistor, in shares", divider, "upper", "relative", -1 / 3.2, "", 1e-9],
      ["divider by its lower resistor, in shares", divider, "lower", "relative", 1 / 3.2, "", 3e-9],
      ["divider by its supply", divider, "source", "derivative", 2.2 / 3.2, "V/V", 1e-9],
    ] as const
  ).map(([what, text, part, aspect, expected, unit, bound]) => ({
    what,
    expected,
    unit,
    kind: "relative",
    bound,
    got: sensitivity(text, part, aspect),
  })),
};

export const settling: readonly Row[] = [settled, moved];
