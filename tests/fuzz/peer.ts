// A solver of another make beside the march: backward Euler with a fixed step on the full nodal equations, diodes and switches
// as resistances that are tried until all agree. It shares nothing with the product: the circuit is kept as a list of its own
// from which the text is only written.
// Backward Euler is of first order, so the distance between its answers with h and h/2 is, in the mean, the distance of the
// finer one from the truth (E. Hairer, S. P. Norsett, G. Wanner, Solving Ordinary Differential Equations I, II.4), once the step
// follows all that moves: steps are halved until it does. The march must lie within twice of it.
import { compile, simulate } from "../../src/index.js";
import { Chance } from "../verify/chance.js";
import { zeros } from "../verify/matrix.js";
import type { Judged } from "./judge.js";

type Part =
  | { readonly type: "resistor"; a: number; b: number; value: number }
  | { readonly type: "capacitor"; a: number; b: number; value: number }
  | { readonly type: "inductor"; a: number; b: number; value: number }
  /** Pushes a wave through a resistance into a place. */
  | { readonly type: "source"; a: number; ohms: number; wave: (t: number) => number; words: string }
  | { readonly type: "diode"; a: number; b: number; drop: number; on: number }
  /** Closed in the first `share` of every period. */
  | { readonly type: "switch"; a: number; b: number; on: number; period: number; share: number };

interface Peer {
  readonly places: number;
  readonly parts: readonly Part[];
  readonly end: number;
}

/** Periods of all waves, as parts of the run: corners lie on the grid of both solvers. */
const grid = 4096;

/** Makes a circuit: every place leads to ground through a resistor. */
function peer(seed: number): Peer {
  const chance = new Chance(seed);
  const places = chance.whole(1, 5);
  const end = 2 ** -chance.whole(8, 14);
  const log = (low: number, high: number) => Number((low * (high / low) ** chance.share()).toPrecision(3));
  const any = () => chance.whole(0, places - 1);
  const other = (a: number) => {
    const b = chance.whole(-1, places - 1);
    return b === a ? -1 : b;
  };
  const parts: Part[] = [];
  for (let p = 0; p < places; p++) {
    parts.push({ type: "resistor", a: p, b: -1, value: log(1e3, 1e6) });
    if (p > 0) parts.push({ type: "resistor", a: p, b: other(p), value: log(100, 1e5) });
    if (chance.happens(0.7))
      parts.push({ type: "capacitor", a: p, b: other(p), value: log(end / 1e6, end / 1e2) });
  }
  for (let k = chance.whole(1, 2); k > 0; k--) {
    const period = end / chance.of([1, 2, 4, 8]);
    const [low, high] = [chance.whole(-40, 40) / 4, chance.whole(-40, 40) / 4];
    const e = (x: number) => x.toExponential();
    const [wave, words] = chance.of([
      () =>
        [
          (t: number) => (low + high) / 2 + ((high - low) / 2) * Math.sin((2 * Math.PI * t) / period),
          `sine ${low} V to ${high} V, at ${1 / period} Hz`,
        ] as const,
      () =>
        [
          (t: number) => {
            const at = (t % period) / period;
            return low + (high - low) * (at < 0.25 ? 4 * at : at < 0.5 ? 1 : at < 0.75 ? 3 - 4 * at : 0);
          },
          `path ${low} V at 0 s, ${high} V at ${e(period / 4)} s, ${high} V at ${e(period / 2)} s, ${low} V at ${e((period * 3) / 4)} s, ${low} V at ${e(period)} s, every ${e(period)} s`,
        ] as const,
      () => [() => high, `path ${high} V at 0 s`] as const,
    ])();
    parts.push({ type: "source", a: any(), ohms: log(10, 1e4), wave, words });
  }
  for (let k = chance.whole(0, 4); k > 0; k--) {
    const a = any();
    const kind = chance.whole(0, 3);
    if (kind <= 1)
      parts.push({ type: "diode", a, b: other(a), drop: chance.whole(0, 8) / 8, on: log(1, 1000) });
    else if (kind === 2) parts.push({ type: "inductor", a, b: other(a), value: log(end * 10, end * 1e4) });
    else
      parts.push({
        type: "switch",
        a,
        b: other(a),
        on: log(10, 1e4),
        period: end / chance.of([1, 2, 4]),
        share: chance.of([0.25, 0.5, 0.75]),
      });
  }
  return { places, parts, end };
}

/** The text of a circuit. */
function written({ parts }: Peer): string {
  const place = (p: number) => (p < 0 ? "ground" : `n${p}`);
  const e = (x: number) => x.toExponential();
  return parts
    .flatMap((part, i) => {
      const name = `x${i}`;
      switch (part.type) {
        case "source":
          return [
            `signal ${name} = ${part.words}`,
            `resistor r${i} ${name} -> ${place(part.a)} ${e(part.ohms)} ohm`,
          ];
        case "diode":
          return [
            `diode ${name} ${place(part.a)} -> ${place(part.b)} drop ${part.drop} V, on ${e(part.on)} ohm`,
          ];
        case "switch":
          return [
            `signal g${i} = pulse 0 V to 5 V, wide ${e(part.period * part.share)} s, every ${e(part.period)} s`,
            `switch ${name} ${place(part.a)} -> ${place(part.b)} closed while g${i} above 2.5 V, on ${e(part.on)} ohm`,
          ];
        default: {
          const unit = { resistor: "ohm", capacitor: "F", inductor: "H" }[part.type];
          const starts = { resistor: "", capacitor: ", starts 0 V", inductor: ", starts 0 A" }[part.type];
          return [
            `${part.type} ${name} ${place(part.a)} -> ${place(part.b)} ${e(part.value)} ${unit}${starts}`,
          ];
        }
      }
    })
    .join("\n");
}

/** The text of the circuit of a seed. */
export const peerText = (seed: number): string => written(peer(seed));

/**
 * Backward Euler.
 * @returns voltages of all places, step after step from the first on; undefined where no modes of the diodes agree
 */
function euler({ places, parts, end }: Peer, steps: number): Float64Array | undefined {
  const h = end / steps;
  const out = new Float64Array(steps * places);
  const volts = new Float64Array(places + 1);
  const flows = parts.map(() => 0);
  const on = parts.map(() => false);
  // Index `places` is ground.
  const at = (p: number) => (p < 0 ? places : p);
  for (let n = 1; n <= steps; n++) {
    // A step is worked out with the switches as they stand in the middle of it.
    const middle = (n - 0.5) * h;
    let fits = false;
    let next: Float64Array = volts;
    for (let tries = 0; tries < 64 && !fits; tries++) {
      const G = zeros(places + 1, places + 1);
      const j = new Float64Array(places + 1);
      const join = (a: number, b: number, g: number, push: number) => {
        G[a][a] += g;
        G[b][b] += g;
        G[a][b] -= g;
        G[b][a] -= g;
        j[a] -= push;
        j[b] += push;
      };
      parts.forEach((part, i) => {
        const a = at(part.a);
        const b = "b" in part ? at(part.b) : places;
        if (part.type === "resistor") join(a, b, 1 / part.value, 0);
        else if (part.type === "source") join(a, places, 1 / part.ohms, -part.wave(n * h) / part.ohms);
        else if (part.type === "capacitor") {
          const g = part.value / h;
          join(a, b, g, -g * (volts[a] - volts[b]));
        } else if (part.type === "inductor") join(a, b, h / part.value, flows[i]);
        else if (part.type === "switch") {
          if ((middle % part.period) / part.period < part.share) join(a, b, 1 / part.on, 0);
        } else if (on[i]) join(a, b, 1 / part.on, -part.drop / part.on);
      });
      const found = solve(G, j, places);
      if (!found) return undefined;
      next = found;
      // The first diode that does not agree changes (K. G. Murty's least index).
      const wrong = parts.findIndex((part, i) => {
        if (part.type !== "diode") return false;
        const across = next[at(part.a)] - next[at(part.b)];
        return on[i] ? across < part.drop - 1e-12 : across > part.drop + 1e-12;
      });
      fits = wrong < 0;
      if (!fits) on[wrong] = !on[wrong];
    }
    if (!fits) return undefined;
    parts.forEach((part, i) => {
      if (part.type === "inductor") flows[i] += (h / part.value) * (next[at(part.a)] - next[at(part.b)]);
    });
    volts.set(next);
    out.set(next.subarray(0, places), (n - 1) * places);
  }
  return out;
}

/** Elimination with pivots; ground is the last place and stays out. */
function solve(G: number[][], j: Float64Array, n: number): Float64Array | undefined {
  for (let k = 0; k < n; k++) {
    let best = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(G[i][k]) > Math.abs(G[best][k])) best = i;
    [G[k], G[best]] = [G[best], G[k]];
    [j[k], j[best]] = [j[best], j[k]];
    if (G[k][k] === 0) return undefined;
    for (let i = k + 1; i < n; i++) {
      const f = G[i][k] / G[k][k];
      if (f === 0) continue;
      for (let c = k; c < n; c++) G[i][c] -= f * G[k][c];
      j[i] -= f * j[k];
    }
  }
  const x = new Float64Array(n + 1);
  for (let k = n - 1; k >= 0; k--) {
    let sum = j[k];
    for (let c = k + 1; c < n; c++) sum -= G[k][c] * x[c];
    x[k] = sum / G[k][k];
  }
  return x;
}

/** Looks so many steps are taken for at first: at the ends of them the answers are compared. */
const looks = grid / 4;
/** Steps are halved up to so often where the two solvers do not agree: the first order shows only where all that moves is followed. */
const mostHalvings = 4;

/** A run beside the other solver. */
export function judgePeer(seed: number): Judged {
  const one = peer(seed);
  const design = compile(written(one));
  const run = simulate(design, { until: one.end, start: "rest" });
  if (run.status !== "complete")
    return { faults: [`stopped: ${run.code}: ${run.reason}`], end: `stopped ${run.code}`, seconds: 0 };
  // Just before the instants, as a step ends there.
  const mine = Array.from({ length: one.places }, (_, p) => {
    const trace = run.trace(`n${p}`);
    return Float64Array.from({ length: looks }, (_, k) =>
      trace.at(((k + 1) / looks) * one.end * (1 - 1e-12)),
    );
  });
  let coarse = euler(one, looks);
  let judged: Judged = { faults: [], end: "the other solver found no modes", seconds: 0 };
  for (let halvings = 1; coarse && halvings <= mostHalvings; halvings++) {
    const fine = euler(one, looks * 2 ** halvings);
    if (!fine) break;
    judged = compared(mine, coarse, fine);
    if (judged.faults.length === 0) break;
    coarse = fine;
  }
  return judged;
}

/** @param mine by place and look; the others are the other solver's with some step and with half of it */
function compared(mine: readonly Float64Array[], coarse: Float64Array, fine: Float64Array): Judged {
  const places = mine.length;
  const every = [coarse, fine].map((all) => all.length / places / looks);
  const faults: string[] = [];
  let told = 0;
  mine.forEach((own, p) => {
    let [between, apart, swing] = [0, 0, 1e-9];
    for (let k = 1; k <= looks; k++) {
      const [c, f] = [coarse, fine].map((all, i) => all[(k * every[i] - 1) * places + p]);
      between += Math.abs(c - f);
      apart += Math.abs(f - own[k - 1]);
      swing = Math.max(swing, Math.abs(f));
    }
    [between, apart] = [between, apart].map((sum) => sum / looks);
    // Where the other solver is far from its own answer, it says nothing.
    if (between > 0.02 * swing) return;
    told++;
    if (apart > 2 * between + 1e-6 * swing)
      faults.push(`n${p}: ${apart.toExponential(1)} V off, ${between.toExponential(1)} V allowed twice`);
  });
  return { faults, end: told === 0 ? "too coarse to compare" : "compared", seconds: 0 };
}
