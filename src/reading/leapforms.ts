// Forms over z, in which a leap is one product (motion.ts), and what they depend on.
import type { Combination } from "../equations/system.js";
import type { Vector } from "../equations/vector.js";
import type { Player } from "../signals/player.js";
import type { Course } from "../stepping/courses.js";
import { type Motion, voiced } from "../stepping/motion.js";
import type { Form, Sight } from "./forms.js";

/** A form over z, and its slope. */
export interface LeapForm {
  readonly value: Float64Array;
  readonly slope: Float64Array;
  /** Entries of z at which either is not zero, ascending. */
  readonly entries: Int32Array;
  /** Terms of sources that are not in z. */
  readonly apart: Form["terms"];
  /** Rounding error of the value's coefficients, over z; computed when called. */
  readonly rest?: () => Float64Array;
}

/** A form over the z of a course. */
export function leapFormOf({ states, x, constant, terms, rest }: Form, { motion }: Course): LeapForm {
  const value = new Float64Array(motion.width);
  for (let k = 0; k < x.length; k++) value[states[k]] = x[k];
  value[motion.one] = constant;
  for (const voice of motion.voices) {
    const term = terms.find((t) => t.source === voice.source);
    if (term) voiced(value, 0, voice, term.level, term.slope);
  }
  const apart = terms.filter((t) => !motion.voices.some((v) => v.source === t.source));
  const form = formOver(value, motion.before(value), apart);
  return rest ? { ...form, rest: () => over(rest(), motion) } : form;
}

/** A row over states, constant, levels and slopes as one over z, without sources that are not in z. */
function over({ at, of }: Vector, { width, one, voices, equations: { nx, nu } }: Motion): Float64Array {
  const row = new Float64Array(width);
  const sources = new Float64Array(2 * nu);
  for (const [p, column] of at.entries()) {
    if (column < nx) row[column] = of[p];
    else if (column === nx) row[one] = of[p];
    else sources[column - nx] = of[p];
  }
  for (const voice of voices) {
    const [level, slope] = [sources[voice.source], sources[nu + voice.source]];
    if (level !== 0 || slope !== 0) voiced(row, 0, voice, level, slope);
  }
  return row;
}

/** A form from its rows. */
export function formOver(value: Float64Array, slope: Float64Array, apart: Form["terms"]): LeapForm {
  let count = 0;
  for (let j = 0; j < value.length; j++) if (value[j] !== 0 || slope[j] !== 0) count++;
  const entries = new Int32Array(count);
  for (let j = 0, k = 0; k < count; j++) if (value[j] !== 0 || slope[j] !== 0) entries[k++] = j;
  return { value, slope, entries, apart };
}

/** A reading of a form: its value, and its slope per second. */
export interface Look {
  value: number;
  slope: number;
}

/** A form at z, without the sources that are not in z. */
export function lookOver({ value, slope, entries }: LeapForm, z: Float64Array, into: Look): void {
  let v = 0;
  let d = 0;
  for (let k = 0; k < entries.length; k++) {
    const j = entries[k];
    v += value[j] * z[j];
    d += slope[j] * z[j];
  }
  into.value = v;
  into.slope = d;
}

/** Adds the sources that are not in z, at a tick as it is reached (0) or left (1). */
export function playOver(
  apart: LeapForm["apart"],
  players: readonly Player[],
  tick: number,
  side: 0 | 1,
  into: Look,
): void {
  for (let k = 0; k < apart.length; k++) {
    const { source, level, slope: by } = apart[k];
    const player = players[source - 1];
    const rise = player.slope(tick, side);
    into.value += level * player.value(tick, side) + by * rise;
    into.slope += level * rise + by * player.bend(tick, side);
  }
}

/** Row · z */
export function dot(row: Float64Array, z: Float64Array): number {
  let sum = 0;
  for (let j = 0; j < row.length; j++) sum += row[j] * z[j];
  return sum;
}

/** What forms depend on. */
export interface FormDependence {
  /** Entries of z that move them, ascending. */
  readonly moving: Int32Array;
  /** The levels of sources that move them. */
  readonly levels: Int32Array;
  /** The entries of z that they read, or that move any of these, ascending. */
  readonly entries: Int32Array;
  readonly states: readonly number[];
  readonly sources: readonly number[];
  /** How they move, as a key: the rows of A that lead to the forms, and the forms themselves. */
  readonly motion: string;
}

/** What forms depend on in a combination. @param sights what is read of them */
export function dependenceOf(
  { equations: { nx } }: Combination,
  { motion }: Course,
  forms: readonly LeapForm[],
  sights: readonly Sight[],
): FormDependence {
  const { A, moving, voices, one } = motion;
  const voiceOf = (j: number) =>
    voices.find(({ level, carrier }) =>
      j < moving ? carrier >= 0 && j >= carrier && j < carrier + 4 : j === level || j === level + 1,
    );
  const name = (j: number): string => {
    if (j < nx) return `x${j}`;
    if (j === one) return "1";
    const { source, carrier, level } = voiceOf(j)!;
    return j < moving ? `${source}c${j - carrier}` : `${source}u${j - level}`;
  };
  const needed = new Set<number>();
  const queue = forms.flatMap(({ value }) => [...value.keys()].filter((j) => value[j] !== 0));
  const rows: string[] = [];
  for (let j = queue.pop(); j !== undefined; j = queue.pop()) {
    if (needed.has(j) || j === one) continue;
    needed.add(j);
    if (j >= moving) continue;
    const terms: string[] = [];
    for (let p = A.start[j]; p < A.start[j + 1]; p++) {
      queue.push(A.column[p]);
      terms.push(`${name(A.column[p])}*${A.value[p]}`);
    }
    rows.push(`${name(j)}:${terms.join("+")}`);
  }
  const seen = forms.map(({ value, apart }) =>
    JSON.stringify([
      [...value.keys()].flatMap((j) => (value[j] === 0 ? [] : [`${name(j)}*${value[j]}`])),
      apart,
    ]),
  );
  const moved = [...needed].filter((j) => j < moving);
  const live = new Set([...needed].flatMap((j) => (j < nx ? [] : (voiceOf(j) ?? []))));
  const levels = [...live].map(({ level }) => level);
  return {
    moving: Int32Array.from(moved).sort(),
    levels: Int32Array.from(levels),
    entries: Int32Array.from([...moved, one, ...levels, ...levels.map((j) => j + 1)]).sort(),
    states: moved.filter((j) => j < nx),
    sources: [...live].map(({ source }) => source),
    motion: [...rows.sort(), ...seen, JSON.stringify(sights)].join(";"),
  };
}
