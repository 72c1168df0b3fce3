// Errors for an instant at which no combination of modes fits, or none that goes on.

import type { Combination } from "../equations/system.js";

/** No combination of modes fits, or more than one does. */
export class NoMode extends Error {
  override readonly name = "NoMode";
  /**
   * @param code `no-mode`, `two-modes`, or `chatter`: controls that switch each other without end
   * @param parts the parts to blame
   * @param round of `chatter`: a combination in which one of the parts going round is about to switch, and those parts
   */
  constructor(
    readonly code: "no-mode" | "two-modes" | "chatter",
    readonly parts: readonly number[],
    readonly round?: { readonly at: Combination; readonly parts: ReadonlySet<number> },
  ) {
    super(code);
  }
}

/** Passes on an error that is of none of these kinds: it is no answer of the circuit, but a mistake, e.g. of a caller's kind of part. */
export function only<T>(
  error: unknown,
  ...kinds: readonly (abstract new (
    ...given: never[]
  ) => T)[]
): asserts error is T {
  if (!kinds.some((kind) => error instanceof kind)) throw error;
}

/** The current of an inductor was cut off. */
export class CutOff extends Error {
  override readonly name = "CutOff";
  /** @param parts the inductors */
  constructor(readonly parts: readonly number[]) {
    super("cut-off");
  }
}
