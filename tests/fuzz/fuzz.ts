// `npm run fuzz -- --seconds N [--texts | --circuits | --peers | --studies] [--from SEED | --again]`: hostile texts, circuits of all
// kinds, circuits beside a solver of another make, and all that can be asked of a text that is a design, seed after seed, going on
// where the last run ended. `--again`: those that were wrong; what is right now is no longer told. A thread works; what hangs is
// ended and told. Keeps its counts, with the source that they were taken of, in tests/fuzz/counted, and leaves every input that is
// wrong in out/fuzz. Exits 1 where there is one.
import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { isMainThread, parentPort, Worker, workerData } from "node:worker_threads";
import { circuit } from "./circuits.js";
import { type Judged, judgeCircuit, judgeDesignText } from "./judge.js";
import { judgePeer, peerText } from "./peer.js";
import { judgeStudied } from "./studies.js";
import { beginWith, hostile, long } from "./texts.js";

const sorts = ["texts", "circuits", "peers", "studies"] as const;
type Sort = (typeof sorts)[number];

/** What was counted of a sort, over all runs. */
interface Count {
  next: number;
  tried: number;
  ends: Record<string, number>;
  faults: { seed: number; faults: readonly string[] }[];
  slowest: { seed: number; seconds: number };
  /** How many were tried of which commit. */
  sources: Record<string, number>;
}

interface Told {
  readonly sort: Sort;
  readonly seed: number;
  readonly judged: Judged;
}

/** Seconds of computing that an input may take, and after which a thread is ended. */
const allowed = { each: 2, hang: 20 };

/** The end of a text that was judged before. */
const metBefore = "met before";
/** Seconds after which the counts are written, so that an end from outside loses little. */
const written = 30;

const make: Record<Sort, (seed: number) => string> = {
  texts: hostile,
  circuits: (seed) => circuit(seed).text,
  peers: peerText,
  studies: hostile,
};

function judge(sort: Sort, seed: number): Judged {
  if (sort === "peers") return judgePeer(seed);
  if (sort === "circuits") return judgeCircuit(circuit(seed));
  return sort === "studies"
    ? judgeStudied(hostile(seed))
    : once(hostile(seed), (text) => judgeDesignText(text, seed % long === 0));
}

const met = new Set<string>();

/** Some texts that are long come again and again: they are judged once, and counted once. */
function once(text: string, judging: (text: string) => Judged): Judged {
  const key = createHash("sha1").update(text).digest("base64");
  if (met.has(key)) return { faults: [], end: metBefore, seconds: 0 };
  met.add(key);
  return judging(text);
}

/** Every text that damage may begin with: the examples, and what was found before. */
function begin(): void {
  const folders = ["examples", "examples/blocks", "tests/fuzz/corpus"];
  beginWith(
    folders.flatMap((folder) =>
      readdirSync(folder)
        .filter((file) => file.endsWith(".ramp"))
        .map((file) => readFileSync(`${folder}/${file}`, "utf8")),
    ),
  );
}

interface Work {
  readonly sort: Sort;
  readonly from: number;
  /** In place of all from there on. */
  readonly seeds?: readonly number[];
  readonly now: SharedArrayBuffer;
}

function* seedsOf({ from, seeds }: Work): Generator<number> {
  if (seeds) yield* seeds;
  else for (let seed = from; ; seed++) yield seed;
}

function work(task: Work): void {
  begin();
  // Half of what a mistake costs is its stack, which nobody reads: `--again` shows that of what escapes.
  if (!task.seeds) Error.stackTraceLimit = 0;
  const { sort } = task;
  const at = new Int32Array(task.now);
  for (const seed of seedsOf(task)) {
    if (at[1] !== 0) break;
    Atomics.store(at, 0, seed);
    let judged: Judged;
    try {
      const { faults, end, seconds } = judge(sort, seed);
      judged = { faults, end, seconds };
    } catch (error) {
      const words =
        error instanceof Error ? (error.stack ?? error.message).split("\n").slice(0, 4) : [String(error)];
      judged = { faults: [`escaped: ${words.join(" | ")}`], end: "escaped", seconds: 0 };
    }
    parentPort!.postMessage({ sort, seed, judged } satisfies Told);
  }
}

const fileOf = (sort: Sort) => `tests/fuzz/counted/${sort}.json`;

function read(sort: Sort): Count {
  const none: Count = {
    next: 1,
    tried: 0,
    ends: {},
    faults: [],
    slowest: { seed: 0, seconds: 0 },
    sources: {},
  };
  return existsSync(fileOf(sort)) ? { ...none, ...JSON.parse(readFileSync(fileOf(sort), "utf8")) } : none;
}

const write = (sort: Sort, count: Count) =>
  writeFileSync(fileOf(sort), `${JSON.stringify(count, null, 2)}\n`);

/** The commit that the sources are of. */
function source(): string {
  try {
    return execFileSync("git", ["rev-parse", "--short=10", "HEAD"], { encoding: "utf8" }).trim();
  } catch {
    return "unknown";
  }
}

/** Those that were wrong, once more. */
async function again(sort: Sort, count: Count): Promise<number> {
  const seeds = [...new Set(count.faults.map(({ seed }) => seed))];
  const kept = { ...count, faults: [] };
  const found = await run(sort, Number.POSITIVE_INFINITY, kept, seeds);
  count.faults = kept.faults;
  return found;
}

/** One sort for so many seconds. @param seeds those to try again, which count no further; absent: all that follow */
async function run(sort: Sort, seconds: number, count: Count, seeds?: readonly number[]): Promise<number> {
  const end = performance.now() + seconds * 1000;
  const commit = source();
  let found = 0;
  let left = seeds;
  const wrong = (seed: number, faults: readonly string[]) => {
    found++;
    count.faults.push({ seed, faults });
    console.log(`${sort} ${seed}: ${faults.join("; ")}`);
    writeFileSync(`out/fuzz/${sort}-${seed}.ramp`, make[sort](seed));
  };
  const tried = (seed: number, how: string) => {
    left = left?.filter((one) => one !== seed);
    if (seeds) return;
    count.next = seed + 1;
    count.ends[how] = (count.ends[how] ?? 0) + 1;
    if (how === metBefore) return;
    count.tried++;
    count.sources[commit] = (count.sources[commit] ?? 0) + 1;
  };
  let kept = performance.now();
  while (performance.now() < end && left?.length !== 0) {
    const now = new SharedArrayBuffer(8);
    const at = new Int32Array(now);
    const workerData: Work = { sort, from: count.next, now, ...(left && { seeds: left }) };
    const worker = new Worker(new URL(import.meta.url), { workerData });
    let heard = process.cpuUsage();
    let silent = true;
    worker.on("message", ({ seed, judged }: Told) => {
      const { seconds: took } = judged;
      silent = false;
      tried(seed, judged.end);
      if (took > count.slowest.seconds) count.slowest = { seed, seconds: took };
      const slow = took > allowed.each ? [`takes ${took.toFixed(1)} s`] : [];
      if (judged.faults.length + slow.length > 0) wrong(seed, [...judged.faults, ...slow]);
    });
    const ended = new Promise<string>((resolve) => {
      worker.on("error", (error) => resolve(error.message));
      worker.on("exit", () => resolve(""));
    });
    const hang = await new Promise<string | undefined>((resolve) => {
      const watch = setInterval(() => {
        if (performance.now() > end) at[1] = 1;
        if (!seeds && performance.now() - kept > written * 1000) {
          write(sort, count);
          kept = performance.now();
        }
        if (!silent) heard = process.cpuUsage();
        silent = true;
        const { user, system } = process.cpuUsage(heard);
        if (user + system > allowed.hang * 1e6) {
          clearInterval(watch);
          resolve(`hangs for ${allowed.hang} s`);
        }
      }, 250);
      void ended.then((reason) => {
        clearInterval(watch);
        resolve(reason === "" ? undefined : `ends its thread: ${reason}`);
      });
    });
    await worker.terminate();
    if (hang !== undefined) {
      wrong(at[0], [hang]);
      tried(at[0], "hung");
    }
  }
  return found;
}

async function main(): Promise<void> {
  const option = (name: string) => {
    const at = process.argv.indexOf(`--${name}`);
    return at < 0 ? undefined : process.argv[at + 1];
  };
  const chosen = sorts.filter((sort) => process.argv.includes(`--${sort}`));
  const wanted = chosen.length > 0 ? chosen : sorts;
  const seconds = Number(option("seconds") ?? 60);
  if (!(seconds > 0)) throw new Error("--seconds: a number above zero");
  mkdirSync("out/fuzz", { recursive: true });
  mkdirSync("tests/fuzz/counted", { recursive: true });
  begin();
  let found = 0;
  for (const sort of wanted) {
    const count = read(sort);
    if (process.argv.includes("--again")) found += await again(sort, count);
    else {
      if (option("from") !== undefined) count.next = Number(option("from"));
      found += await run(sort, seconds / wanted.length, count);
    }
    write(sort, count);
    const { seed, seconds: took } = count.slowest;
    console.log(
      `${sort}: ${count.tried} up to seed ${count.next - 1}, slowest ${took.toFixed(2)} s (seed ${seed})`,
    );
    console.log(`  ${JSON.stringify(count.ends)}`);
  }
  process.exitCode = found > 0 ? 1 : 0;
}

if (isMainThread) await main();
else work(workerData);
