// Traces out of a recording: values and exact derivatives of any voltage, current or power at every sample, from
// the recorded states, the sources played again, and the rows of each combination of modes.
import type { Condensed } from "../equations/condense.js";
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
  /** The mode of each part, by its index. */
  readonly modes: Uint8Array;
  readonly x: Float64Array;
  readonly u: Float64Array;
  readonly du: Float64Array;
  readonly ddu: Float64Array;
  /** x' */
  readonly dx: Float64Array;
}

/**
 * Visits the samples of a recording in order, with everything that follows from them. The moment is reused.
 * @param inputs the sources to play again, at or before the first sample
 * @param part the indices from and to which (not included) to visit; absent: all
 */
export function replay(
  assembly: Assembly,
  recording: Recording,
  inputs: Inputs,
  visit: (m: Moment) => void,
  part: { readonly from: number; readonly to: number } = { from: 0, to: recording.count },
): void {
  const { system } = assembly;
  const nx = system.states.length;
  const nu = inputs.size;
  const x = new Float64Array(nx);
  const dx = new Float64Array(nx);
  const [u, du, ddu] = [new Float64Array(nu), new Float64Array(nu), new Float64Array(nu)];
  const moment = {
    index: 0,
    tick: 0,
    equations: undefined as unknown as Condensed,
    modes: new Uint8Array(0) as Uint8Array,
    x,
    u,
    du,
    ddu,
    dx,
  };
  for (let i = part.from; i < part.to; i++) {
    const n = recording.ticks[i]!;
    const { equations: eq, modes } = system.combinations[recording.modes[i]!]!;
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
    moment.modes = modes;
    visit(moment);
  }
}

/** Value and derivative of one probe at a moment. */
export type Reader = (m: Moment) => { value: number; slope: number };

/** A reader of a probe. */
export function reader(assembly: Assembly, probe: Probe): Reader {
  const out = { value: 0, slope: 0 };
  const level = (of: "places" | "currents", i: number, m: Moment) =>
    evaluateRow(m.equations[of], i, m.x, m.u, m.du);
  const rate = (of: "places" | "currents", i: number, m: Moment) =>
    evaluateRow(m.equations[of], i, m.dx, m.du, m.ddu);
  if (probe.type === "place") {
    return (m) => {
      out.value = level("places", probe.place, m);
      out.slope = rate("places", probe.place, m);
      return out;
    };
  }
  const { tail, head, device } = assembly.system.members[probe.part]!;
  if (probe.type === "clipping") {
    return (m) => {
      out.value = device.limit?.(m.modes[probe.part]!) ? 1 : 0;
      return out;
    };
  }
  if (probe.type === "voltage") {
    return (m) => {
      out.value = level("places", tail, m) - level("places", head, m);
      out.slope = rate("places", tail, m) - rate("places", head, m);
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
    // The current that enters at the tail; of an output that which leaves at the head.
    const [from, to] = assembly.design.parts[probe.part]!.kind.drives ? [head, -1] : [tail, 1];
    return (m) => {
      out.value = 0;
      out.slope = 0;
      for (const { row, a, b } of elementsOf(m.equations)) {
        const sign = a === from ? to : b === from ? -to : 0;
        if (sign === 0) continue;
        out.value += sign * level("currents", row, m);
        out.slope += sign * rate("currents", row, m);
      }
      return out;
    };
  }
  return (m) => {
    out.value = 0;
    out.slope = 0;
    for (const { row, a, b } of elementsOf(m.equations)) {
      const v = level("places", a, m) - level("places", b, m);
      const i = level("currents", row, m);
      out.value += v * i;
      out.slope += (rate("places", a, m) - rate("places", b, m)) * i + v * rate("currents", row, m);
    }
    return out;
  };
}
