// All runs of a design, one after the other or in parallel. The remains of each run are taken in the order of the text: the
// same bits in the same order with any number of threads.
import { DesignError } from "../base/diagnostic.js";
import { toNumber } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import { Jobs } from "./jobs.js";
import type { Loaded } from "./load.js";
import { lengths, perform, type RunOutcome, type RunRemains, type RunRequest, runsOf } from "./onerun.js";
import { EarlyEnd, status } from "./refusal.js";
import { cornersOf } from "./workload.js";

/**
 * Does all runs and calls `take` with the remains of each, in the order of the text.
 * @param workers number of runs at a time, if it was asked for
 * @param stop ends the work between two runs
 * @throws DesignError if a run refuses its design; earlier runs have been taken by then
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
  // Taking may write files, so it is done one run at a time; an error of it is thrown at the end.
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

/** A rough estimate of the work of all runs: corners of the signals times parts. */
export function work(design: Design, wanted: RunRequest): number {
  const runs = runsOf(design, wanted);
  return lengths(design, wanted).reduce((sum, length, i) => {
    const one = runs[i];
    return sum + (1 + cornersOf(one, toNumber(length))) * one.parts.length;
  }, 0);
}
