// `npm run fuzz -- --seconds N [--texts | --circuits | --peers | --studies] [--from SEED]`: hostile texts, circuits of all kinds,
// circuits beside a solver of another make, and all that can be asked of a text that is a design, seed after seed, going on where the last run ended. A thread works; what hangs is ended
// and told. Leaves its counts in out/fuzz.json and every input that is wrong in out/fuzz/. Exits 1 where there is one.
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { isMainThread, parentPort, Worker, workerData } from "node:worker_threads";
import { inspect } from "../../src/index.js";
import { circuit } from "./circuits.js";
import { type Judged, judgeCircuit, judgeDesign, judgeText } from "./judge.js";
import { judgePeer, peerText } from "./peer.js";
import { judgeStudied } from "./studies.js";
import { beginWith, hostile } from "./texts.js";

const sorts = ["texts", "circuits", "peers", "studies"] as const;
type Sort = (typeof sorts)[number];

/** What was counted of a sort, over all runs. */
interface Count {
  next: number;
  tried: number;
  ends: Record<string, number>;
  faults: { seed: number; faults: readonly string[] }[];
  slowest: { seed: number; seconds: number };
}

interface Told {
  readonly sort: Sort;
  readonly seed: number;
  readonly judged: Judged;
}

/** Seconds of computing that an input may take, and after which a thread is ended. */
const allowed = { each: 2, hang: 20 };

const make: Record<Sort, (seed: number) => string> = {
  texts: hostile,
  circuits: (seed) => circuit(seed).text,
  peers: peerText,
  studies: hostile,
};

function judge(sort: Sort, seed: number): Judged {
  if (sort === "peers") return judgePeer(seed);
  if (sort === "circuits") return judgeCircuit(circuit(seed));
  const text = hostile(seed);
  if (sort === "studies") return judgeStudied(text);
  const judged = judgeText(text);
  if (judged.end !== "design" || text.length > 4000) return judged;
  const ran = judgeDesign(inspect(text).design!, "200 us");
  return {
    faults: [...judged.faults, ...ran.faults],
    end: ran.end,
    seconds: judged.seconds + ran.seconds,
  };
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

function work({ sort, from, now }: { sort: Sort; from: number; now: SharedArrayBuffer }): void {
  begin();
  const at = new Int32Array(now);
  for (let seed = from; at[1] === 0; seed++) {
    Atomics.store(at, 0, seed);
    let judged: Judged;
    try {
      judged = judge(sort, seed);
    } catch (error) {
      const words =
        error instanceof Error ? (error.stack ?? error.message).split("\n").slice(0, 4) : [String(error)];
      judged = { faults: [`escaped: ${words.join(" | ")}`], end: "escaped", seconds: 0 };
    }
    parentPort!.postMessage({ sort, seed, judged } satisfies Told);
  }
}

function read(): Record<Sort, Count> {
  const none = (): Count => ({ next: 1, tried: 0, ends: {}, faults: [], slowest: { seed: 0, seconds: 0 } });
  const kept = existsSync("out/fuzz.json") ? JSON.parse(readFileSync("out/fuzz.json", "utf8")) : {};
  return { texts: none(), circuits: none(), peers: none(), studies: none(), ...kept };
}

/** One sort for so many seconds. */
async function run(sort: Sort, seconds: number, count: Count): Promise<number> {
  const end = performance.now() + seconds * 1000;
  let found = 0;
  const wrong = (seed: number, faults: readonly string[]) => {
    found++;
    count.faults.push({ seed, faults });
    console.log(`${sort} ${seed}: ${faults.join("; ")}`);
    writeFileSync(`out/fuzz/${sort}-${seed}.ramp`, make[sort](seed));
  };
  while (performance.now() < end) {
    const now = new SharedArrayBuffer(8);
    const at = new Int32Array(now);
    const worker = new Worker(new URL(import.meta.url), { workerData: { sort, from: count.next, now } });
    let heard = process.cpuUsage();
    let silent = true;
    worker.on("message", ({ seed, judged }: Told) => {
      const { seconds: took } = judged;
      silent = false;
      count.next = seed + 1;
      count.tried++;
      count.ends[judged.end] = (count.ends[judged.end] ?? 0) + 1;
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
      begin();
      wrong(at[0], [hang]);
      count.next = at[0] + 1;
      count.tried++;
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
  begin();
  let found = 0;
  for (const sort of wanted) {
    const counts = read();
    const count = counts[sort];
    if (option("from") !== undefined) count.next = Number(option("from"));
    const from = count.next;
    found += await run(sort, seconds / wanted.length, count);
    // Read anew: another sort may have been at work beside this one.
    writeFileSync("out/fuzz.json", `${JSON.stringify({ ...read(), [sort]: count }, null, 1)}\n`);
    const { seed, seconds: took } = count.slowest;
    console.log(
      `${sort}: seeds ${from} to ${count.next - 1}, ${count.tried} in all, slowest ${took.toFixed(2)} s (seed ${seed})`,
    );
    console.log(`  ${JSON.stringify(count.ends)}`);
  }
  process.exitCode = found > 0 ? 1 : 0;
}

if (isMainThread) await main();
else work(workerData);
