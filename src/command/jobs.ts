// Jobs by their numbers, one after the other in this thread or side by side in several.
// Each result is taken as it comes; with any number of threads the same ones come. Little work is done in this thread, since
// others take a while to start.
import { availableParallelism } from "node:os";
import type { Bar } from "./bar.js";
import { interruptible } from "./interrupt.js";
import type { Pool } from "./pool.js";
import type { CasesTask, StudyTask } from "./worker.js";

/** Work from which on threads are worth it: a few tenths of a second. */
const worthwhile = 2e6;

/** What is to be done. */
interface JobsOptions<R> {
  /** Their numbers. */
  readonly ids: readonly number[];
  /** How many at a time, where it was asked for. */
  readonly workers: number | undefined;
  /** An estimate of all the work: corners of signals times parts. */
  readonly work: number;
  /** Jobs that a thread is given at a time. */
  readonly inHand: number;
  /** What a thread is started with. */
  readonly task: CasesTask | StudyTask;
  /** Does a job in this thread. */
  perform(id: number): R | Promise<R>;
  /** Told of each result. */
  take(id: number, result: R): void | Promise<void>;
  /** Told of each job that ended its threads every time. */
  lost(id: number, reason: string): void;
}

/** Jobs to do. */
export class Jobs<R> {
  private pool: Pool<{ readonly id: number }, R> | undefined;
  private over = false;

  constructor(private readonly options: JobsOptions<R>) {}

  /** Does them all, unless it is cancelled on the way. */
  async run(): Promise<void> {
    const { ids, workers, work, inHand, task, perform, take, lost } = this.options;
    const threads = Math.min(ids.length, workers ?? (work < worthwhile ? 1 : availableParallelism()));
    if (threads <= 1) {
      for (const id of ids) {
        if (this.over) return;
        await take(id, await perform(id));
        // A signal is heard between two jobs only.
        await new Promise(setImmediate);
      }
      return;
    }
    // Loaded only here, since most designs do without.
    const [{ Pool }, { threadsFor }] = await Promise.all([import("./pool.js"), import("./threads.js")]);
    this.pool = new Pool({ workers: threads, inHand, hire: threadsFor(task), done: take, lost });
    try {
      await this.pool.run(ids.map((id) => ({ id })));
    } finally {
      this.pool.close();
    }
  }

  /** The same until Ctrl-C; true where that came. */
  interruptible(bar: Bar): Promise<boolean> {
    return interruptible(
      bar,
      () => this.run(),
      () => this.cancel(),
    );
  }

  /** Ends it; what has come is kept. */
  cancel(): void {
    this.over = true;
    this.pool?.cancel();
  }
}
