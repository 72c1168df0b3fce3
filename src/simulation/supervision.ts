// Supervises a run from outside: an abort signal, a budget of time, and progress at most ten times a second. Reads a wall
// clock only where a budget or progress is asked for; the clock affects nothing in a run but where it is stopped.
import type { Clock } from "../stepping/clock.js";

/** How far a run has got. */
export interface Progress {
  /** Instant reached, s. */
  readonly time: number;
  /** End of the run, s. */
  readonly until: number;
  /** Steps taken so far. */
  readonly steps: number;
}

/** What may end a run early. */
interface Watching {
  readonly signal?: { readonly aborted: boolean };
  readonly limits?: { readonly seconds?: number };
}

/** The wall clock now, ms, where a budget of time needs it, since setting up counts as well; else undefined. */
export function stopwatch({ limits }: Watching): number | undefined {
  return limits?.seconds === undefined ? undefined : performance.now();
}

/** Least time between two reports, ms. */
const between = 100;

/**
 * Gives the function that the march calls now and then: why to stop, or undefined.
 * @param since when the work began, from `stopwatch`
 * @param progress told how far the run has got
 */
export function watch(
  { signal, limits }: Watching,
  clock: Clock,
  since: number | undefined,
  progress?: (progress: Progress) => void,
): (n: number, steps: number) => "cancelled" | "time" | undefined {
  const seconds = limits?.seconds;
  const timed = seconds !== undefined || progress !== undefined;
  const begun = since ?? (timed ? performance.now() : 0);
  let told = begun;
  return (n, steps) => {
    if (timed) {
      const now = performance.now();
      if (progress && now - told >= between) {
        told = now;
        progress({ time: clock.time(n), until: clock.time(clock.end), steps });
      }
      if (seconds !== undefined && now - begun > seconds * 1000) return "time";
    }
    // After the progress callback, which is where a synchronous run can be aborted.
    return signal?.aborted ? "cancelled" : undefined;
  };
}
