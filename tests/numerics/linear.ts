// Rows 1, 2, 3, 10 and 14: linear circuits, where a method of integration has a closed form of its own. Errors that a
// method is known to make must be made to the last digit, so that nothing else can hide behind them.
import { farthest, largest, last, once, order, type Row, run } from "./claim.js";

const rc = `
  supply source = 5 V
  resistor feed source -> out 1 kohm
  capacitor hold out -> ground 1 uF`;

const charge = (method: "trapezoid" | "tr-bdf2") => () =>
  last(run(rc, { until: "1 ms", step: "100 us", method, start: "rest" }).trace("out").value);

const exponential: Row = {
  row: "1",
  title: "RC step, 1 kΩ, 1 µF, 5 V, after one time constant",
  source:
    "V (1 − exp(−t/RC)): Millman & Taub, Pulse, Digital, and Switching Waveforms (1965), ch. 2. Discrete: the factor a " +
    "step, (1 − h/2τ)/(1 + h/2τ) for the trapezoid, for TR-BDF2 as in Hosea & Shampine, Appl. Numer. Math. 20 (1996)",
  claims: [
    {
      what: "trapezoid at a tenth of the time constant: its own closed form",
      expected: 3.1621372880856544,
      unit: "V",
      kind: "relative",
      bound: 1e-13,
      got: charge("trapezoid"),
    },
    {
      what: "TR-BDF2 throughout: its own closed form",
      expected: 3.1613538828766137,
      unit: "V",
      kind: "relative",
      bound: 1e-13,
      got: charge("tr-bdf2"),
    },
    {
      what: "default settings: the true value",
      expected: 3.1606027941427883,
      unit: "V",
      kind: "relative",
      bound: 1e-14,
      got: () => last(run(rc, { until: "1 ms", start: "rest" }).trace("out").value),
    },
    {
      what: "default settings: every sample, as a share of the swing",
      expected: 0,
      kind: "absolute",
      bound: 1e-13,
      got: () => {
        const { time, value } = run(rc, { until: "1 ms", start: "rest" }).trace("out");
        return largest(value.map((v, i) => v / 5 + Math.expm1(-time[i] / 1e-3)));
      },
    },
  ],
};

const rlc = (ohms: string) => `
  supply source = 1 V
  resistor loss source -> a ${ohms} ohm
  inductor coil a -> out 1 mH
  capacitor hold out -> ground 1 uF`;

const ring = once(() => run(rlc("10"), { until: "120 us", step: "0.1 us", start: "rest" }));

/** 10 Ω: 1 − exp(−αt) (cos ωt + α/ω sin ωt), with α = R/2L, ω² = 1/LC − α². */
const ringing = (t: number) => {
  const fade = 10 / 2e-3;
  const turns = Math.sqrt(1 / 1e-9 - fade ** 2);
  return 1 - Math.exp(-fade * t) * (Math.cos(turns * t) + (fade / turns) * Math.sin(turns * t));
};
/** R = 2 √(L/C): 1 − exp(−αt) (1 + αt). */
const creeping = (t: number) => 1 - Math.exp(-t / Math.sqrt(1e-9)) * (1 + t / Math.sqrt(1e-9));

/** The coil's current passes zero where the voltage peaks: found to rounding, which a flat top would not allow. */
const turn = once(() => {
  const current = ring().trace("coil.current");
  let [low, high] = [95e-6, 105e-6];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (current.at(middle) > 0) low = middle;
    else high = middle;
  }
  return low;
});

const secondOrder: Row = {
  row: "2",
  title: "Series RLC, 1 V step, 1 mH, 1 µF: ringing, critical, slow",
  source:
    "the three cases of a second-order step (Sedra & Smith, Microelectronic Circuits; any network text)",
  claims: [
    ...(
      [
        ["10", 1.6045657890000151],
        ["63.2455532033675866", 0.8238140347899728],
        ["200", 0.38521337933160255],
      ] as const
    ).map(([ohms, expected]) => ({
      what: `${Number(ohms).toPrecision(3)} Ω: the voltage at 100 µs, h = 0.1 µs`,
      expected,
      unit: "V",
      kind: "relative" as const,
      bound: 1e-6,
      got: () => last(run(rlc(ohms), { until: "100 us", step: "0.1 us", start: "rest" }).trace("out").value),
    })),
    {
      what: "10 Ω: height of the peak between samples",
      expected: 1.6046790656943384,
      unit: "V",
      kind: "relative",
      bound: 1e-6,
      got: () => ring().trace("out").at(turn()),
    },
    {
      what: "10 Ω: instant of the peak",
      expected: 0.00010061148632539165,
      unit: "s",
      kind: "relative",
      bound: 1e-6,
      got: turn,
    },
    ...(
      [
        ["10", 50, ringing],
        ["10", 200, ringing],
        ["63.2455532033675866", 50, creeping],
        ["63.2455532033675866", 200, creeping],
      ] as const
    ).map(([ohms, microseconds, exact]) => ({
      what: `${Number(ohms).toPrecision(3)} Ω at default settings: the voltage at ${microseconds} µs`,
      expected: exact(microseconds * 1e-6),
      unit: "V",
      kind: "absolute" as const,
      bound: 1e-13,
      got: () => last(run(rlc(ohms), { until: `${microseconds} us`, start: "rest" }).trace("out").value),
    })),
  ],
};

const tank = once(() =>
  run(
    `capacitor hold top -> ground 1 uF, starts 1 V
     inductor coil top -> ground 1 mH, starts 0 A`,
    { until: "100 ms", step: "1 us", start: "rest", method: "trapezoid" },
  ),
);

const lossless: Row = {
  row: "3",
  title: "LC, 1 mH, 1 µF, 1 V: 100 000 trapezoids of 1 µs",
  source:
    "the trapezoid turns the phase by 2 atan(ωh/2) a step and keeps the energy: Dahlquist, BIT 3 (1963); algebra",
  note:
    "The true voltage here is −0.2616 V. A method that gave it would not be the trapezoid it says it is: after 503 " +
    "turns the trapezoid is a quarter of a radian late, and exactly that is asked for.",
  claims: [
    {
      what: "voltage after 100 ms: the trapezoid's own phase, cos(n · 2 atan(ωh/2))",
      expected: -0.00117071305111738,
      unit: "V",
      kind: "absolute",
      bound: 1e-9,
      got: () => last(tank().trace("top").value),
    },
    {
      what: "the true voltage, −0.26157564922756 V, does not appear: nearest sample of the last step is farther than 0.1 V",
      expected: "yes",
      kind: "same",
      bound: 0,
      got: () => (Math.abs(last(tank().trace("top").value) + 0.26157564922756) > 0.1 ? "yes" : "no"),
    },
    {
      what: "energy at every sample",
      expected: 0.5e-6,
      unit: "J",
      kind: "relative",
      bound: 1e-10,
      got: () => {
        const { value: i } = tank().trace("coil.current");
        return farthest(
          tank()
            .trace("top")
            .value.map((v, k) => (1e-6 * v * v + 1e-3 * i[k] * i[k]) / 2),
          0.5e-6,
        );
      },
    },
  ],
};

const ladder = [
  "supply source = 1 V",
  "resistor foot n1 -> ground 1 ohm",
  ...Array.from({ length: 8 }, (_, k) => `resistor link${k + 1} n${k + 1} -> n${k + 2} 1 ohm`),
  "resistor feed source -> n9 1 ohm",
  ...Array.from({ length: 9 }, (_, k) => {
    const size = k === 0 ? "1 F / 900" : k === 8 ? "1 F / 1000" : "1 F";
    return `capacitor c${k + 1} n${k + 1} -> ground ${size}`;
  }),
].join("\n");

const climbed = (method: "mixed" | "tr-bdf2", step: string) =>
  once(() => run(ladder, { until: "10 s", step, start: "rest", method }));

const rungs = [
  ["n1", 0.03967149086589698],
  ["n5", 0.28435293115598986],
  ["n9", 0.8366228460445456],
] as const;

const stiff: Row = {
  row: "10",
  title: "Nine-node RC ladder, time constants from 0.5 ms to 40 s",
  source:
    "stiff test problem A2, Enright, Hull & Lindberg, BIT 15 (1975); values from its matrix exponential",
  note:
    "At h = 1/80 s the trapezoid's own error, h²/12 of the third derivative, is 1.7 · 10⁻⁷ of the 40 mV at n1; no " +
    "trapezoid can do better. So 10⁻⁷ is asked of TR-BDF2 relative to each voltage, and of mixed as a share of the " +
    "1 V that feeds the ladder.",
  claims: (
    [
      ["tr-bdf2", "1/80", "12.5 ms", "relative", 1e-7],
      ["mixed", "1/80", "12.5 ms", "absolute", 1e-7],
      ["tr-bdf2", "0.1", "0.1 s", "relative", 5e-5],
      ["mixed", "0.1", "0.1 s", "relative", 5e-5],
    ] as const
  ).flatMap(([method, h, step, kind, bound]) => {
    const result = climbed(method, step);
    return rungs.map(([place, expected]) => ({
      what: `${method}: ${place} at 10 s, h = ${h} s`,
      expected,
      unit: "V",
      kind,
      bound,
      got: () => last(result().trace(place).value),
    }));
  }),
};

const omega = 2 * Math.PI * 1000;
const made = `
  current one ground -> out sine -1 mA to 1 mA, at 1 kHz
  current two ground -> out sine -6.28318530717958647693 mA to 6.28318530717958647693 mA, at 1 kHz, phase 90 deg
  capacitor hold out -> ground 1 uF, starts 0 V
  resistor load out -> ground 1 kohm`;
const steps = ["40 us", "20 us", "10 us", "5 us", "2.5 us", "1.25 us"];
type Method = "mixed" | "trapezoid" | "tr-bdf2";
const away = (step: string, method: Method) => {
  const { time, value } = run(made, { until: "2 ms", step, start: "rest", method }).trace("out");
  return largest(value.map((v, i) => v - Math.sin(omega * time[i])));
};
const errors = (method: Method) => once(() => steps.map((step) => away(step, method)));
const offs = { trapezoid: errors("trapezoid"), "tr-bdf2": errors("tr-bdf2"), mixed: errors("mixed") };

const manufactured: Row = {
  row: "14",
  title: "Manufactured: i = C v′ + v/R for v = sin ωt, 1 kHz, h from 40 µs to 1.25 µs",
  source: "method of manufactured solutions (P. Roache, J. Fluids Eng. 124, 2002); algebra",
  note:
    "Mixed begins with two TR-BDF2 steps, whose error constant is another; its share of the whole falls with the " +
    "cube of the step, so the order nears 2 from above and is asked for at the last halving.",
  claims: [
    ...(["trapezoid", "tr-bdf2"] as const).map((method) => ({
      what: `${method}: order in each of five halvings`,
      expected: 2,
      kind: "absolute" as const,
      bound: 0.02,
      got: () => {
        const e = offs[method]();
        return farthest(
          e.slice(1).map((fine, k) => order(e[k], fine)),
          2,
        );
      },
    })),
    {
      what: "mixed: order in the last halving",
      expected: 2,
      kind: "absolute",
      bound: 0.02,
      got: () => order(offs.mixed()[4], offs.mixed()[5]),
    },
  ],
};

export const linear: readonly Row[] = [exponential, secondOrder, lossless, stiff, manufactured];
