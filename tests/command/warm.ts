// Runs the built command in a thread that stays: what a process costs before it does anything (reading the program, warming up)
// is most of a short run, and the tests make hundreds. What the program reads and writes goes through the same calls; whatever
// is about the process itself (signals, pipes, terminals, another folder) is tried with a process.
import { MessageChannel, type MessagePort, receiveMessageOnPort, Worker } from "node:worker_threads";
import type { Ended } from "./running.js";

/** What the thread is to run. */
export interface Asked {
  readonly words: readonly string[];
  readonly input: string;
  readonly env: Readonly<Record<string, string>>;
}

interface Thread {
  readonly worker: Worker;
  readonly port: MessagePort;
  /** Counts the runs that have ended. */
  readonly ended: Int32Array;
}

/** No test of the command comes near, in ms. */
const longest = 400_000;

let thread: Thread | undefined;

/** Runs the program at a path with its words; status undefined where it did not end. */
export function warm(program: string, asked: Asked): Ended | undefined {
  thread ??= started(program);
  const { port, ended } = thread;
  const before = Atomics.load(ended, 0);
  port.postMessage(asked);
  Atomics.wait(ended, 0, before, longest);
  const told = receiveMessageOnPort(port);
  if (told) return told.message as Ended;
  void thread.worker.terminate();
  thread = undefined;
  return undefined;
}

function started(program: string): Thread {
  const ended = new Int32Array(new SharedArrayBuffer(4));
  const { port1, port2 } = new MessageChannel();
  const worker = new Worker(new URL("./warmthread.mjs", import.meta.url), {
    workerData: { program, port: port2, ended },
    transferList: [port2],
    execArgv: [],
    stdout: true,
    stderr: true,
  });
  worker.unref();
  port1.unref();
  return { worker, port: port1, ended };
}
