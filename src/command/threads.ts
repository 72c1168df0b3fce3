// The workers of a pool as threads. A thread that ends, for whatever reason, reports it once.
import { setFlagsFromString } from "node:v8";
import { Worker } from "node:worker_threads";
import type { RunRequest } from "./onerun.js";
import type { Job, PoolOptions, WorkerHandle } from "./pool.js";
import type { CasesTask, PlacesTask, StudyTask } from "./worker.js";

/**
 * For threads that make few runs and end. Each thread optimizes its code anew, which is half of the time of the board's twelve
 * runs; this makes that cheaper by inlining less. A long study would lose by it.
 */
const compilesLess = "--max-inlined-bytecode-size-cumulative=300";
/** What goes onto a page stays until the last run is done: garbage is collected sooner, before the heap has doubled. */
const keepsLess = "--heap-growing-percent=30";
const young = { maxYoungGenerationSizeMb: 12 };

/** Node versions known to have these flags; another would complain on standard error. */
const knows = { from: 20, to: 24 };

function suited({ page }: RunRequest): void {
  const major = Number.parseInt(process.versions.node, 10);
  if (major < knows.from || major > knows.to) return;
  for (const flag of page ? [compilesLess, keepsLess] : [compilesLess]) setFlagsFromString(flag);
}

type Told<R> = { readonly id: number; readonly result: R };
type Message<R> = { readonly fingerprint: string } | Told<R> | readonly Told<R>[];

/**
 * How to hire threads for a task.
 * @param fingerprint that of the design that each thread must find when it reads the files again, as one may have changed
 * @param file the worker's program, next to the command's
 */
export function threadsFor<J extends Job, R>(
  task: PlacesTask | CasesTask | StudyTask,
  fingerprint?: string,
  file = new URL("./worker.js", import.meta.url),
): PoolOptions<J, R>["hire"] {
  const wanted = "wanted" in task ? task.wanted : undefined;
  if (wanted) suited(wanted);
  const resourceLimits = wanted?.page ? young : undefined;
  return (told) => {
    const worker = new Worker(file, { workerData: task, stdout: true, stderr: true, resourceLimits });
    let reason = "";
    worker.on("message", (message: Message<R>) => {
      // Ignores what it measures of a different design.
      if (reason !== "") return;
      if (Array.isArray(message))
        for (const { id, result } of message as readonly Told<R>[]) told.result(id, result);
      else if ("id" in message) told.result(message.id, message.result);
      else if ("fingerprint" in message && message.fingerprint !== fingerprint) {
        reason = "a file that the design brings has changed";
        void worker.terminate();
      }
    });
    worker.on("error", (error) => {
      reason = error.message.split("\n")[0];
    });
    worker.on("exit", (code) => told.ended(reason || `it ended with status ${code}`));
    const hand: WorkerHandle<J> = {
      send: (jobs) => worker.postMessage(jobs),
      stop: () => void worker.terminate(),
    };
    return hand;
  };
}
