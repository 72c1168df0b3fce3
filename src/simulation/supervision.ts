// Watching a run from outside: an abort signal, a budget of time, and progress at most ten times a second. The only
// place that looks at a clock, and only where a budget or progress is asked for: a run never depends on it except in
// where it is stopped.

/** How far a run is. */
export interface Progress {
  /** Instant reached, s. */
  readonly time: number;
  /** End of the run, s. */
  readonly until: number;
  /** Steps taken so far. */
  readonly steps: number;
}

/** What may end a run early, and who is told of its progress. */
export interface Watching {
  readonly signal?: { readonly aborted: boolean };
  readonly seconds?: number;
  readonly progress?: (progress: Progress) => void;
  /** When the work began, as `stopwatch` has it. */
  readonly begun?: number;
}

/** The clock as it stands, ms, where a budget of time needs it: setting up counts as well. */
export function stopwatch({
  limits,
}: {
  readonly limits?: { readonly seconds?: number };
}): number | undefined {
  return limits?.seconds === undefined ? undefined : performance.now();
}

/** Least time between two reports, ms. */
const between = 100;

/**
 * Gives what the march asks now and then: why to stop, or nothing.
 * @param instant instant of a tick
 */
export function watch(
  of: Watching,
  instant: (n: number) => number,
  until: number,
): (n: number, steps: number) => "cancelled" | "time" | undefined {
  const { signal, seconds, progress } = of;
  const timed = seconds !== undefined || progress !== undefined;
  const begun = of.begun ?? (timed ? performance.now() : 0);
  let told = begun;
  return (n, steps) => {
    if (timed) {
      const now = performance.now();
      if (progress && now - told >= between) {
        told = now;
        progress({ time: instant(n), until, steps });
      }
      if (seconds !== undefined && now - begun > seconds * 1000) return "time";
    }
    // After the progress callback, which is where a synchronous run can be aborted.
    return signal?.aborted ? "cancelled" : undefined;
  };
}
