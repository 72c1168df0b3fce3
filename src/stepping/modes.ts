// Which modes fit: at the start and at every event the guards of the present combination are read, what they
// call for is flipped, and the new combination is tried, until nothing is violated. Flipping everything at
// once is quick but may go in circles; then the parts are flipped one by one, and for few parts all
// combinations are tried. Whatever the order of the file, the first of these that fits is the same.
import type { Combination, System } from "../equations/system.js";

/** No combination of modes fits. */
export class NoMode extends Error {
  override readonly name = "NoMode";
  /** @param parts the parts that kept flipping */
  constructor(readonly parts: readonly number[]) {
    super("no consistent combination of modes");
  }
}

/** Violations of a combination: which guards are violated, as indices into its guard rows. */
export type Violations = (at: Combination) => readonly number[];

/**
 * Finds a combination that fits.
 * @param violated gives the guards violated in a combination; it may move the state to fit it
 * @throws NoMode, or Fault where the only way leads through a circuit without solution
 */
export function settle(
  system: System,
  start: Combination,
  first: readonly number[],
  violated: Violations,
): Combination {
  let at = start;
  let flips = first;
  const parts = system.members.length;
  const flipped = new Map<number, number>();
  const rounds = 4 * parts + 8;
  for (let round = 0; round < 2 * rounds; round++) {
    if (flips.length === 0) return at;
    const modes = at.modes.slice();
    // Past the first rounds one part at a time, the first in the list.
    const chosen = round < rounds ? flips : flips.slice(0, 1);
    const seen = new Set<number>();
    for (const g of chosen) {
      const { part, to } = at.equations.guardOf[g]!;
      if (seen.has(part)) continue;
      seen.add(part);
      modes[part] = to;
      flipped.set(part, (flipped.get(part) ?? 0) + 1);
    }
    at = system.combination(modes);
    flips = violated(at);
  }
  const often = Math.max(...flipped.values());
  throw new NoMode([...flipped].filter(([, count]) => count * 2 >= often).map(([part]) => part));
}
