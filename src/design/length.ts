// How long to run if neither the caller nor the text says: eight periods of the slowest signal in the design, and
// in any case past every instant that its checks, signals and switches name.
import type { Report } from "../base/diagnostic.js";
import { type Fraction, ratio } from "../base/fraction.js";
import { asWritten } from "../base/quantity.js";
import type { Span } from "../base/span.js";
import type { Wave } from "../signals/wave.js";
import type { Design } from "./design.js";

/** The shortest and the longest length of a run, s; beyond these, doubles cannot express its ticks. */
export const runLengths = { from: ratio(1, 10n ** 18n), to: ratio(10n ** 12n) } as const;

/** The same in words, for messages. */
export const runLengthsText = "a run may last from 1e-18 s to 1e12 s";

/** A length that something in the text needs. */
interface Asked {
  readonly length: Fraction;
  readonly span: Span;
}

/** A length in seconds, greater than zero. */
export function defaultLength(design: Design): Fraction {
  let length = longestOf([...checkedLengths(design), ...timedLengths(design)]);
  for (const { wave } of design.parts) {
    const periods = wave && periodOf(wave)?.mul(8);
    // Eight periods are only a default: a slower signal shows as much of itself as the longest run can.
    if (periods?.gt(length)) length = periods.gt(runLengths.to) ? runLengths.to : periods;
  }
  if (length.n === 0n) return ratio(1, 100);
  return length.lt(runLengths.from) ? runLengths.from : length;
}

/**
 * How long to run a case, s: the stated length of the case or the design, else that of the run as drawn, but in any case past
 * what its checks look at.
 * @param beside length of the run of the design as drawn, s
 */
export function caseLength(one: Design, beside: Fraction): Fraction {
  const stated = one.run.length;
  const asked = stated ?? beside;
  const least = stated ? longestOf(checkedLengths(one)) : defaultLength(one);
  return least.gt(asked) ? least : asked;
}

/** Reports what needs a longer run than is allowed. */
export function checkLengths(design: Design, report: Report): void {
  for (const { length, span } of [...checkedLengths(design), ...timedLengths(design)]) {
    if (length.gt(runLengths.to))
      report.error(
        "out-of-range",
        `this needs a run past ${length.valueOf().toPrecision(3)} s; ${runLengthsText}`,
        span,
        { hint: "ask for less" },
      );
  }
}

function longestOf(asked: Iterable<Asked>): Fraction {
  let most = ratio(0);
  for (const { length } of asked) if (length.gt(most)) most = length;
  return most;
}

/** Lengths past every instant of the checks and the figures to show. */
function* checkedLengths(design: Design): Generator<Asked> {
  for (const { at, after, before, within, span } of [...design.checks, ...design.shows]) {
    for (const t of [at, after, before, within?.to])
      if (t !== undefined) yield { length: asWritten(t).mul(ratio(3, 2)), span };
  }
}

/** Lengths past every instant of waves and switches that do not repeat. */
function* timedLengths(design: Design): Generator<Asked> {
  for (const { wave, control, span } of design.parts) {
    if (wave?.shape.kind === "segments" && !wave.shape.period)
      yield { length: wave.shape.corners[wave.shape.corners.length - 1].time.mul(ratio(5, 4)), span };
    for (const t of [wave?.starts, wave?.stops]) if (t) yield { length: t.mul(2), span };
    if (control?.type === "times")
      for (const t of [control.from, control.to]) if (t) yield { length: t.mul(ratio(3, 2)), span };
  }
}

function periodOf(wave: Wave): Fraction | undefined {
  if (wave.shape.kind === "segments") return wave.shape.period;
  // A quarter of a frame, so that eight make two frames: that shows fields, and differences from frame to frame.
  if (wave.shape.kind === "packed") return (wave.shape.picture?.frame ?? wave.shape.period).div(4);
  return wave.shape.kind === "sine" ? wave.shape.frequency.inverse() : undefined;
}
