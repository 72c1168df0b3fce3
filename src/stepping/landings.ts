// Carries derivatives of the state by its start over leaps: each group moves the rows of its own states, since it knows
// nothing of others, by the matrices that moved the state itself.
// Always: rows stand where the states do; an event touches only groups that stand at its tick.
import type { GroupState } from "./groupstate.js";
import type { CarryColumns } from "./tangent.js";

/** A leap of a group. */
interface Landing {
  readonly group: GroupState;
  readonly length: number;
  readonly recurs: boolean;
}

/** Leaps that ended since derivatives were last carried along. */
export class Landings {
  private readonly landed: Landing[] = [];

  /** @param recurs as for `LeapMatrices.leap` */
  add(group: GroupState, length: number, recurs: boolean): void {
    this.landed.push({ group, length, recurs });
  }

  /** Moves the rows over these leaps, once. */
  readonly carry: CarryColumns = (rows, columns) => {
    for (const { group, length, recurs } of this.landed) {
      const { states, matrices } = group;
      const own = new Float64Array(states.length * columns);
      for (let i = 0, p = 0; i < states.length; i++)
        for (let j = 0, q = states[i] * columns; j < columns; j++, p++, q++) own[p] = rows[q];
      matrices.carry(own, columns, length, recurs);
      for (let i = 0, p = 0; i < states.length; i++)
        for (let j = 0, q = states[i] * columns; j < columns; j++, p++, q++) rows[q] = own[p];
    }
    this.landed.length = 0;
  };
}

/** x' at a tick of the groups that stand there; zero for one still on its way, since no event at that tick touches it. */
export function motionsAt(groups: readonly GroupState[], n: number, f: Float64Array): void {
  f.fill(0);
  for (const { from, states, motion, z, d } of groups) {
    if (from !== n) continue;
    motion.derive(z, d);
    for (let i = 0; i < states.length; i++) f[states[i]] = d[i];
  }
}
