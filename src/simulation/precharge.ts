// Capacitors that start `settled`: at the voltage that the circuit gives them where every signal stands at its mean. A linear
// circuit is on the mean in the state that its mean sources hold it in, so that is where a coupling rests that
// smooths all there is; finding it costs one steady start.

import { Assembly } from "../assembly/assemble.js";
import { dimension } from "../base/dimension.js";
import { fromNumber } from "../base/fraction.js";
import type { Sliced } from "../base/slices.js";
import type { Design, PartSpec } from "../design/design.js";
import { meanLevel } from "../signals/mean.js";
import { constant } from "../signals/wave.js";
import type { Side } from "../stepping/sink.js";
import type { Plan } from "./options.js";

/** A design whose `settled` capacitors have a voltage to start from. */
interface Precharged {
  readonly design: Design;
  /** Where they have none, why; the steady start then gives them theirs. */
  readonly warnings: readonly string[];
  /** The circuit on its mean signals, of the same parts. */
  readonly mean?: Assembly;
}

/** Gives the `settled` capacitors of a design that starts steady their voltages. */
export function* precharged(plan: Plan): Sliced<Precharged> {
  const { design, start } = plan;
  if (start !== "steady" || !design.parts.some(settles)) return { design, warnings: [] };
  const { volts, reason, assembly } = yield* steadyMeans(plan);
  const parts = design.parts.map((p, i) => (settles(p) ? started(p, volts?.get(i)) : p));
  const names = design.parts.filter(settles).map((p) => `'${p.name}'`);
  const warning = `${names.join(", ")} could not start settled, but as the signals at time zero ask: ${reason}`;
  return { design: { ...design, parts }, warnings: volts ? [] : [warning], mean: assembly };
}

/** True for a part that starts where it settles. */
function settles(part: PartSpec): boolean {
  return !part.fault && (part.kind.settles?.(part) ?? false);
}

/** The states, by part, of a steady start on the means of all signals; or why there is none. */
function* steadyMeans({ design, until, algebra, steps, tolerance }: Plan) {
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
  const { reason } = yield* assembly
    .march(sink, { start: "steady", method: "mixed", steps, tolerance })
    .going();
  return { volts, reason, assembly };
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
