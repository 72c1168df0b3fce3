// A pool of workers that share jobs: places to measure, cases to run. A job whose worker ends before its result arrives is
// repeated by another worker, at most three times in all, so that none is lost and none counts twice. It is then done alone,
// since a worker that ends does not say during which job. When the pool is cancelled, what is in hand is dropped and what has
// arrived is kept.
import { EarlyEnd, status } from "./refusal.js";

/** A job, by its number. */
export interface Job {
  readonly id: number;
}

/** A job with the results that it builds on. */
export interface BuiltJob extends Job {
  readonly given?: readonly (readonly [id: number, result: unknown])[];
}

/** What a worker reports: the result of a job, or that it has ended. */
export interface WorkerEars<R> {
  result(id: number, result: R): void;
  ended(reason: string): void;
}

/** A running worker. */
export interface WorkerHandle<J extends Job> {
  /** Passes on jobs, to be done in this order. */
  send(jobs: readonly J[]): void;
  /** Ends it, whatever it is doing. */
  stop(): void;
}

/** How to run a pool. */
export interface PoolOptions<J extends Job, R> {
  readonly workers: number;
  /** Jobs that a worker has in hand; default: enough to keep it busy, few enough that all end at the same time. */
  readonly inHand?: number;
  /** Gets a worker. */
  readonly hire: (told: WorkerEars<R>) => WorkerHandle<J>;
  /** Called with each result. */
  readonly done: (id: number, result: R) => void;
  /** Called for each job that ended its worker at every attempt, with how the last one ended. */
  readonly lost: (id: number, reason: string) => void;
}

/** Jobs in hand unless given. */
const usual = 4;
/** Attempts at a job. */
const tries = 3;

interface Seat<J extends Job> {
  readonly hand: WorkerHandle<J>;
  readonly jobs: J[];
  ended: boolean;
}

/** Workers that share jobs. */
export class Pool<J extends Job, R> {
  private readonly seats = new Set<Seat<J>>();
  private readonly again: J[] = [];
  private readonly failed = new Map<number, number>();
  private source: Iterator<J> = [][Symbol.iterator]();
  private finish: (error?: Error) => void = () => undefined;
  /** Workers that have ended since the last result. */
  private endings = 0;
  private over = true;
  private inHand = usual;

  constructor(private readonly options: PoolOptions<J, R>) {}

  /**
   * Does the jobs; resolves when all are done or lost, or the pool is cancelled.
   * @param inHand see `PoolOptions`
   * @throws EarlyEnd if workers end one after the other without doing anything
   */
  async run(jobs: Iterable<J>, inHand = this.options.inHand ?? usual): Promise<void> {
    this.inHand = inHand;
    this.source = jobs[Symbol.iterator]();
    this.over = false;
    this.endings = 0;
    this.failed.clear();
    await new Promise<void>((resolve, reject) => {
      this.finish = (error) => {
        this.over = true;
        if (error) reject(error);
        else resolve();
      };
      for (const seat of this.seats) this.give(seat);
      this.fill();
      this.look();
    });
  }

  /** Ends the current run; what has arrived is kept. */
  cancel(): void {
    if (this.over) return;
    this.finish();
    this.close();
  }

  /** Stops all workers. */
  close(): void {
    for (const seat of this.seats) {
      seat.ended = true;
      seat.hand.stop();
    }
    this.seats.clear();
  }

  private next(): J | undefined {
    const job = this.again.shift();
    if (job) return job;
    const { done, value } = this.source.next();
    return done ? undefined : value;
  }

  // Hires workers as long as there is work for them.
  private fill(): void {
    while (!this.over && this.seats.size < this.options.workers) {
      const first = this.next();
      if (!first) return;
      this.again.unshift(first);
      const told: WorkerEars<R> = {
        result: (id, result) => this.result(seat, id, result),
        ended: (reason) => this.ended(seat, reason),
      };
      const seat: Seat<J> = { hand: this.options.hire(told), jobs: [], ended: false };
      this.seats.add(seat);
      this.give(seat);
    }
  }

  private give(seat: Seat<J>): void {
    const { inHand } = this;
    // Refilled when half of them are done, so that not every result is answered with a message.
    if (seat.jobs.length > inHand / 2 || seat.jobs.some((job) => this.failed.has(job.id))) return;
    const jobs: J[] = [];
    while (seat.jobs.length + jobs.length < inHand) {
      const job = this.next();
      if (!job) break;
      const alone = this.failed.has(job.id);
      if (alone && seat.jobs.length + jobs.length > 0) {
        this.again.unshift(job);
        break;
      }
      jobs.push(job);
      if (alone) break;
    }
    if (jobs.length === 0) return;
    seat.jobs.push(...jobs);
    seat.hand.send(jobs);
  }

  private look(): void {
    if (this.over || this.again.length > 0) return;
    if ([...this.seats].every((seat) => seat.jobs.length === 0)) this.finish();
  }

  private result(seat: Seat<J>, id: number, result: R): void {
    const at = seat.jobs.findIndex((job) => job.id === id);
    if (seat.ended || at < 0 || this.over) return;
    seat.jobs.splice(at, 1);
    this.endings = 0;
    this.options.done(id, result);
    this.give(seat);
    this.look();
  }

  private ended(seat: Seat<J>, reason: string): void {
    if (seat.ended) return;
    seat.ended = true;
    this.seats.delete(seat);
    if (this.over) return;
    for (const job of seat.jobs.splice(0)) {
      const times = (this.failed.get(job.id) ?? 0) + 1;
      this.failed.set(job.id, times);
      if (times < tries) this.again.push(job);
      else this.options.lost(job.id, reason);
    }
    if (++this.endings > tries * this.options.workers + tries) {
      this.finish(new EarlyEnd(`the workers end one after the other: ${reason}`, status.stopped));
      this.close();
      return;
    }
    this.fill();
    for (const other of this.seats) if (other.jobs.length === 0) this.give(other);
    this.look();
  }
}
