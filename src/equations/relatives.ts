// Circuits that share equations: cases and trials of a design differ in their sources, or in a part or two, and most
// combinations of the rest are the same to the bit.
import type { Condensed } from "./condense.js";
import { alikeThroughout } from "./likeness.js";

/** A circuit as others see it. */
interface Relative {
  readonly members: readonly unknown[];
  solved(modes: Uint8Array): Condensed | undefined;
  stamped(part: number, mode: number): unknown;
}

/** The relatives of one circuit. */
export class Relatives {
  /** By part and mode, whether a relative stamps the same. */
  private readonly known: { readonly one: Relative; readonly same: boolean[][] }[];

  /** @param others circuits that resemble it */
  constructor(
    private readonly own: Relative,
    others: readonly Relative[],
  ) {
    this.known = others.map((one) => ({ one, same: own.members.map(() => []) }));
  }

  /** The equations of a combination where a relative has met it and every part stamps the same there. */
  equations(modes: Uint8Array): Condensed | undefined {
    const { own, known } = this;
    for (const { one, same } of known) {
      const found = one.solved(modes);
      if (!found) continue;
      let all = true;
      for (let part = 0; all && part < modes.length; part++) {
        const mode = modes[part];
        same[part][mode] ??= alikeThroughout(one.stamped(part, mode), own.stamped(part, mode));
        all = same[part][mode];
      }
      if (all) return found.again();
    }
    return undefined;
  }
}
