// How long to run where neither the caller nor the text says: eight periods of the slowest signal that the
// design has, and in any case past everything that its checks and its gates look at.
import { type Fraction, ratio } from "../base/fraction.js";
import { asWritten } from "../base/quantity.js";
import type { Design } from "../design/design.js";
import type { Wave } from "../signals/wave.js";

/** A length in seconds, greater than zero. */
export function defaultLength(design: Design): Fraction {
  let length = leastLength(design);
  for (const part of design.parts) {
    const periods = part.wave && periodOf(part.wave)?.mul(8);
    if (periods?.gt(length)) length = periods;
  }
  return length.n === 0n ? ratio(1, 100) : length;
}

/**
 * How long to run a case, s: as it or the design states, else as long as the run beside it, but in any case past what its
 * checks look at.
 * @param beside length of the run of the design as drawn, s
 */
export function caseLength(one: Design, beside: Fraction): Fraction {
  const stated = one.run.length;
  const asked = stated ?? beside;
  const least = stated ? checkedLength(one) : defaultLength(one);
  return least.gt(asked) ? least : asked;
}

/** Seconds past everything that the checks look at; zero where they look at no time. */
function checkedLength(design: Design): Fraction {
  let length = ratio(0);
  for (const check of design.checks) {
    const times = [check.at, check.after, check.before, check.within?.to].flatMap((t) => t ?? []);
    for (const t of times) {
      const past = asWritten(t).mul(ratio(3, 2));
      if (past.gt(length)) length = past;
    }
  }
  return length;
}

/** The same, and past all that the design itself does at some time. */
function leastLength(design: Design): Fraction {
  const waves = design.parts.flatMap((p) => (p.wave ? [p.wave] : []));
  let length = checkedLength(design);
  const atLeast = (t: Fraction) => {
    if (t.gt(length)) length = t;
  };
  for (const { shape } of waves) {
    if (shape.kind === "segments" && !shape.period)
      atLeast(shape.corners[shape.corners.length - 1].time.mul(ratio(5, 4)));
  }
  for (const wave of waves) for (const t of [wave.starts, wave.stops]) if (t) atLeast(t.mul(2));
  for (const part of design.parts) {
    if (part.control?.type !== "times") continue;
    for (const t of [part.control.from, part.control.to]) if (t) atLeast(t.mul(ratio(3, 2)));
  }
  return length;
}

function periodOf(wave: Wave): Fraction | undefined {
  if (wave.shape.kind === "segments") return wave.shape.period;
  // A quarter of a frame, so that eight of them make two: fields, and what differs from frame to frame.
  if (wave.shape.kind === "packed") return (wave.shape.picture?.frame ?? wave.shape.period).div(4);
  return wave.shape.kind === "sine" ? wave.shape.frequency.inverse() : undefined;
}
