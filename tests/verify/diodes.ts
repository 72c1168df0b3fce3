// Random circuits with up to ten diodes, twice: as a design text, and as a nodal solver that tries every one of the 2^n
// combinations. A combination fits when each conducting diode carries current forwards and each blocking one stands
// below its drop; circuits of resistors, sources and such diodes have one answer (K. G. Murty, Linear Complementarity,
// 1988, ch. 4), so whatever combinations fit must agree in every voltage.
//
// Every place has a resistor to ground. Ideal diodes (no on-resistance) form no loop and join no two places that are
// held (ground, supplies, capacitors), for there the question has no answer in volts alone.
import { compile, simulate } from "../../src/index.js";
import { Chance } from "./chance.js";
import { type Rows, solved, zeros } from "./matrix.js";

interface Diode {
  readonly name: string;
  readonly tail: number;
  readonly head: number;
  readonly drop: number;
  readonly ohms: number;
}

/** A circuit in both forms. Places count from 0; ground is −1. */
export interface Network {
  /** Statements, in an order of no meaning. */
  readonly lines: readonly string[];
  readonly places: number;
  readonly G: Rows;
  readonly pushed: readonly number[];
  /** Places held by supplies and capacitors, volts. */
  readonly held: ReadonlyMap<number, number>;
  readonly diodes: readonly Diode[];
}

/** Makes a circuit. */
export function network(seed: number): Network {
  const chance = new Chance(seed);
  const places = chance.whole(2, 7);
  const lines: string[] = [];
  const G = zeros(places, places);
  const pushed = new Array<number>(places).fill(0);
  const held = new Map<number, number>();
  const name = (p: number) => (p < 0 ? "ground" : `n${p}`);
  const resistor = (tag: string, a: number, b: number) => {
    const ohms = chance.whole(1, 99) * 100;
    lines.push(`resistor ${tag} ${name(a)} -> ${name(b)} ${ohms} ohm`);
    for (const [i, j, sign] of [
      [a, a, 1],
      [b, b, 1],
      [a, b, -1],
      [b, a, -1],
    ]) {
      if (i >= 0 && j >= 0) G[i][j] += sign / ohms;
    }
  };
  for (let p = 0; p < places; p++) {
    resistor(`r${p}`, p, -1);
    if (p > 0) resistor(`s${p}`, p, chance.whole(0, p - 1));
    if (p > 0 && held.size < places - 1 && chance.happens(0.4)) {
      const volts = chance.whole(-48, 48) / 4;
      if (chance.happens(0.5)) lines.push(`voltage v${p} ${name(p)} -> ground ${volts} V`);
      else lines.push(`capacitor c${p} ${name(p)} -> ground 1 uF, starts ${volts} V`);
      held.set(p, volts);
    } else if (chance.happens(0.6)) {
      const milli = chance.whole(-90, 90) / 10;
      lines.push(`current i${p} ground -> ${name(p)} ${milli} mA`);
      pushed[p] += milli * 1e-3;
    }
  }
  // What ideal diodes join: groups of places, and whether a group is held.
  const group = Array.from({ length: places + 1 }, (_, k) => k);
  const fixed = (g: number) => group.some((of, k) => of === g && (k === places || held.has(k)));
  const diodes: Diode[] = [];
  for (let k = chance.whole(1, 10); k > 0; k--) {
    const tail = chance.whole(-1, places - 1);
    const head = chance.whole(-1, places - 1);
    if (tail === head) continue;
    const drop = chance.happens(0.3) ? 0 : chance.whole(1, 40) / 16;
    const [a, b] = [group[tail < 0 ? places : tail], group[head < 0 ? places : head]];
    const ideal = chance.happens(0.4) && a !== b && !(fixed(a) && fixed(b));
    if (ideal)
      group.forEach((of, i) => {
        if (of === b) group[i] = a;
      });
    const ohms = ideal ? 0 : chance.whole(1, 500);
    diodes.push({ name: `d${k}`, tail, head, drop, ohms });
    lines.push(`diode d${k} ${name(tail)} -> ${name(head)} drop ${drop} V, on ${ohms} ohm`);
  }
  return { lines: chance.shuffled(lines), places, G, pushed, held, diodes };
}

/** Voltages and modes of one combination, where it has a solution. */
interface Trial {
  readonly volts: number[];
  readonly fits: boolean;
}

/**
 * Tries one combination.
 * @param on bit k: diode k conducts
 */
function tried({ places, G, pushed, held, diodes }: Network, on: number): Trial | undefined {
  const ideal = diodes.filter((d, k) => (on >> k) & 1 && d.ohms === 0);
  const branches = [...held.keys()];
  const n = places + branches.length + ideal.length;
  const m = zeros(n, n);
  const right = zeros(n, 1);
  G.forEach((row, i) => {
    row.forEach((g, j) => {
      m[i][j] = g;
    });
    right[i][0] = pushed[i];
  });
  diodes.forEach(({ tail, head, drop, ohms }, k) => {
    if (!((on >> k) & 1) || ohms === 0) return;
    // i = (v_tail − v_head − drop)/on
    for (const [p, sign] of [
      [tail, 1],
      [head, -1],
    ]) {
      if (p < 0) continue;
      if (tail >= 0) m[p][tail] += sign / ohms;
      if (head >= 0) m[p][head] -= sign / ohms;
      right[p][0] += (sign * drop) / ohms;
    }
  });
  branches.forEach((p, k) => {
    m[p][places + k] = 1;
    m[places + k][p] = 1;
    right[places + k][0] = held.get(p)!;
  });
  ideal.forEach(({ tail, head, drop }, k) => {
    const at = places + branches.length + k;
    for (const [p, sign] of [
      [tail, 1],
      [head, -1],
    ]) {
      if (p < 0) continue;
      m[p][at] += sign;
      m[at][p] += sign;
    }
    right[at][0] = drop;
  });
  const x = solved(m, right)?.map(([v]) => v);
  if (!x) return undefined;
  const volt = (p: number) => (p < 0 ? 0 : x[p]);
  let conducting = 0;
  const fits = diodes.every(({ tail, head, drop, ohms }, k) => {
    const above = volt(tail) - volt(head) - drop;
    if (!((on >> k) & 1)) return above <= 1e-9;
    const amperes = ohms === 0 ? x[places + branches.length + conducting++] : above / ohms;
    return amperes >= -1e-12;
  });
  return { volts: x.slice(0, places), fits };
}

/** Every combination that fits: its voltages. */
export function fitting(net: Network): number[][] {
  const found: number[][] = [];
  for (let on = 0; on < 2 ** net.diodes.length; on++) {
    const trial = tried(net, on);
    if (trial?.fits) found.push(trial.volts);
  }
  return found;
}

/** Voltages of a run's start. */
export function started(lines: readonly string[], places: number): number[] {
  const done = simulate(compile(lines.join("\n")), { until: "1 ps", start: "rest" });
  if (done.status !== "complete") throw new Error(done.reason);
  return Array.from({ length: places }, (_, p) => done.trace(`n${p}`).value[0]);
}

/** What is wrong with how a circuit's modes were found; empty when nothing is. */
export function faults(seed: number): string[] {
  const net = network(seed);
  const answers = fitting(net);
  const say = (what: string) => `seed ${seed} (${net.diodes.length} diodes): ${what}`;
  if (answers.length === 0) return [say("no combination fits in the independent solver")];
  const off = (a: readonly number[], b: readonly number[]) =>
    Math.max(...a.map((v, i) => Math.abs(v - b[i]))) / Math.max(1, ...a.map(Math.abs));
  const out: string[] = [];
  for (const other of answers)
    if (off(answers[0], other) > 1e-7) out.push(say("two combinations fit and differ"));
  const chance = new Chance(~seed);
  try {
    const volts = started(net.lines, net.places);
    if (off(answers[0], volts) > 1e-9) out.push(say(`starts at ${volts}, should at ${answers[0]}`));
    const again = started(chance.shuffled(net.lines), net.places);
    if (off(volts, again) > 1e-12) out.push(say(`in another order starts at ${again}, not ${volts}`));
  } catch (error) {
    out.push(say(`${error}`));
  }
  return out;
}
