// The same march with every leap cut into 64 and more: takes a run by leaps, walks through each of its leaps in short
// strides of a matrix exponential of its own, and tells where a guard rose above zero and no event was made of it, where
// an event was made of nothing, and where an end is not where the leap put it.
// It shares the equations (x' = A x + B u + D u', and the rows of the guards) with the march, but nothing of how the march
// leaps, bounds or looks: strides are increments in pairs of doubles (powers.ts); a guard is looked at after each, and
// where its slope turns down between two of them, its crest is sought by halving.

import type { Combination } from "../../src/equations/system.js";
import type { Run } from "../../src/index.js";
import { compile, simulate } from "../../src/index.js";
import { MissingStates } from "../../src/reading/missing.js";
import { everyState } from "../../src/reading/samples.js";
import { powers } from "./powers.js";
import { wild } from "./wild.js";

/** What was found. */
export interface Walked {
  readonly faults: string[];
  readonly leaps: number;
  readonly events: number;
  /** Largest distance of the end of a leap from the walk, as a share of what the state has been. */
  readonly off: number;
}

/** A combination over w = (x, 1, elapsed, and p, q of each sine). */
interface Ground {
  readonly size: number;
  readonly A: Float64Array;
  readonly guards: readonly Float64Array[];
}

const strides = 64;

/**
 * Walks along a run.
 * @param finest the shortest time of a ring or sine, s: no stride is longer than a sixteenth of it
 */
export function walk(run: Run, finest: number, most = 400): Walked {
  const { assembly, recording } = run;
  const { clock, system } = assembly;
  const inputs = assembly.inputs();
  const nx = system.states.length;
  const faults: string[] = [];
  const swing = new Float64Array(nx);
  let [leaps, events, off] = [0, 0, 0];
  const { ticks, modes, count } = recording.samples;
  const filling = new MissingStates(assembly, recording, assembly.inputs());
  for (let i = 0; i < count; i++) filling.complete(i, everyState);
  for (let i = 0; i + 1 < count && leaps < most; i++) {
    for (let k = 0; k < nx; k++) swing[k] = Math.max(swing[k], Math.abs(recording.samples.state(i, k)));
    const [from, to] = [ticks[i], ticks[i + 1]];
    if (to <= from || to - from < 1024) continue;
    leaps++;
    const at = system.combinations[modes[i]];
    const { size, A, guards } = grounded(at, inputs, from);
    const w = new Float64Array(size);
    recording.samples.read(i, w);
    w[nx] = 1;
    inputs.players.forEach((player, s) => {
      const { p, q } = places(nx, s);
      if (player.speed === 0) return;
      w[p] = -player.bend(from, 1) / player.speed ** 2;
      w[q] = player.slope(from, 1) / player.speed;
    });
    const span = clock.time(to - from);
    const parts = Math.max(strides, Math.min(8192, Math.ceil((16 * span) / finest)));
    const after = i + 2 < count && ticks[i + 2] === to && modes[i + 2] !== modes[i];
    const stopped = i + 2 === count && run.status === "stopped";
    const event = (after || stopped) && !edge(assembly, to);
    if (event) events++;
    const scale = (row: Float64Array) => {
      let sum = 0;
      for (let j = 0; j < size; j++)
        sum += Math.abs(
          row[j] *
            (j < nx
              ? Math.max(swing[j], Math.abs(w[j]), Math.abs(recording.samples.state(i + 1, j)))
              : j === nx + 1
                ? span
                : j > nx + 1
                  ? amplitude(w, nx, j)
                  : w[j]),
        );
      return sum;
    };
    // Strides of one length, after a few that double from a 2^-30th of one.
    const lengths = [
      ...Array.from({ length: 31 }, (_, k) => 2 ** -30 * (k === 0 ? 1 : 2 ** (k - 1))),
      ...new Array<number>(parts - 1).fill(1),
    ];
    const fine = powers(A, size, span / parts / 2 ** 60, 61);
    const stride = (k: number) => fine[60 + k];
    const noise = guards.map((row) => 2e-12 * scale(row) + 1e-30);
    const level = (row: Float64Array, v: Float64Array) => {
      let sum = 0;
      for (let j = 0; j < size; j++) sum += row[j] * v[j];
      return sum;
    };
    const slopeRows = guards.map((row) => before(row, A, size));
    let here: Float64Array = w;
    let passed = 0;
    const say = (what: string, g: number, place: number) =>
      faults.push(
        `leap ${leaps} ${(run.reached ? clock.time(from) : 0).toExponential(6)} s + ${span.toExponential(3)} s, at ${place.toFixed(9)} of it: ${what}, guard ${g} of ${system.members[at.equations.guardOf[g].part].name}`,
      );
    const told = new Set<number>();
    guards.forEach((row, g) => {
      const v = level(row, w);
      if (v > 4 * noise[g]) {
        told.add(g);
        say(`stands at ${v.toExponential(2)} (noise ${noise[g].toExponential(1)}) when it starts`, g, 0);
      }
    });
    for (const length of lengths) {
      const next = moved(here, stride(Math.log2(length)), size);
      passed += length;
      const lastOne = passed > parts - 0.5;
      for (let g = 0; g < guards.length; g++) {
        if (told.has(g)) continue;
        const v = level(guards[g], next);
        let high = v;
        let place = passed;
        if (v <= noise[g] && level(slopeRows[g], here) > 0 && level(slopeRows[g], next) < 0) {
          let k = Math.log2(length);
          let low: Float64Array = here;
          let at = passed - length;
          for (let turn = 0; turn < 40 && k > -58; turn++) {
            k--;
            const m = moved(low, stride(k), size);
            if (level(slopeRows[g], m) > 0) {
              low = m;
              at += 2 ** k;
            }
          }
          high = Math.max(v, level(guards[g], low));
          place = at;
        }
        if (high > noise[g] && !(lastOne && event && place > parts - 1e-6)) {
          // At the end of a leap that is an event, the crossing lies between the last two looks.
          if (event && lastOne && v > 0 && level(guards[g], here) <= noise[g] && rising(here, g)) continue;
          told.add(g);
          say(
            `missed: rises to ${high.toExponential(2)} (noise ${noise[g].toExponential(1)})`,
            g,
            place / parts,
          );
        }
      }
      here = next;
    }
    function rising(from: Float64Array, g: number): boolean {
      // Above zero nowhere but at the very end: looked at in thirds of what is left.
      let v: Float64Array = from;
      for (let k = -1; k > -30; k--) {
        v = moved(v, stride(k), size);
        if (level(guards[g], v) > noise[g]) return false;
      }
      return true;
    }
    // A time that runs out is an event of no guard.
    const timed = system.members.some(({ device }, p) => device.dwell?.(at.modes[p]) !== undefined);
    // In the norm of the energy, beside the most that there has been.
    const { sizes } = at.equations;
    let [apart, held] = [0, 0];
    for (let k = 0; k < nx; k++) {
      apart += sizes[k] * (here[k] - recording.samples.state(i + 1, k)) ** 2;
      held += sizes[k] * Math.max(swing[k], Math.abs(here[k])) ** 2;
    }
    if (held > 0) off = Math.max(off, Math.sqrt(apart / held));
    // What a state that is right to 1e-12 in that norm leaves of a guard.
    const slack = (row: Float64Array) =>
      Array.from(sizes, (size, k) => Math.abs(row[k]) * 1e-12 * Math.sqrt(held / size));
    const near = (row: Float64Array, g: number) =>
      level(row, here) >= -noise[g] - slack(row).reduce((sum, v) => sum + v, 0);
    if (event && !timed && !guards.some(near))
      say(`an event of nothing: ${guards.map((row) => level(row, here).toExponential(2)).join(" ")}`, 0, 1);
  }
  return { faults, leaps, events, off };
}

function places(nx: number, s: number): { p: number; q: number } {
  return { p: nx + 2 + 2 * s, q: nx + 3 + 2 * s };
}

/** Of the sine that entry j of w belongs to: where it goes through zero it has stood as high as anywhere. */
function amplitude(w: Float64Array, nx: number, j: number): number {
  const first = j - ((j - nx) % 2);
  return Math.sqrt(w[first] ** 2 + w[first + 1] ** 2);
}

function edge(assembly: Run["assembly"], tick: number): boolean {
  const inputs = assembly.inputs();
  for (const player of inputs.players) if (player.next(tick - 1) === tick) return true;
  return inputs.commanded.some(({ schedule }) => schedule.next(tick - 1) === tick);
}

function moved(v: Float64Array, E: Float64Array, n: number): Float64Array {
  const out = v.slice();
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) out[i] += E[i * n + j] * v[j];
  return out;
}

function before(row: Float64Array, A: Float64Array, n: number): Float64Array {
  const out = new Float64Array(n);
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) out[j] += row[i] * A[i * n + j];
  return out;
}

function grounded(at: Combination, inputs: ReturnType<Run["assembly"]["inputs"]>, tick: number): Ground {
  const { equations } = at;
  const { nx, nu, guards } = equations;
  const size = nx + 2 + 2 * inputs.players.length;
  const over = (x: Float64Array, U: Float64Array, D: Float64Array, i: number) => {
    const row = new Float64Array(size);
    for (let j = 0; j < nx; j++) row[j] = x[i * nx + j];
    row[nx] = U[i * nu];
    inputs.players.forEach((player, s) => {
      const [level, slope] = [U[i * nu + s + 1], D[i * nu + s + 1]];
      const { p, q } = places(nx, s);
      if (player.speed === 0) {
        row[nx] += level * player.value(tick, 1) + slope * player.slope(tick, 1);
        row[nx + 1] += level * player.slope(tick, 1);
      } else {
        row[nx] += level * (player.value(tick, 1) + player.bend(tick, 1) / player.speed ** 2);
        row[p] = level;
        row[q] = slope * player.speed;
      }
    });
    return row;
  };
  const A = new Float64Array(size * size);
  for (let i = 0; i < nx; i++) A.set(over(equations.A, equations.B, equations.D, i), i * size);
  A[(nx + 1) * size + nx] = 1;
  inputs.players.forEach((player, s) => {
    const { p, q } = places(nx, s);
    A[p * size + q] = player.speed;
    A[q * size + p] = -player.speed;
  });
  return {
    size,
    A,
    guards: Array.from({ length: guards.count }, (_, g) => over(guards.X, guards.U, guards.D, g)),
  };
}

/** Walks along circuit after circuit; runs that do not end well count, unless modes chase each other at one instant. */
export function walkMany(from: number, count: number) {
  const faults: string[] = [];
  let [leaps, events, off] = [0, 0, 0];
  for (let seed = from; seed < from + count; seed++) {
    const { text, until } = wild(seed);
    const run = simulate(compile(text), { until, start: "rest", repeats: false, limits: { steps: 2000 } });
    if (run.status !== "complete" && run.code !== "chatter" && run.code !== "steps")
      faults.push(`seed ${seed}: ${run.code}, ${run.reason}`);
    if (run.recording.count === 0) continue;
    // Strides of a sixteenth of 3 us, or 8192 a leap: a ring of coils and stray picofarads may be faster, and is then
    // looked at too seldom for every one of its crests.
    const walked = walk(run, 3e-6, 40);
    leaps += walked.leaps;
    events += walked.events;
    off = Math.max(off, walked.off);
    faults.push(...walked.faults.map((fault) => `seed ${seed}: ${fault}`));
  }
  return { faults, leaps, events, off };
}
