// The workers of a pool as threads.
// Takes what a worker is started with; gives a way to hire one. Always: a thread that ends, for whatever reason, says so once.
import { Worker } from "node:worker_threads";
import type { Measured } from "../studies/bench.js";
import type { Hand, PoolOptions } from "./pool.js";
import type { WorkerTask } from "./worker.js";

type Message = { readonly fingerprint: string } | { readonly id: number; readonly measured: Measured };

/**
 * How to hire threads for a task.
 * @param fingerprint what each must find in the design, lest a file that it brings has changed in between
 * @param file the worker's program, beside the command's
 */
export function crew(
  task: WorkerTask,
  fingerprint: string,
  file = new URL("./worker.js", import.meta.url),
): PoolOptions["hire"] {
  return (told) => {
    const worker = new Worker(file, { workerData: task, stdout: true, stderr: true });
    let reason = "";
    worker.on("message", (message: Message) => {
      // What it measures of another design is not listened to.
      if (reason !== "") return;
      if ("id" in message) told.result(message.id, message.measured);
      else if (message.fingerprint !== fingerprint) {
        reason = "a file that the design brings has changed";
        void worker.terminate();
      }
    });
    worker.on("error", (error) => {
      reason = error.message.split("\n")[0]!;
    });
    worker.on("exit", (code) => told.ended(reason || `it ended with status ${code}`));
    const hand: Hand = {
      send: (jobs) => worker.postMessage(jobs),
      stop: () => void worker.terminate(),
    };
    return hand;
  };
}
