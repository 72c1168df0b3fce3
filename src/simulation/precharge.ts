// Capacitors that start `settled`: at the voltage that the circuit gives them where every signal stands at its mean. A linear
// circuit is on the mean in the state that its mean sources hold it in, so that is where a coupling rests that
// smooths all there is; finding it costs one steady start. Takes a design; gives it with these capacitors' voltages, or why one
// of them could not be found.

import { Assembly } from "../assembly/assemble.js";
import { dimension } from "../base/dimension.js";
import { type Fraction, fromNumber } from "../base/fraction.js";
import type { Design, PartSpec } from "../design/design.js";
import type { Algebra } from "../equations/system.js";
import { meanLevel } from "../signals/mean.js";
import { constant } from "../signals/wave.js";
import { March, type MarchOptions } from "../stepping/march.js";
import type { Ending } from "../stepping/sink.js";

/** A design whose `settled` capacitors have a voltage to start from. */
export interface Precharged {
  readonly design: Design;
  /** Why they have none, as a sentence; the steady start then gives them theirs. */
  readonly warning?: string;
}

/** True for a part that starts where it settles. */
function settles(part: PartSpec): boolean {
  return !part.fault && (part.kind.settles?.(part) ?? false);
}

/**
 * Gives the `settled` capacitors of a design their voltages.
 * @param until length of the run, s: a steady start is long beside it
 */
export function precharged(
  design: Design,
  until: Fraction,
  march: Omit<MarchOptions, "start">,
  algebra?: Algebra,
): Precharged {
  if (!design.parts.some(settles)) return { design };
  const free = { ...design, parts: design.parts.map((p) => averaged(settles(p) ? started(p) : p)) };
  const { x, parts, ending } = startOf(free, until, march, algebra);
  if (!x) {
    const names = design.parts.filter(settles).map((p) => `'${p.name}'`);
    const warning = `${names.join(", ")} could not start settled, but as the signals at time zero ask: ${ending.reason}`;
    return { design: { ...design, parts: design.parts.map((p) => (settles(p) ? started(p) : p)) }, warning };
  }
  const volts = new Map(parts.map((part, i) => [part, x[i]]));
  return {
    design: { ...design, parts: design.parts.map((p, i) => (settles(p) ? started(p, volts.get(i)) : p)) },
  };
}

/** The part with its wave, if it has one that repeats, at rest on its mean. */
function averaged(part: PartSpec): PartSpec {
  const level = part.wave && meanLevel(part.wave);
  return level ? { ...part, wave: constant(level) } : part;
}

/** The part with a voltage to start from, or with none. */
function started(part: PartSpec, volts?: number): PartSpec {
  const amounts = new Map(part.amounts);
  amounts.delete("starts");
  if (volts !== undefined) {
    const value = fromNumber(volts);
    amounts.set("starts", { value, low: value, high: value, dimension: dimension.voltage, span: part.span });
  }
  return { ...part, amounts };
}

/** The states a steady start begins with, and whose they are; none where there is no such start. */
function startOf(design: Design, until: Fraction, march: Omit<MarchOptions, "start">, algebra?: Algebra) {
  const assembly = new Assembly(design, until, [], algebra);
  const { system } = assembly;
  let x: Float64Array | undefined;
  const sink = {
    sample(_n: number, _side: 0 | 1, _at: unknown, state: Float64Array) {
      x ??= state.slice();
      return false;
    },
    loss() {},
  };
  const { step: _, ...how } = march;
  const ending: Ending = new March({ ...assembly, inputs: assembly.inputs() }, sink, {
    ...how,
    start: "steady",
  }).run();
  return { x, parts: system.states.map(({ part }) => part), ending };
}
