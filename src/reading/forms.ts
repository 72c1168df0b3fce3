// What a probe reads in one combination of modes, as forms over the state and the sources: the voltage of a place, the current of
// a part, or a sum of products of two such. Values and derivatives follow from the equations of the combination, and are as
// exact.

import type { Assembly } from "../assembly/assemble.js";
import { doubleDoubles } from "../equations/arithmetic.js";
import type { Condensed, Rows } from "../equations/condense.js";
import type { Combination } from "../equations/system.js";
import { trackedSum, type Vector } from "../equations/vector.js";
import type { Probe } from "./probe.js";

/** A voltage or current: Σ x · state over the states it depends on + Σ (level · u + slope · u') over sources + constant. */
export interface Form {
  /** Indices of states, ascending. */
  readonly states: Int32Array;
  readonly x: Float64Array;
  readonly constant: number;
  readonly terms: readonly { readonly source: number; readonly level: number; readonly slope: number }[];
  /**
   * The rounding errors of its coefficients: of the states, then of the constant (column nx) and of the other sources' levels, then
   * of the slopes. Computed when called.
   */
  readonly rest?: () => Vector;
}

/** A voltage or a current of the equations, and its factor in a form. */
interface Term {
  readonly of: "place" | "current";
  readonly index: number;
  readonly factor: number;
}

/** What is read of forms, by index: one form, or the sum of the products of each pair. */
export type Sight = readonly number[];

/** How something is read in one combination. */
interface ProbeForms {
  readonly forms: readonly Form[];
  /** One sight of a probe, several of a part. */
  readonly sights: readonly Sight[];
}

export type ProbeReader = (at: Combination) => ProbeForms;

/** A reader of a probe, cached per combination. */
export function probeReader({ system }: Assembly, probe: Probe): ProbeReader {
  return keeping(formsMaker(system, probe));
}

/** The same for a part: its voltage, its current and its power. */
export function partReader({ system }: Assembly, part: number): ProbeReader {
  const makers = (["voltage", "current", "power"] as const).map((type) => formsMaker(system, { type, part }));
  const { tail, head } = system.members[part];
  return keeping((at) => {
    const [voltage, current, power] = makers.map((make) => make(at));
    const own = at.equations.elements.filter((e) => e.part === part);
    // For a single element from end to end the power is the product of the first two.
    if (own.length === 1 && own[0].a === tail && own[0].b === head)
      return { forms: [...voltage.forms, ...current.forms], sights: [[0], [1], [0, 1]] };
    const pairs = power.forms.map((_, k) => k + 2);
    return { forms: [...voltage.forms, ...current.forms, ...power.forms], sights: [[0], [1], pairs] };
  });
}

/** The same for several probes at once, each one sight; none may be a power. */
export function probesReader({ system }: Assembly, probes: readonly Probe[]): ProbeReader {
  const makers = probes.map((probe) => formsMaker(system, probe));
  const sights = probes.map((_, k) => [k]);
  return keeping((at) => ({ forms: makers.map((make) => make(at).forms[0]), sights }));
}

function keeping(make: ProbeReader): ProbeReader {
  const made: ProbeForms[] = [];
  return (at) => {
    made[at.index] ??= make(at);
    return made[at.index];
  };
}

function formsMaker({ members }: Assembly["system"], probe: Probe): ProbeReader {
  const one = (form: Form): ProbeForms => ({ forms: [form], sights: [[0]] });
  if (probe.type === "place")
    return ({ equations: eq }) => one(sumOf(eq, [{ of: "place", index: probe.place, factor: 1 }]));
  const { tail, head, device, drives, fault } = members[probe.part];
  if (probe.type === "clipping") {
    return ({ equations, modes }) =>
      one({ ...formOf(equations, []), constant: device.limit?.(modes[probe.part]) ? 1 : 0 });
  }
  if (probe.type === "slewing") {
    return ({ equations, modes }) =>
      one({ ...formOf(equations, []), constant: device.slews?.(modes[probe.part]) ? 1 : 0 });
  }
  const own = (eq: Condensed) => eq.elements.flatMap((e, i) => (e.part === probe.part ? [{ e, i }] : []));
  if (probe.type === "voltage")
    return ({ equations: eq }) => {
      const [only, another] = own(eq);
      const whole = only && !another && only.e.a === tail && only.e.b === head;
      return one(whole ? acrossForm(eq, only.i) : voltageForm(eq, tail, head));
    };
  if (probe.type === "power")
    return ({ equations: eq }) => {
      const forms = own(eq).flatMap(({ i }) => [acrossForm(eq, i), currentForm(eq, i)]);
      return { forms, sights: [[...forms.keys()]] };
    };
  // The current that enters at the tail; for an output, the current that leaves at the head.
  const [end, sign] = drives ? [head, -1] : [tail, 1];
  return ({ equations: eq, modes }) =>
    one(
      sumOf(
        eq,
        own(eq)
          .filter((_, n) => fault !== undefined || device.counts?.(modes[probe.part], n) !== false)
          .map(({ e, i }) => ({
            of: "current",
            index: i,
            factor: e.a === end ? sign : e.b === end ? -sign : 0,
          })),
      ),
    );
}

/** The voltage from one place to another. */
export function voltageForm(eq: Condensed, a: number, b: number): Form {
  return sumOf(eq, [
    { of: "place", index: a, factor: 1 },
    { of: "place", index: b, factor: -1 },
  ]);
}

/**
 * The voltage across an element. That of a resistor is its current times its size: the difference of two places that are nearly
 * at one voltage would have no digits left.
 */
function acrossForm(eq: Condensed, element: number): Form {
  const { type, a, b, size } = eq.elements[element];
  return type === "resistor"
    ? sumOf(eq, [{ of: "current", index: element, factor: size }])
    : voltageForm(eq, a, b);
}

/** The current of an element, by its number. */
export function currentForm(eq: Condensed, element: number): Form {
  return sumOf(eq, [{ of: "current", index: element, factor: 1 }]);
}

/** A sum of terms. Only the rows needed are computed: a large circuit has many places. */
function sumOf(eq: Condensed, terms: readonly Term[]): Form {
  const form = formOf(
    eq,
    terms.map((term) => [rowOf(eq, term), 0, term.factor]),
  );
  return { ...form, rest: () => restOf(eq, terms, form) };
}

function rowOf(eq: Condensed, { of, index }: Term): Rows {
  return of === "place" ? eq.place(index) : eq.current(index);
}

/** The rounding error of the coefficients of a sum of terms. */
function restOf(eq: Condensed, sum: readonly Term[], { states, x, constant, terms }: Form): Vector {
  const { nx, nu } = eq;
  const exact = trackedSum(doubleDoubles, nx + 2 * nu);
  const put = (column: number, value: number) => exact.put(column, doubleDoubles.of(value), 0);
  for (const term of sum) {
    const { of, index, factor } = term;
    if (factor === 0) continue;
    const { sparse, U, D } = rowOf(eq, term);
    for (let p = sparse.start[0]; p < sparse.start[1]; p++) put(sparse.column[p], factor * sparse.value[p]);
    for (let s = 0; s < nu; s++) {
      put(nx + s, factor * U[s]);
      put(nx + nu + s, factor * D[s]);
    }
    const left = of === "place" ? eq.placeRest(index) : eq.currentRest(index);
    for (const [p, column] of left.at.entries()) put(column, factor * left.of[p]);
  }
  for (const [p, j] of states.entries()) put(j, -x[p]);
  put(nx, -constant);
  for (const { source, level, slope } of terms) {
    put(nx + source, -level);
    put(nx + nu + source, -slope);
  }
  const { at, of } = exact.take();
  return { at, of: of.map(doubleDoubles.value) };
}

/** A sum of rows, each with its factor. */
export function formOf({ nu }: Condensed, rows: readonly (readonly [Rows, number, number])[]): Form {
  const sum = new Map<number, number>();
  const levels = new Float64Array(nu);
  const slopes = new Float64Array(nu);
  for (const [{ sparse, U, D }, i, factor] of rows) {
    if (factor === 0) continue;
    for (let p = sparse.start[i]; p < sparse.start[i + 1]; p++)
      sum.set(sparse.column[p], (sum.get(sparse.column[p]) ?? 0) + factor * sparse.value[p]);
    for (let s = 0; s < nu; s++) {
      levels[s] += factor * U[i * nu + s];
      slopes[s] += factor * D[i * nu + s];
    }
  }
  const states = Int32Array.from(sum.keys()).sort();
  const terms = Array.from({ length: nu - 1 }, (_, i) => i + 1)
    .filter((s) => levels[s] !== 0 || slopes[s] !== 0)
    .map((source) => ({ source, level: levels[source], slope: slopes[source] }));
  return { states, x: Float64Array.from(states, (j) => sum.get(j)!), constant: levels[0], terms };
}
