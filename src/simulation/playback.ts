// Traces out of a recording: values and exact derivatives of any voltage, current or power at every sample, from
// the recorded states, the sources played again, and the rows of each combination of modes.
import type { Condensed, Rows } from "../equations/condense.js";
import type { Inputs } from "../stepping/inputs.js";
import { evaluateRow, product } from "../stepping/rows.js";
import type { Assembly } from "./assemble.js";
import type { Probe } from "./probe.js";
import type { Recording } from "./recording.js";

/** State, levels and derivatives at one sample. */
export interface Moment {
  readonly index: number;
  readonly tick: number;
  readonly equations: Condensed;
  readonly x: Float64Array;
  readonly u: Float64Array;
  readonly du: Float64Array;
  readonly ddu: Float64Array;
  /** x' */
  readonly dx: Float64Array;
}

/**
 * Visits every sample of a recording in order, with everything that follows from it. The moment is reused.
 * @param inputs the sources to play again, at or before the first sample
 */
export function replay(
  assembly: Assembly,
  recording: Recording,
  inputs: Inputs,
  visit: (m: Moment) => void,
): void {
  const { system } = assembly;
  const nx = system.states.length;
  const nu = inputs.size;
  const x = new Float64Array(nx);
  const dx = new Float64Array(nx);
  const [u, du, ddu] = [new Float64Array(nu), new Float64Array(nu), new Float64Array(nu)];
  const moment = { index: 0, tick: 0, equations: undefined as unknown as Condensed, x, u, du, ddu, dx };
  for (let i = 0; i < recording.count; i++) {
    const n = recording.ticks[i]!;
    const eq = system.combinations[recording.modes[i]!]!.equations;
    for (let k = 0; k < nx; k++) x[k] = recording.states[i * nx + k]!;
    inputs.seek(n, (recording.flags[i]! & 1) as 0 | 1);
    inputs.levels(n, u);
    inputs.slopes(n, du);
    inputs.bends(n, ddu);
    product(eq.motions, x, dx);
    for (let s = 0; s < nu; s++) {
      if (s > 0 && u[s] === 0 && du[s] === 0) continue;
      for (let k = 0; k < nx; k++) dx[k]! += eq.B[k * nu + s]! * u[s]! + eq.D[k * nu + s]! * du[s]!;
    }
    moment.index = i;
    moment.tick = n;
    moment.equations = eq;
    visit(moment);
  }
}

/** Value and derivative of one probe at a moment. */
export type Reader = (m: Moment) => { value: number; slope: number };

/** A reader of a probe; it keeps the rows of each combination. */
export function reader(assembly: Assembly, probe: Probe): Reader {
  const out = { value: 0, slope: 0 };
  const level = (rows: Rows, i: number, m: Moment) => evaluateRow(rows, i, m.x, m.u, m.du);
  const rate = (rows: Rows, i: number, m: Moment) => evaluateRow(rows, i, m.dx, m.du, m.ddu);
  if (probe.type === "place") {
    return (m) => {
      out.value = level(m.equations.places, probe.place, m);
      out.slope = rate(m.equations.places, probe.place, m);
      return out;
    };
  }
  const { tail, head } = assembly.system.members[probe.part]!;
  if (probe.type === "voltage") {
    return (m) => {
      const { places } = m.equations;
      out.value = level(places, tail, m) - level(places, head, m);
      out.slope = rate(places, tail, m) - rate(places, head, m);
      return out;
    };
  }
  const own = new Map<
    Condensed,
    readonly { readonly row: number; readonly a: number; readonly b: number }[]
  >();
  const elementsOf = (eq: Condensed) => {
    let list = own.get(eq);
    if (!list) {
      list = eq.elements.flatMap((e, row) => (e.part === probe.part ? [{ row, a: e.a, b: e.b }] : []));
      own.set(eq, list);
    }
    return list;
  };
  if (probe.type === "current") {
    // The current that enters at the tail.
    return (m) => {
      out.value = 0;
      out.slope = 0;
      for (const { row, a, b } of elementsOf(m.equations)) {
        const sign = a === tail ? 1 : b === tail ? -1 : 0;
        if (sign === 0) continue;
        out.value += sign * level(m.equations.currents, row, m);
        out.slope += sign * rate(m.equations.currents, row, m);
      }
      return out;
    };
  }
  return (m) => {
    const { places, currents } = m.equations;
    out.value = 0;
    out.slope = 0;
    for (const { row, a, b } of elementsOf(m.equations)) {
      const v = level(places, a, m) - level(places, b, m);
      const i = level(currents, row, m);
      out.value += v * i;
      out.slope += (rate(places, a, m) - rate(places, b, m)) * i + v * rate(currents, row, m);
    }
    return out;
  };
}
