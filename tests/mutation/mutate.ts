// `npm run mutate -- [--count N] [--seed N] [--seconds N] [--only WORD] [--group NAME] [--again [--by WORD,WORD]]`: a seeded sample of mutants in
// measures, quantities and modes, each before those tests that come by it, the cheapest first, until one fails. Leaves
// out/mutation.json, and goes on where it ended, with those whose file has changed since anew; `--again` tries those that survived once more, after tests were added, `--by` before
// those of some files alone. `--group` tries those of one group, and so needs none of the tests of the others. A mutant that no test kills is a survivor; tests/mutation/survivors.json says why it does, where
// somebody knows.
//
// All mutants stand in one text, each behind a switch (mutants.ts), and tests run in this process (bundles.ts): a mutant costs what
// its tests cost and the loading of a fresh copy. What a test costs is counted in turns of the loops of the library, not by a clock.
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import fc from "fast-check";
import { type Bundle, bundled, type Job, under } from "./bundles.js";
import { mutantsOf } from "./mutants.js";

const text = (name: string) => {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? undefined : process.argv[at + 1];
};
const by = text("by");
const inGroup = text("group");

const folder = (path: string) =>
  readdirSync(path)
    .filter((file) => file.endsWith(".ts"))
    .map((file) => `${path}/${file}`);

/** What is mutated. */
const groups = [
  { name: "measures", files: folder("src/measures") },
  {
    name: "quantities",
    files: ["quantity", "fraction", "dimension", "series"].map((file) => `src/base/${file}.ts`),
  },
  {
    name: "modes",
    files: ["modes", "flips", "trial", "rivals", "nomode", "timers"].map((f) => `src/stepping/${f}.ts`),
  },
] as const;

/** The tests that look at each, besides those of whole boards and of the command. */
const looking: Readonly<Record<string, RegExp>> = {
  measures: /^tests\/measures\//,
  quantities: /^tests\/base\//,
  modes: /^tests\/(parts|stepping|numerics|simulation)\//,
};
const tests = [
  ...["measures", "base", "parts", "stepping", "simulation"].flatMap((room) => folder(`tests/${room}`)),
  ...["timers", "flips", "fitting", "events", "start"].map((name) => `tests/numerics/${name}.test.ts`),
].filter(
  (file) =>
    /\.test\.ts$/.test(file) &&
    (inGroup === undefined || looking[inGroup].test(file)) &&
    (by === undefined || by.split(",").some((word) => file.includes(word))) &&
    // Much work each, for few tests that are cheap enough to be run again and again.
    !/(kinds|crossing|judged|repeats|growth|outputs|added|asynchronous|limits|algebra|sines)\.test/.test(
      file,
    ),
);

/** A test that takes more turns of loops than that, some seconds, is left out. */
const mostTicks = 3e6;
/** Of all the tests of a mutant as many as take so many turns together, some seconds: the cheapest. */
const mostTogether = 2e7;
/** So many times the turns that it takes without a mutant, and some more, end a test: few, since whole numbers may grow with each. */
const patience = (ticks: number) => 20 * ticks + 5_000;

interface Outcome {
  readonly file: string;
  readonly line: number;
  readonly what: string;
  readonly whole: string;
  /** Which of those alike in its file, and a digest of the file that it was tried in. */
  readonly nth: number;
  readonly of: string;
  readonly group: string;
  readonly end: "killed" | "survived" | "timed out";
  /** The test that failed. */
  readonly by?: string;
  /** How many tests came by it. */
  readonly met: number;
}

/** A test, and what it came by without a mutant. */
interface Known {
  readonly bundle: Bundle;
  readonly index: number;
  readonly name: string;
  readonly ticks: number;
  readonly hit: Uint8Array;
}

const option = (name: string, otherwise: number) => {
  const number = Number(text(name) ?? otherwise);
  if (!(number > 0)) throw new Error(`--${name}: a number above zero`);
  return number;
};

/** A mutant of the sample, told from all others by what does not change with the rest of its file. */
interface Drawn extends Job {
  readonly nth: number;
  readonly of: string;
}

const digest = (text: string) => createHash("sha1").update(text).digest("hex").slice(0, 10);
const keyOf = ({ file, whole, what, nth }: Pick<Drawn, "file" | "whole" | "what" | "nth">) =>
  [file, whole, what, nth].join("\n");

/** The sample: by a digest of each mutant alone, so that an edit changes what it touches and leaves the rest in place. */
function sample(count: number, seed: number): Drawn[] {
  const all = groups.flatMap(({ name, files }) =>
    files.flatMap((file) => {
      const text = readFileSync(file, "utf8");
      const alike = new Map<string, number>();
      return mutantsOf(text).map((m) => {
        const nth = alike.get(m.whole + m.what) ?? 0;
        alike.set(m.whole + m.what, nth + 1);
        return { ...m, file, group: name as string, nth, of: digest(text) };
      });
    }),
  );
  const place = new Map(all.map((m) => [m, digest(`${seed} ${keyOf(m)}`)]));
  return all
    .sort((a, b) => (place.get(a)! < place.get(b)! ? -1 : 1))
    .slice(0, count)
    .map((m, k) => ({ ...m, id: k + 1 }));
}

/** Runs all tests once without a mutant. */
async function known(bundles: readonly Bundle[], mutants: number): Promise<Known[]> {
  const found: Known[] = [];
  for (const bundle of bundles) {
    let ready: ReturnType<Bundle["tests"]> = [];
    const loading = await under(0, Number.POSITIVE_INFINITY, mutants, () => {
      ready = bundle.tests();
    });
    if (loading.thrown) throw loading.thrown;
    for (const [index, { name, run }] of ready.entries()) {
      const { hit, ticks, thrown } = await under(0, Number.POSITIVE_INFINITY, mutants, run);
      if (thrown) throw new Error(`${bundle.file}: ${name} fails without a mutant: ${thrown}`);
      // What is done while the file is loaded every test of it has come by.
      const all = hit.map((h, k) => h | loading.hit[k]);
      found.push({ bundle, index, name, ticks: ticks + loading.ticks, hit: all });
    }
  }
  return found.sort((a, b) => a.ticks - b.ticks);
}

/** Puts a mutant before its tests. */
async function tried(job: Drawn, all: readonly Known[], mutants: number): Promise<Outcome> {
  const { file, line, what, whole, group, id, nth, of } = job;
  let together = 0;
  const own = all.filter((t) => {
    if (!t.hit[id] || !looking[group].test(t.bundle.file)) return false;
    if (t.ticks > mostTicks || together > mostTogether) return false;
    together += t.ticks;
    return true;
  });
  const outcome = { file, line, what, whole, nth, of, group, met: own.length };
  const loaded = new Map<Bundle, ReturnType<Bundle["tests"]>>();
  for (const test of own) {
    const done = await under(id, patience(test.ticks), mutants, () => {
      if (!loaded.has(test.bundle)) loaded.set(test.bundle, test.bundle.tests());
      return loaded.get(test.bundle)![test.index].run();
    });
    const by = `${test.bundle.file}: ${test.name}`;
    if (done.endless) return { ...outcome, end: "timed out", by };
    if (done.thrown) return { ...outcome, end: "killed", by };
  }
  return { ...outcome, end: "survived" };
}

const [seconds, count, seed] = [option("seconds", 36_000), option("count", 620), option("seed", 1953)];
const only = text("only");
fc.configureGlobal({ seed: 1, endOnFailure: true });
mkdirSync("out", { recursive: true });
const jobs = sample(count, seed);
const all = await known(await bundled(tests, jobs), jobs.length);
const cpu = () => process.cpuUsage().user / 1e6;
console.log(`${all.length} tests; ${cpu().toFixed(0)} s of computing before the first mutant`);
const log = `out/mutation${seed === 1953 ? "" : `-${seed}`}.json`;
const again = process.argv.includes("--again");
/** Some files alone: nothing is kept of it, but of those that are tried again. */
const scratch = only !== undefined && !again;
const kept: { seed: number; count: number; computing: number; outcomes: Outcome[] } =
  existsSync(log) && !scratch
    ? JSON.parse(readFileSync(log, "utf8"))
    : { seed, count: jobs.length, computing: 0, outcomes: [] };
const [begun, computed] = [cpu(), kept.computing];
const before = new Map(kept.outcomes.map((o) => [keyOf(o), o]));
const now = new Map<string, Outcome>();
for (const job of scratch ? [] : jobs) {
  const met = before.get(keyOf(job));
  if (met?.of === job.of) now.set(keyOf(job), { ...met, line: job.line });
}
let tries = 0;
for (const job of jobs) {
  if (cpu() > seconds) break;
  if (only && !job.file.includes(only)) continue;
  if (inGroup && job.group !== inGroup) continue;
  const met = now.get(keyOf(job));
  if (met && !(again && met.end === "survived")) continue;
  // By some tests alone nothing can be said of one that is tried for the first time.
  if (by && !met) continue;
  const outcome = await tried(job, all, jobs.length);
  // Of some tests alone a survivor says nothing new.
  if (!(by && met && outcome.end === "survived")) now.set(keyOf(job), outcome);
  tries++;
  if (outcome.end === "survived")
    console.log(`survived (${outcome.met} tests): ${job.file}:${job.line}: ${job.what}   | ${job.whole}`);
  kept.computing = computed + cpu() - begun;
  kept.outcomes = [...now.values()];
  if (!scratch) writeFileSync(log, `${JSON.stringify(kept, null, 1)}\n`);
}
const survived = kept.outcomes.filter((o) => o.end === "survived").length;
console.log(`${kept.outcomes.length} of ${jobs.length} mutants, ${survived} survived`);
console.log(`${((cpu() - begun) / Math.max(1, tries)).toFixed(2)} s of computing for a mutant`);
