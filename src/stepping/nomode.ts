// Why an instant has no combination of modes, or none that goes on.

/** No combination of modes fits, or more than one does. */
export class NoMode extends Error {
  override readonly name = "NoMode";
  /**
   * @param code `no-mode`, `two-modes`, or `chatter`: controls that switch each other without end
   * @param parts the parts to blame
   */
  constructor(
    readonly code: "no-mode" | "two-modes" | "chatter",
    readonly parts: readonly number[],
  ) {
    super(code);
  }
}

/** The current of an inductor was cut off. */
export class CutOff extends Error {
  override readonly name = "CutOff";
  /** @param parts the inductors */
  constructor(readonly parts: readonly number[]) {
    super("cut-off");
  }
}
