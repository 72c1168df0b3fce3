// Capacitors that start `settled`: at the voltage that the circuit gives them when every signal is at its mean. The average
// state of a linear circuit is the state in which its mean sources hold it, so a coupling capacitor that smooths everything
// rests there; finding it costs one steady start.

import { Assembly } from "../assembly/assemble.js";
import { dimension } from "../base/dimension.js";
import { fromNumber } from "../base/fraction.js";
import type { Sliced } from "../base/slices.js";
import type { Design, PartSpec } from "../design/design.js";
import { meanLevel } from "../signals/mean.js";
import { constant } from "../signals/wave.js";
import type { Clock } from "../stepping/clock.js";
import type { MarchOptions } from "../stepping/march.js";
import type { Side } from "../stepping/sink.js";
import type { Plan } from "./options.js";

/** A design whose `settled` capacitors have a voltage to start from. */
interface Precharged {
  readonly design: Design;
  /** Why they have none, if so; the steady start then sets theirs. */
  readonly warnings: readonly string[];
}

/**
 * Gives the `settled` capacitors of a design that starts steady their voltages.
 * @param pausing what may stop the search, by the clock that it goes by
 */
export function* precharged(
  plan: Plan,
  pausing: (clock: Clock) => MarchOptions["pause"],
): Sliced<Precharged> {
  const { design, start } = plan;
  if (start !== "steady" || !design.parts.some(settles)) return { design, warnings: [] };
  const { volts, stopped, reason } = yield* steadyMeans(plan, pausing);
  const parts = design.parts.map((p, i) => (settles(p) ? started(p, volts?.get(i)) : p));
  const names = design.parts.filter(settles).map((p) => `'${p.name}'`);
  const warning = `${names.join(", ")} could not start settled, but as the signals at time zero ask: ${reason}`;
  return { design: { ...design, parts }, warnings: volts || stopped ? [] : [warning] };
}

/** Whether a part starts where it settles. */
function settles(part: PartSpec): boolean {
  return !part.fault && (part.kind.settles?.(part) ?? false);
}

/** The states, by part, of a steady start on the means of all signals; or why there are none. */
function* steadyMeans(
  { design, until, algebra, steps, tolerance }: Plan,
  pausing: (clock: Clock) => MarchOptions["pause"],
) {
  const parts = design.parts.map((p) => averaged(settles(p) ? started(p) : p));
  const assembly = Assembly.of({ ...design, parts }, until, [], algebra);
  yield;
  let volts: Map<number, number> | undefined;
  const sink = {
    sample(_n: number, _side: Side, _at: unknown, x: Float64Array) {
      volts ??= new Map(assembly.system.states.map(({ part }, i) => [part, x[i]]));
      return false;
    },
    loss() {},
  };
  const { code, reason } = yield* assembly
    .march(sink, { start: "steady", method: "mixed", steps, tolerance, pause: pausing(assembly.clock) })
    .going();
  return { volts, stopped: code === "cancelled" || code === "time", reason };
}

/** The part with a repeating wave replaced by its mean. */
function averaged(part: PartSpec): PartSpec {
  const level = part.wave && meanLevel(part.wave);
  return level ? { ...part, wave: constant(level) } : part;
}

/** The part with an initial voltage, or without one. */
function started(part: PartSpec, volts?: number): PartSpec {
  const amounts = new Map(part.amounts);
  amounts.delete("starts");
  if (volts !== undefined) {
    const value = fromNumber(volts);
    amounts.set("starts", { value, low: value, high: value, dimension: dimension.voltage, span: part.span });
  }
  return { ...part, amounts };
}
