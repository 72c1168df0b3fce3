// A run of any length handed on in blocks: what memory it takes as it goes. Used for a million steps with the tests and
// for a hundred million by `npm run verify:long`.
import { compile, simulate } from "../../src/index.js";
import { kept } from "../kept.js";

/** Memory at one point of a run, bytes. */
export interface Memory {
  readonly steps: number;
  readonly heap: number;
  readonly buffers: number;
}

/** What a streamed run came to. */
export interface Flow {
  readonly samples: number;
  readonly steps: number;
  readonly seconds: number;
  /** At each tenth of the run. */
  readonly memory: readonly Memory[];
  /** Largest distance of a sample from the ramp's closed form on its way up, V, of 1.7 V. */
  readonly worst: number;
}

const text = `
  signal gate = pulse 0 V to 5 V, wide 10 us, every 60 us
  current feed ground -> ramp 0.34 mA
  capacitor hold ramp -> ground 10 nF
  switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm`;

/**
 * Runs so many steps of 1 µs.
 */
export function flow(steps: number): Flow {
  const memory: Memory[] = [];
  let samples = 0;
  let worst = 0;
  let next = 1;
  const begun = performance.now();
  const run = simulate(compile(text), {
    // Steps of 1 µs, and none shorter: the edges of the gate lie on them.
    until: `${steps} us`,
    step: "1 us",
    // The reset is twenty times faster than the step: TR-BDF2 forgets it, trapezoids would ring on.
    method: "tr-bdf2",
    limits: { steps: steps + 1 },
    stream: {
      traces: ["ramp"],
      block: ({ time, values: [ramp] }) => {
        samples += time.length;
        // I t/C from the end of the reset, on top of the 1.7 mV that the feed leaves across 5 Ω.
        for (let i = 0; i < time.length; i += 97) {
          const into = Math.round(time[i] * 1e6) % 60;
          if (into < 11) continue;
          const off = Math.abs(ramp[i] - 1.7e-3 - (into - 10) * 0.034);
          if (off > worst) worst = off;
        }
        if (time[time.length - 1] * 1e6 < (next * steps) / 10 - 0.5) return;
        memory.push({ steps: Math.round(time[time.length - 1] * 1e6), ...kept() });
        next++;
      },
    },
  });
  if (run.status !== "complete") throw new Error(run.reason);
  const seconds = (performance.now() - begun) / 1000;
  return { samples, steps: run.statistics.steps, seconds, memory, worst };
}
