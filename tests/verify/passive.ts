// Random passive circuits, twice: as a design text, and as x′ = A x + b₀ + b₁ t worked out here from Kirchhoff's laws.
// Every place has a capacitor to ground, so that the states are the voltages of the places and the currents of the
// coils; capacitors between places, which depend on the others, only fill the capacitance matrix.
//
// With E = ½ vᵀC v + ½ iᵀL i as the norm, A only takes away energy, so every A-stable method passes errors on without
// growth (von Neumann; G. Dahlquist, BIT 3, 1963), and so does the circuit with x‴, which obeys y′ = A y. The local
// error of the trapezoid is at most h³/12 ‖x‴‖, that of TR-BDF2 less. Hence, for any step, however long,
//
//     ‖error at T‖ ≤ K h²,   K = T/12 ‖x‴(0)‖,   x‴ = A (A (A x₀ + b₀) + b₁)
import { compile, type SimulateOptions, simulate } from "../../src/index.js";
import { Chance } from "./chance.js";
import { applied, exponential, type Rows, solved, zeros } from "./matrix.js";

/** A circuit in both forms. */
export interface Passive {
  readonly text: string;
  readonly h: string;
  readonly seconds: { readonly h: number; readonly end: number };
  readonly until: string;
  /** One step before the end: nothing earlier need be recorded. */
  readonly nearly: string;
  /** Names of the traces that show the states. */
  readonly traces: readonly string[];
  readonly A: Rows;
  readonly b0: readonly number[];
  readonly b1: readonly number[];
  readonly x0: readonly number[];
  /** Twice the energy of a state: xᵀ W x. */
  readonly W: Rows;
}

/** What comparing came to: the energy norms of the error, of its bound K h², and of the state itself. */
export interface Comparison {
  readonly error: number;
  readonly bound: number;
  readonly size: number;
}

/** Makes a circuit of 1 to 12 states. */
export function passive(seed: number): Passive {
  const chance = new Chance(seed);
  const states = chance.whole(1, 12);
  const coils = Math.min(chance.whole(0, 4), states - 1);
  const places = states - coils;
  const lines: string[] = [];
  const C = zeros(places, places);
  const G = zeros(places, places);
  const j0 = new Array<number>(places).fill(0);
  const j1 = new Array<number>(places).fill(0);
  const name = (p: number) => (p < 0 ? "ground" : `n${p}`);
  const other = (p: number) => (p === 0 || chance.happens(0.3) ? -1 : chance.whole(0, p - 1));
  const between = (M: Rows, a: number, b: number, value: number) => {
    for (const [i, j, sign] of [
      [a, a, 1],
      [b, b, 1],
      [a, b, -1],
      [b, a, -1],
    ]) {
      if (i >= 0 && j >= 0) M[i][j] += sign * value;
    }
  };
  const volts = Array.from({ length: places }, () => chance.whole(-40, 40) / 8);
  for (let p = 0; p < places; p++) {
    const pico = chance.whole(100, 2000);
    lines.push(`capacitor c${p} n${p} -> ground ${pico} pF, starts ${volts[p]} V`);
    between(C, p, -1, pico * 1e-12);
  }
  for (let k = chance.whole(0, places - 1); k > 0; k--) {
    const a = chance.whole(1, places - 1);
    const b = chance.whole(0, a - 1);
    const pico = chance.whole(50, 500);
    lines.push(`capacitor x${k} n${a} -> n${b} ${pico} pF, starts (${volts[a] - volts[b]} V)`);
    between(C, a, b, pico * 1e-12);
  }
  for (let p = 0; p < places; p++) {
    const ohms = chance.whole(100, 3000);
    const to = other(p);
    lines.push(`resistor r${p} n${p} -> ${name(to)} ${ohms} ohm`);
    between(G, p, to, 1 / ohms);
    if (!chance.happens(0.4)) continue;
    const more = chance.whole(100, 3000);
    lines.push(`resistor s${p} n${p} -> ground ${more} ohm`);
    between(G, p, -1, 1 / more);
  }
  // Sources: constant or rising, pushed in or behind a resistor. A ramp goes on for longer than the run, 1 ms.
  const ramp = 1e-3;
  for (let k = chance.whole(1, 3); k > 0; k--) {
    const at = chance.whole(0, places - 1);
    const [from, to] = [chance.whole(-9, 9), chance.happens(0.5) ? chance.whole(-9000, 9000) : undefined];
    const wave = (unit: string) =>
      to === undefined ? `${from} ${unit}` : `path ${from} ${unit} at 0 s, ${to} ${unit} at 1 ms`;
    const rise = to === undefined ? 0 : (to - from) / ramp;
    if (chance.happens(0.5)) {
      lines.push(`current i${k} ground -> n${at} ${wave("mA")}`);
      j0[at] += from * 1e-3;
      j1[at] += rise * 1e-3;
    } else {
      const ohms = chance.whole(200, 2000);
      lines.push(`${to === undefined ? "supply" : "signal"} v${k} = ${wave("V")}`);
      lines.push(`resistor t${k} v${k} -> n${at} ${ohms} ohm`);
      between(G, at, -1, 1 / ohms);
      j0[at] += from / ohms;
      j1[at] += rise / ohms;
    }
  }
  const loops = Array.from({ length: coils }, (_, k) => {
    const a = chance.whole(0, places - 1);
    const b = other(a);
    const [micro, ohms, milli] = [
      chance.whole(50, 999),
      chance.whole(0, 1) * chance.whole(5, 500),
      chance.whole(-9, 9),
    ];
    const inner = ohms > 0 ? `m${k}` : name(b);
    lines.push(`inductor l${k} n${a} -> ${inner} ${micro} uH, starts ${milli} mA`);
    if (ohms > 0) lines.push(`resistor q${k} m${k} -> ${name(b)} ${ohms} ohm`);
    return { a, b, henries: micro * 1e-6, ohms, amperes: milli * 1e-3 };
  });
  // C v′ = j − G v − (coil currents), L i′ = v_a − v_b − R i.
  const right = zeros(places, states + 2);
  for (let p = 0; p < places; p++) {
    for (let q = 0; q < places; q++) right[p][q] = -G[p][q];
    right[p][states] = j0[p];
    right[p][states + 1] = j1[p];
  }
  loops.forEach(({ a, b }, k) => {
    right[a][places + k] -= 1;
    if (b >= 0) right[b][places + k] += 1;
  });
  const answer = solved(C, right)!;
  const W = zeros(states, states);
  C.forEach((row, p) => {
    row.forEach((c, q) => {
      W[p][q] = c;
    });
  });
  loops.forEach(({ a, b, henries, ohms }, k) => {
    const row = new Array<number>(states + 2).fill(0);
    row[a] += 1 / henries;
    if (b >= 0) row[b] -= 1 / henries;
    row[places + k] = -ohms / henries;
    answer.push(row);
    W[places + k][places + k] = henries;
  });
  const A = answer.map((row) => row.slice(0, states));
  // The fastest of all, about: the step is some tenth of it, so that h² is the leading power and K h² says something.
  const fastest = Math.max(...A.map((row, k) => Math.abs(row[k])), 1 / Math.sqrt(100e-12 * 50e-6) / 4);
  const steps = chance.whole(4, 12);
  const pico = Math.max(1, Math.round((chance.whole(2, 20) / 100 / fastest) * 1e12));
  const x0 = [...volts, ...loops.map((l) => l.amperes)];
  return {
    text: chance.shuffled(lines).join("\n"),
    h: `${pico} ps`,
    until: `${steps * pico} ps`,
    nearly: `${(steps - 1) * pico} ps`,
    seconds: { h: pico * 1e-12, end: steps * pico * 1e-12 },
    traces: [...volts.map((_, p) => `n${p}`), ...loops.map((_, k) => `l${k}.current`)],
    A,
    b0: answer.map((row) => row[states]),
    b1: answer.map((row) => row[states + 1]),
    x0,
    W,
  };
}

const methods = ["mixed", "trapezoid", "tr-bdf2"] as const;

/** Simulates a circuit and compares its end with the matrix exponential; seeds take turns at methods and matrices. */
export function compared(circuit: Passive, seed: number): Comparison {
  const { text, h, until, nearly, traces, A, b0, b1, x0, W, seconds } = circuit;
  const options: SimulateOptions = {
    until,
    step: h,
    start: "rest",
    method: methods[seed % 3],
    algebra: Math.floor(seed / 3) % 2 === 0 ? "dense" : "sparse",
    record: { from: nearly },
  };
  const done = simulate(compile(text), options);
  if (done.status !== "complete") throw new Error(`seed ${seed}: ${done.reason}`);
  const got = traces.map((name) => {
    const { value } = done.trace(name);
    return value[value.length - 1];
  });
  const n = x0.length;
  // (x, 1, t)′ = [A b₀ b₁; 0 0 0; 0 1 0] (x, 1, t), times the length of the run.
  const whole = zeros(n + 2, n + 2);
  A.forEach((row, i) => {
    [...row, b0[i], b1[i]].forEach((v, j) => {
      whole[i][j] = v * seconds.end;
    });
  });
  whole[n + 1][n] = seconds.end;
  const exact = applied(exponential(whole), [...x0, 1, 0]).slice(0, n);
  const first = applied(A, x0).map((v, i) => v + b0[i]);
  const third = applied(
    A,
    applied(A, first).map((v, i) => v + b1[i]),
  );
  const energy = (x: readonly number[]) => Math.sqrt(applied(W, x).reduce((sum, v, i) => sum + v * x[i], 0));
  return {
    error: energy(got.map((v, i) => v - exact[i])),
    bound: (seconds.end * seconds.h ** 2 * energy(third)) / 12,
    size: Math.max(energy(exact), energy(x0)),
  };
}

/** Compares circuit after circuit; gives how many are beyond their bound, and what they were like. */
export function compareMany(from: number, count: number) {
  const beyond: number[] = [];
  const shares: number[] = [];
  let worst = 0;
  let rounding = 0;
  for (let seed = from; seed < from + count; seed++) {
    const { error, bound, size } = compared(passive(seed), seed);
    // Rounding: a few dozen products a step on numbers of that size.
    const allowed = bound + 1e-13 * size;
    if (!(error <= allowed)) beyond.push(seed);
    worst = Math.max(worst, error / allowed);
    rounding = Math.max(rounding, (error - bound) / size);
    shares.push(bound / size);
  }
  shares.sort((a, b) => a - b);
  return { beyond, worst, rounding, median: shares[count >> 1] };
}
