// A worker of the verb `spread`: compiles the design once, then measures places as they come.
// Takes the text and the options as worker data, jobs as messages; gives each result as a message. Always: it measures exactly
// what the process that started it would, which the fingerprint that it tells first shows.
import { parentPort, workerData } from "node:worker_threads";
import { compile } from "../compile.js";
import { Bench, type BenchOptions } from "../studies/bench.js";
import { resolvers } from "./input.js";
import type { Job } from "./pool.js";

/** What a worker is started with. */
export interface WorkerTask {
  readonly text: string;
  readonly name: string;
  /** Where the texts and pictures are that the design brings. */
  readonly folder: string;
  readonly options: BenchOptions;
}

const { text, name, folder, options } = workerData as WorkerTask;
const bench = new Bench(compile(text, { name, ...resolvers(folder) }), options);
const port = parentPort!;
port.postMessage({ fingerprint: bench.subject.fingerprint });
port.on("message", (jobs: readonly Job[]) => {
  for (const { id, places } of jobs) port.postMessage({ id, measured: bench.at(places) });
});
