// The pool of workers: every job once, whatever the workers do. With workers of the test's own, which end when told to, and
// with real threads that do.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { describe, expect, it } from "vitest";
import { line } from "../../src/command/bar.js";
import { Pool, type PoolOptions, type WorkerEars, type WorkerHandle } from "../../src/command/pool.js";
import { threadsFor } from "../../src/command/threads.js";
import type { PlacesJob } from "../../src/command/worker.js";
import type { Measured } from "../../src/spread/experiment.js";
import { folder } from "./running.js";

const jobs = (n: number): PlacesJob[] => Array.from({ length: n }, (_, id) => ({ id, places: [id] }));
const measured = (id: number) => ({ measured: [2 * id], values: [2 * id] });

/** Counts what comes out of a pool. */
function counting(workers: number, hire: PoolOptions<PlacesJob, Measured>["hire"]) {
  const results = new Map<number, number>();
  const twice: number[] = [];
  const lost: number[] = [];
  const pool = new Pool<PlacesJob, Measured>({
    workers,
    hire,
    done: (id, { measured: [value] }) => {
      if (results.has(id)) twice.push(id);
      results.set(id, value);
    },
    lost: (id) => lost.push(id),
  });
  const sound = (n: number) => {
    expect(twice).toEqual([]);
    const all = [...results.keys(), ...lost].sort((a, b) => a - b);
    expect(all).toEqual(jobs(n).map((j) => j.id));
    for (const [id, value] of results) expect(value).toBe(2 * id);
  };
  return { pool, results, lost, sound };
}

/**
 * Workers that do one job a tick; `ends` says where one ends in place of a result (its own number, and the job).
 * @param after true: it ends just after it has sent the result
 */
function hands(ends: (worker: number, id: number) => boolean, after = false) {
  let hired = 0;
  const hire = (told: WorkerEars<Measured>): WorkerHandle<PlacesJob> => {
    const worker = hired++;
    const queue: PlacesJob[] = [];
    let [busy, gone] = [false, false];
    const step = () => {
      const job = queue.shift();
      busy = job !== undefined && !gone;
      if (!job || gone) return;
      const end = ends(worker, job.id);
      if (!end || after) told.result(job.id, measured(job.id));
      if (end) {
        gone = true;
        told.ended("it was told to");
      } else setImmediate(step);
    };
    return {
      send(more) {
        queue.push(...more);
        if (!busy) {
          busy = true;
          setImmediate(step);
        }
      },
      stop() {
        gone = true;
      },
    };
  };
  return { hire, hired: () => hired };
}

describe("a pool", () => {
  it.each([
    [1, 1],
    [1, 100],
    [4, 3],
    [4, 1000],
  ])("of %i workers does %i jobs once each", async (workers, n) => {
    const { hire, hired } = hands(() => false);
    const { pool, sound, lost } = counting(workers, hire);
    await pool.run(jobs(n));
    sound(n);
    expect(lost).toEqual([]);
    expect(hired()).toBe(Math.min(workers, Math.max(1, Math.ceil(n / 4))));
    // Again with the same workers, and with nothing to do.
    await pool.run([]);
    pool.close();
  });

  it("gives each worker one job at a time where it is told to", async () => {
    const { hire, hired } = hands(() => false);
    const { pool, sound } = counting(4, hire);
    await pool.run(jobs(3), 1);
    expect(hired()).toBe(3);
    // What follows is done by the same workers and one more.
    await pool.run(jobs(100).slice(3));
    sound(100);
    expect(hired()).toBe(4);
    pool.close();
  });

  it.each([false, true])(
    "runs the jobs of a worker that ends again (after its result: %s)",
    async (after) => {
      // Every third worker ends at its seventh job.
      const seen = new Map<number, number>();
      const { hire, hired } = hands((worker) => {
        seen.set(worker, (seen.get(worker) ?? 0) + 1);
        return worker % 3 === 0 && seen.get(worker) === 7;
      }, after);
      const { pool, sound, lost } = counting(3, hire);
      await pool.run(jobs(500));
      sound(500);
      expect(lost).toEqual([]);
      expect(hired()).toBeGreaterThan(3);
    },
  );

  it("gives a job up that ends three workers, and does all others", async () => {
    let tried = 0;
    const { hire } = hands((_, id) => {
      if (id === 41) tried++;
      return id === 41;
    });
    const { pool, sound, lost } = counting(2, hire);
    await pool.run(jobs(200));
    sound(200);
    expect(lost).toEqual([41]);
    expect(tried).toBe(3);
  });

  it("stops where workers end one after the other without doing anything", async () => {
    const { hire, hired } = hands(() => true);
    const { pool, results } = counting(2, hire);
    await expect(pool.run(jobs(1000))).rejects.toThrow(/one after the other: it was told to/);
    expect(results.size).toBe(0);
    expect(hired()).toBeLessThan(20);
  });

  it("cancelled half way keeps what has come, and nothing comes after", async () => {
    const { hire } = hands(() => false);
    const { pool, results } = counting(3, (told) =>
      hire({
        ...told,
        result: (id, m) => {
          told.result(id, m);
          if (id === 50) pool.cancel();
        },
      }),
    );
    await pool.run(jobs(10_000));
    const kept = results.size;
    expect(kept).toBeGreaterThan(40);
    expect(kept).toBeLessThan(100);
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect(results.size).toBe(kept);
  });
});

describe("threads", () => {
  const task = { text: "", name: "", folder: ".", options: {} };
  /** A thread that ends as told at jobs 9, 25, 41 and 57, each the first time that it is met by any. */
  const thread = (ends: string) => {
    const path = folder();
    const file = join(path, "thread.mjs");
    writeFileSync(
      file,
      `import { existsSync, writeFileSync } from "node:fs";
import { parentPort } from "node:worker_threads";
parentPort.postMessage({ fingerprint: "same" });
parentPort.on("message", (jobs) => {
  for (const { id } of jobs) {
    const mark = ${JSON.stringify(path)} + "/met" + id;
    if (id % 16 === 9 && !existsSync(mark)) {
      writeFileSync(mark, "");
      ${ends};
    }
    parentPort.postMessage({ id, result: { measured: [2 * id], values: [2 * id] } });
  }
});`,
    );
    return pathToFileURL(file);
  };

  it.each(["process.exit(7)", "throw new Error('broken')"])(
    "a thread that meets %s: its trials are run again, none lost or counted twice",
    async (ends) => {
      const { pool, sound, lost } = counting(2, threadsFor(task, "same", thread(ends)));
      await pool.run(jobs(60));
      pool.close();
      sound(60);
      expect(lost).toEqual([]);
    },
  );

  it("a thread that finds another design is not listened to", async () => {
    const { pool, lost, results } = counting(1, threadsFor(task, "other", thread("")));
    await expect(pool.run(jobs(50))).rejects.toThrow(/has changed/);
    expect([results.size, lost.length < 50]).toEqual([0, true]);
  });
});

describe("the bar of progress", () => {
  it("says how much is done, and about how long it takes yet", () => {
    expect(line(0, 100, "trials", 0)).toBe(`${".".repeat(24)} 0 of 100 trials`);
    expect(line(25, 100, "trials", 5)).toBe(
      `${"#".repeat(6)}${".".repeat(18)} 25 of 100 trials, about 15 s left`,
    );
    expect(line(100, 100, "trials", 60)).toBe(`${"#".repeat(24)} 100 of 100 trials`);
    expect(line(1, 100, "trials", 50)).toMatch(/about 83 min left/);
  });
});
