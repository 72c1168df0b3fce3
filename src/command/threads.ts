// The workers of a pool as threads. A thread that ends, for whatever reason, says so once.
import { Worker } from "node:worker_threads";
import type { Job, PoolOptions, WorkerHandle } from "./pool.js";
import type { CasesTask, PlacesTask, StudyTask } from "./worker.js";

type Told<R> = { readonly id: number; readonly result: R };
type Message<R> = { readonly fingerprint: string } | Told<R> | readonly Told<R>[];

/**
 * How to hire threads for a task.
 * @param fingerprint what each must find in a design that it reads anew, lest a file that it brings has changed in between
 * @param file the worker's program, beside the command's
 */
export function threadsFor<J extends Job, R>(
  task: PlacesTask | CasesTask | StudyTask,
  fingerprint?: string,
  file = new URL("./worker.js", import.meta.url),
): PoolOptions<J, R>["hire"] {
  return (told) => {
    const worker = new Worker(file, { workerData: task, stdout: true, stderr: true });
    let reason = "";
    worker.on("message", (message: Message<R>) => {
      // What it measures of another design is not listened to.
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
