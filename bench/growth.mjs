// How the work grows with the circuit: `growth` of simulating, `parse` of compiling.
// Always: a ladder's voltages are those of its closed form, a chain's those of a divider; an exponent is the slope of the
// straight line through the logarithms of several sizes and the best of several times.
import { compile, simulate } from "../out/bench/engine.mjs";
import { best, computed, demand, exponent, whole } from "./kit.mjs";

const sizes = {
  ladder: [100, 180, 320, 560, 1000],
  chain: [1000, 2700, 7400, 20_000],
  parts: [12_500, 25_000, 50_000, 100_000],
};

/** Ladders of resistors and capacitors, and chains of resistors alone. */
export function growth({ short }) {
  const some = (all, count) => (short ? all.slice(0, count) : all);
  const goes = short ? 0.5 : 2;
  const laddered = some(sizes.ladder, 3).map((n) => ({ x: n, y: ladder(n, goes) }));
  const chained = some(sizes.chain, 2).map((n) => ({ x: n, y: chain(n, goes) }));
  return {
    seconds: [...laddered, ...chained].reduce((sum, { y }) => sum + y, 0),
    ratios: {},
    values: {
      "exponent of an RC ladder": exponent(laddered),
      "exponent of resistors alone": exponent(chained),
    },
    notes: { ladder: laddered, chain: chained },
  };
}

/** Seconds for 20 us of a ladder of n sections of 1 kohm and 1 nF, driven by a step at its near end. @param goes how long to try, s */
function ladder(n, goes) {
  const words = ["supply near = 1 V"];
  for (let i = 1; i <= n; i++) {
    words.push(`resistor r${i} ${i === 1 ? "near" : `p${i - 1}`} -> p${i} 1 kohm`);
    words.push(`capacitor c${i} p${i} -> ground 1 nF`);
  }
  const design = compile(words.join("\n"));
  let run;
  const seconds = best(() => {
    run = whole(simulate(design, { until: 20e-6, start: "rest", ...computed }));
  }, goes);
  for (const place of [1, 3, 10]) {
    const off = Math.abs(run.trace(`p${place}`).at(20e-6) - climbed(n, place, 20e-6 / 1e-6));
    demand(off < 1e-4, `place ${place} of ${n} is off its closed form by ${off} V`);
  }
  return seconds;
}

/**
 * Voltage of place j of a ladder of n equal sections with an open far end, a unit step after so many time constants of a
 * section: 1 - sum a sin(j w) exp(-4 sin(w/2)^2 t), w = (2k - 1) pi/(2n + 1), a = 2 cot(w/2)/(2n + 1), by the modes of
 * the second difference (any textbook of chains of equal links).
 */
function climbed(n, j, t) {
  let sum = 0;
  for (let k = 1; k <= n; k++) {
    const w = ((2 * k - 1) * Math.PI) / (2 * n + 1);
    const sine = Math.sin(w / 2);
    sum += (2 / (2 * n + 1) / Math.tan(w / 2)) * Math.sin(j * w) * Math.exp(-4 * sine * sine * t);
  }
  return 1 - sum;
}

/** Text of a chain of n equal resistors from a supply of so many volts to ground. */
function chained(n) {
  const words = [`supply near = ${n} V`];
  for (let i = 1; i <= n; i++)
    words.push(`resistor r${i} ${i === 1 ? "near" : `p${i - 1}`} -> ${i === n ? "ground" : `p${i}`} 1 kohm`);
  return words.join("\n");
}

/** Seconds for a chain of resistors. */
function chain(n, goes) {
  const design = compile(chained(n));
  let run;
  const seconds = best(() => {
    run = whole(simulate(design, { until: 1e-3, ...computed }));
  }, goes);
  for (const place of [1, n >> 1, n - 1]) {
    const volts = run.trace(`p${place}`).at(0.5e-3);
    demand(Math.abs(volts / (n - place) - 1) < 1e-9, `place ${place} of ${n} stands at ${volts} V`);
  }
  return seconds;
}

/** Compiling a hundred thousand parts. */
export function parse({ short }) {
  const points = (short ? sizes.parts.slice(0, 2) : sizes.parts).map((n) => {
    const text = chained(n);
    let design;
    const y = best(() => {
      design = compile(text);
    }, 1);
    demand(design.parts.length === n + 1, `of ${n} parts ${design.parts.length} are left`);
    return { x: n, y };
  });
  const { x, y: seconds } = points.at(-1);
  return {
    seconds,
    ratios: {},
    values: { wall: (seconds * 100_000) / x, exponent: exponent(points) },
    notes: { points },
  };
}
