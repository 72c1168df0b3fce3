// What a probe shows in one combination of modes, as rows over z, and what that depends on.
import type { Combination } from "../equations/system.js";
import type { Course } from "../stepping/courses.js";
import { voiced } from "../stepping/motion.js";
import type { Form } from "./forms.js";

/** A form in one combination, over z. */
export interface LeapForm {
  readonly value: Float64Array;
  readonly slope: Float64Array;
  /** Terms of sources that are not in z. */
  readonly apart: Form["terms"];
}

/** A form over z. */
export function leapFormOf({ states, x, constant, terms }: Form, { motion }: Course): LeapForm {
  const value = new Float64Array(motion.width);
  for (let k = 0; k < x.length; k++) value[states[k]] = x[k];
  value[motion.one] = constant;
  for (const voice of motion.voices) {
    const term = terms.find((t) => t.source === voice.source);
    if (term) voiced(value, 0, voice, term.level, term.slope);
  }
  const apart = terms.filter((t) => !motion.voices.some((v) => v.source === t.source));
  return { value, slope: motion.before(value), apart };
}

/** Whether two rows are alike but for rounding. */
export function sameRows(a: Float64Array, b: Float64Array): boolean {
  return a.every((v, j) => Math.abs(v - b[j]) <= 1e-9 * Math.max(Math.abs(v), Math.abs(b[j])));
}

/** States that lines depend on, and sources; everything that moves them, as one word. */
export interface FormDependence {
  readonly states: readonly number[];
  readonly sources: readonly number[];
  readonly motion: string;
}

/** What lines depend on, and how that moves: the rows of A that lead to them, and the lines themselves, as one word. */
export function dependenceOf(
  { equations: { nx } }: Combination,
  { motion }: Course,
  lines: readonly LeapForm[],
  products: boolean,
): FormDependence {
  const { A, moving, voices, one } = motion;
  const name = (j: number): string => {
    if (j < nx) return `x${j}`;
    if (j === one) return "1";
    const voice = voices.find(({ level, carrier }) =>
      j < moving ? carrier >= 0 && j >= carrier && j < carrier + 4 : j === level || j === level + 1,
    )!;
    return j < moving ? `${voice.source}c${j - voice.carrier}` : `${voice.source}u${j - voice.level}`;
  };
  const needed = new Set<number>();
  const queue = lines.flatMap(({ value }) => [...value.keys()].filter((j) => value[j] !== 0));
  const sources = new Set<number>();
  const rows: string[] = [];
  for (let j = queue.pop(); j !== undefined; j = queue.pop()) {
    if (needed.has(j) || j === one) continue;
    needed.add(j);
    for (const { source, level, carrier } of voices)
      if (j === level || j === level + 1 || (carrier >= 0 && j >= carrier && j < carrier + 4))
        sources.add(source);
    if (j >= moving) continue;
    const terms: string[] = [];
    for (let p = A.start[j]; p < A.start[j + 1]; p++) {
      queue.push(A.column[p]);
      terms.push(`${name(A.column[p])}*${A.value[p]}`);
    }
    rows.push(`${name(j)}:${terms.join("+")}`);
  }
  const seen = lines.map(({ value, apart }) =>
    JSON.stringify([
      [...value.keys()].flatMap((j) => (value[j] === 0 ? [] : [`${name(j)}*${value[j]}`])),
      apart,
    ]),
  );
  return {
    states: [...needed].filter((j) => j < nx),
    sources: [...sources],
    motion: [...rows.sort(), ...seen, products].join(";"),
  };
}
