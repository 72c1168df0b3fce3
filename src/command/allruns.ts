// All runs of a design, one after the other or side by side.
// Takes a design with its text and what is wanted; tells what is left of each run in the order of the text. Always: the
// same bits and the same order with any number of threads; a design that is done in no time is done in this one.
import { availableParallelism } from "node:os";
import { DesignError } from "../base/diagnostic.js";
import { toNumber } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import type { Wave } from "../signals/wave.js";
import { type Loaded, workersOf } from "./load.js";
import { lengths, perform, type RunOutcome, type RunRemains, type RunRequest, runsOf } from "./onerun.js";
import { EarlyEnd, status } from "./refusal.js";

/** Work from which on a design's cases are worth threads, which take a while to start: a few tenths of a second. */
export const worthwhile = 2e6;

/**
 * Does all runs; `take` is told what is left of each, in the order of the text.
 * @param workers as on the command line: how many runs at a time
 * @throws DesignError where a run refuses its design; what came before it has been told
 */
export async function everyCase(
  { design, source }: Loaded,
  wanted: RunRequest,
  workers: string | undefined,
  take: (left: RunRemains) => void | Promise<void>,
): Promise<void> {
  const count = runsOf(design).length;
  const little = workers === undefined && work(design, wanted) < worthwhile;
  const most = workersOf(workers, little ? 1 : availableParallelism());
  // What is told may be written, one run after the other.
  let told = Promise.resolve();
  const takeAll = (outcome: RunOutcome) => {
    if ("refused" in outcome) throw new DesignError(outcome.refused);
    told = told.then(() => take(outcome));
    // Heard where it is waited for.
    told.catch(() => undefined);
  };
  const threads = Math.min(most, count);
  if (threads === 1) {
    for (let index = 0; index < count; index++) {
      takeAll(perform(design, index, wanted));
      await told;
    }
    return;
  }
  // Loaded only here, since most designs do without.
  const { Pool } = await import("./pool.js");
  const { threadsFor } = await import("./threads.js");
  const waiting = new Map<number, RunOutcome>();
  let next = 0;
  let failed: unknown;
  const task = { text: source.text, name: source.name, brought: source.brought, wanted };
  const pool = new Pool<{ readonly id: number }, RunOutcome>({
    workers: threads,
    inHand: 1,
    hire: threadsFor(task),
    done: (id, outcome) => {
      waiting.set(id, outcome);
      try {
        for (let ready = waiting.get(next); ready && failed === undefined; ready = waiting.get(next)) {
          waiting.delete(next++);
          takeAll(ready);
        }
      } catch (error) {
        failed = error;
        pool.cancel();
      }
    },
    lost: (_, reason) => {
      failed = new EarlyEnd(`a case ended its worker every time: ${reason}`, status.stopped);
      pool.cancel();
    },
  });
  try {
    await pool.run(Array.from({ length: count }, (_, id) => ({ id })));
  } finally {
    pool.close();
  }
  await told;
  if (failed !== undefined) throw failed;
}

/** A first estimate of the work of all runs: corners of the signals times parts. */
export function work(design: Design, wanted: RunRequest): number {
  const runs = runsOf(design);
  return lengths(design, wanted).reduce((sum, length, i) => {
    const one = runs[i];
    return sum + (1 + cornersOf(one, toNumber(length))) * one.parts.length;
  }, 0);
}

/** About how many corners the signals of a design have in a time (s). */
export function cornersOf({ parts }: Design, length: number): number {
  return parts.reduce((sum, { wave }) => sum + (wave ? cornersIn(wave, length) : 0), 0);
}

/** About how many corners a wave has in a time (s); a carrier has two a period. */
function cornersIn({ shape }: Wave, length: number): number {
  switch (shape.kind) {
    case "constant":
      return 0;
    case "sine":
      return 2 * toNumber(shape.frequency) * length;
    case "packed": {
      const carrier = shape.carrier ? 2 * toNumber(shape.carrier.frequency) : 0;
      return length * (shape.times.length / (shape.length * toNumber(shape.unit)) + carrier);
    }
    default:
      return shape.corners.length * (shape.period ? length / toNumber(shape.period) : 1);
  }
}
