// All runs of a design, one after the other or side by side.
// What is left of each run is told in the order of the text: the same bits and the same order with any number of threads.
import { DesignError } from "../base/diagnostic.js";
import { toNumber } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import { Jobs } from "./jobs.js";
import type { Loaded } from "./load.js";
import { lengths, perform, type RunOutcome, type RunRemains, type RunRequest, runsOf } from "./onerun.js";
import { EarlyEnd, status } from "./refusal.js";
import { cornersOf } from "./workload.js";

/**
 * Does all runs; `take` is told what is left of each, in the order of the text.
 * @param workers how many runs at a time, where it was asked for
 * @param stop ends it between two runs
 * @throws DesignError where a run refuses its design; what came before it has been told
 */
export async function everyCase(
  { design, source }: Loaded,
  wanted: RunRequest,
  workers: number | undefined,
  take: (left: RunRemains) => void | Promise<void>,
  stop?: AbortSignal,
): Promise<void> {
  const waiting = new Map<number, RunOutcome>();
  let next = 0;
  // What is told may be written, one run after the other; what it throws is heard at the end.
  let told = Promise.resolve();
  let failed: unknown;
  const fail = (error: unknown) => {
    failed ??= error;
    jobs.cancel();
  };
  const tellInOrder = async () => {
    for (let ready = waiting.get(next); ready && failed === undefined; ready = waiting.get(next)) {
      waiting.delete(next++);
      if ("refused" in ready) throw new DesignError(ready.refused);
      await take(ready);
    }
  };
  const jobs: Jobs<RunOutcome> = new Jobs<RunOutcome>({
    ids: [...runsOf(design, wanted).keys()],
    workers,
    work: work(design, wanted),
    inHand: 1,
    task: { text: source.text, name: source.name, values: source.values, brought: source.brought, wanted },
    perform: (index) => perform(design, index, wanted),
    take: (index, outcome) => {
      waiting.set(index, outcome);
      told = told.then(tellInOrder).catch(fail);
      return told;
    },
    lost: (_, reason) => fail(new EarlyEnd(`a case ended its worker every time: ${reason}`, status.stopped)),
  });
  const stopped = () => jobs.cancel();
  stop?.addEventListener("abort", stopped);
  if (!stop?.aborted) await jobs.run();
  stop?.removeEventListener("abort", stopped);
  await told;
  if (failed !== undefined) throw failed;
}

/** A first estimate of the work of all runs: corners of the signals times parts. */
export function work(design: Design, wanted: RunRequest): number {
  const runs = runsOf(design, wanted);
  return lengths(design, wanted).reduce((sum, length, i) => {
    const one = runs[i];
    return sum + (1 + cornersOf(one, toNumber(length))) * one.parts.length;
  }, 0);
}
