// Jobs by number, one after the other in this thread or in parallel in several.
// Each result is taken as it comes; the results are the same with any number of threads. A little work is done in this thread,
// since others take a while to start.
import { availableParallelism } from "node:os";
import type { Bar } from "./bar.js";
import { interruptible } from "./interrupt.js";
import type { BuiltJob, Pool } from "./pool.js";
import type { CasesTask, StudyTask } from "./worker.js";

/** Work above which threads pay: a few tenths of a second. */
const worthwhile = 2e6;

/** What is to be done. */
interface JobsOptions<R> {
  /** The numbers of the jobs. */
  readonly ids: readonly number[];
  /** Those that all others build on, whether they are among them or not: each thread is given their results. */
  readonly first?: readonly number[];
  /** How many at a time, if it was asked for. */
  readonly workers: number | undefined;
  /** An estimate of the total work: corners of signals times parts. */
  readonly work: number;
  /** Jobs given to a thread at a time. */
  readonly inHand: number;
  /** What a thread is started with. */
  readonly task: CasesTask | StudyTask;
  /** Does a job in this thread. */
  perform(id: number): R | Promise<R>;
  /** Called with each result. */
  take(id: number, result: R): void | Promise<void>;
  /** Called for each job that ended its thread at every attempt. */
  lost(id: number, reason: string): void;
}

/** A set of jobs. */
export class Jobs<R> {
  private pool: Pool<BuiltJob, R> | undefined = undefined;
  private over = false;

  constructor(private readonly options: JobsOptions<R>) {}

  /** Does them all, unless cancelled. */
  async run(): Promise<void> {
    const { ids, workers, work, inHand, task, perform, take, lost, first = [] } = this.options;
    const threads = Math.min(ids.length, workers ?? (work < worthwhile ? 1 : availableParallelism()));
    if (threads <= 1) {
      for (const id of ids) {
        if (this.over) return;
        await take(id, await perform(id));
        // Signals are only handled between two jobs.
        await new Promise(setImmediate);
      }
      return;
    }
    // Loaded on demand, since most designs do without.
    const [{ Pool }, { threadsFor }] = await Promise.all([import("./pool.js"), import("./threads.js")]);
    const given: [number, unknown][] = [];
    const asked = new Set(ids);
    const done = (id: number, result: R) => {
      if (first.includes(id)) given.push([id, result]);
      return asked.has(id) ? take(id, result) : undefined;
    };
    this.pool = new Pool({ workers: threads, inHand, hire: threadsFor(task), done, lost });
    try {
      // One at a time to each thread, so that all of them share these.
      if (first.length > 0)
        await this.pool.run(
          first.map((id) => ({ id })),
          1,
        );
      const rest = ids.filter((id) => !first.includes(id));
      if (!this.over) await this.pool.run(rest.map((id) => (given.length > 0 ? { id, given } : { id })));
    } finally {
      this.pool.close();
    }
  }

  /** The same, with Ctrl-C to cancel; true if it was. */
  interruptible(bar: Bar): Promise<boolean> {
    return interruptible(
      bar,
      () => this.run(),
      () => this.cancel(),
    );
  }

  /** Cancels; what is done is kept. */
  cancel(): void {
    this.over = true;
    this.pool?.cancel();
  }
}
