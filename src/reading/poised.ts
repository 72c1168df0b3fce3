// A state on its balance, as a needle on its tip: nothing moves it, and the least disturbance would grow without end. An oscillator
// made of an amplifier begins there, at rest or steady, and in numbers it may stay for ever, which no circuit does. It is looked for
// where a run ends: what had left its balance by then has shown so itself.
import type { Assembly } from "../assembly/assemble.js";
import type { Condensed } from "../equations/condense.js";
import { growing } from "../stepping/growth.js";
import { expected } from "../stepping/rounding.js";
import type { Recording } from "./recording.js";

/** A slope below this share of what cancels in it is none. */
const standing = 1e-9;
/** The least growth over the run that counts; what keeps its energy grows by rounding only. */
const least = Math.log(1.001);

/** The part that would leave its balance soonest, and the time in which its disturbance grows by e, s; undefined where none stands on one. */
export function poised(
  assembly: Assembly,
  recording: Recording,
): { part: number; within: number } | undefined {
  const { system, clock } = assembly;
  const { samples } = recording;
  if (samples.count === 0 || system.sparse) return undefined;
  const end = samples.count - 1;
  const { equations } = system.combinations[samples.modes[end]];
  // Only what is steered can grow.
  if (!equations.elements.some(({ steer }) => steer)) return undefined;
  const { nx, nu } = equations;
  const sources = { u: new Float64Array(nu), du: new Float64Array(nu) };
  const x = new Float64Array(nx);
  samples.read(end, x);
  assembly.inputs().place(recording.tick(recording.count - 1), 0, sources);
  const still = alone(equations, stillStates(equations, x, sources));
  const length = clock.time(clock.end);
  const found = growing(equations, still, length);
  if (!found || !(found.rate * length > least)) return undefined;
  return { part: system.states[found.state].part, within: 1 / found.rate };
}

/** States with no slope. */
function stillStates(
  eq: Condensed,
  x: Float64Array,
  { u, du }: { u: Float64Array; du: Float64Array },
): number[] {
  const { nx, nu, A, B, D } = eq;
  const sizes = expected(eq, x, u);
  return [...x.keys()].filter((i) => {
    let [slope, size] = [0, 0];
    const add = (factor: number, by: number, most: number) => {
      slope += factor * by;
      size += Math.abs(factor) * most;
    };
    for (let j = 0; j < nx; j++) add(A[i * nx + j], x[j], sizes[j]);
    for (let s = 0; s < nu; s++) {
      add(B[i * nu + s], u[s], Math.abs(u[s]));
      add(D[i * nu + s], du[s], Math.abs(du[s]));
    }
    return Math.abs(slope) <= standing * size;
  });
}

/** Those of some states that none of the others moves. */
function alone({ nx, A }: Condensed, some: readonly number[]): number[] {
  const kept = new Set(some);
  for (let before = -1; before !== kept.size; ) {
    before = kept.size;
    for (const i of kept)
      for (let j = 0; j < nx; j++) if (A[i * nx + j] !== 0 && !kept.has(j)) kept.delete(i);
  }
  return [...kept];
}
