// What the tests of the board share: a run that must complete, the instants at which a trace passes a level (read off
// its samples alone, so that the measures under test are not their own judge), the rate of three systems by the
// standards, and the text around the blocks that ship.
import { readFileSync } from "node:fs";
import { expect } from "vitest";
import { compile, type Run, type SimulateOptions, simulate, type Trace } from "../../src/index.js";

/** The published figures, each with its source; the same that the tests of the signals use. */
export const book = JSON.parse(
  readFileSync(new URL("../../shared/video-timing.json", import.meta.url), "utf8"),
);

export const systems = ["525/59.94", "525/60", "625/50"] as const;
export type System = (typeof systems)[number];

/** A figure as a number; fractions are written as text. */
export function number({ value }: { readonly value: string }): number {
  const [above, below = "1"] = value.split("/");
  return Number(above) / Number(below);
}

/** Line period in seconds: SMPTE 170M-2004, 47 CFR 73.682, ITU-R BT.470-6. */
export function lineOf(system: System): number {
  return number(book.systems[system].line) * 1e-6;
}

/** Simulates a text; the run must reach its end. */
export function run(text: string, options: SimulateOptions = {}): Run {
  const done = simulate(compile(text), options);
  expect(done.reason).toBe("");
  expect(done.status).toBe("complete");
  return done;
}

/** Instants at which the curve of a trace passes a level, by halving between its samples. */
export function passing(trace: Trace, level: number, way: "rising" | "falling"): number[] {
  const sign = way === "rising" ? 1 : -1;
  const { time, value } = trace;
  const found: number[] = [];
  for (let i = 1; i < time.length; i++) {
    const before = sign * (value[i - 1] - level);
    const after = sign * (value[i] - level);
    if (!(before < 0 && after >= 0)) continue;
    // Between two samples by halving: the trace is a curve there.
    let [low, high] = [time[i - 1], time[i]];
    for (let k = 0; k < 60; k++) {
      const middle = (low + high) / 2;
      if (sign * (trace.at(middle) - level) >= 0) high = middle;
      else low = middle;
    }
    found.push(high);
  }
  return found;
}

/** Lowest and highest sample. A spread would be too long for a call. */
export function reach(trace: Trace): { low: number; high: number } {
  return trace.value.reduce((seen, v) => ({ low: Math.min(seen.low, v), high: Math.max(seen.high, v) }), {
    low: Number.POSITIVE_INFINITY,
    high: Number.NEGATIVE_INFINITY,
  });
}

/** Mean of a trace that is straight between its samples. */
export function meanOf({ time, value }: Trace): number {
  let sum = 0;
  for (let i = 1; i < time.length; i++) sum += ((value[i] + value[i - 1]) / 2) * (time[i] - time[i - 1]);
  return sum / (time.at(-1)! - time[0]);
}

/** What falls into each stretch that begins at one of the starts and ends at the next. */
export function shared(starts: ArrayLike<number>, instants: readonly number[]): number[][] {
  const found: number[][] = Array.from({ length: starts.length - 1 }, () => []);
  for (const t of instants) {
    let low = 0;
    let high = starts.length;
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (starts[middle] <= t) low = middle + 1;
      else high = middle;
    }
    found[low - 1]?.push(t);
  }
  return found;
}

/** Supplies of the board. */
export const rails = "supply plus5 = 5 V\nsupply minus5 = -5 V\n";

/** The half-level delay of a step through a low-pass: RC ln 2 (any book on pulse circuits). */
export const halfDelay = (ohms: number, farads: number): number => ohms * farads * Math.LN2;
