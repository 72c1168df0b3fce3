// `npm run mutate -- --seconds N [--count N] [--seed N]`: a seeded sample of mutants in measures, quantities and modes, each before
// the tests of its file in a copy of the project. Runs for hours; goes on where it ended. Leaves out/mutation.json; a mutant
// that no test kills is a survivor, and is listed.
import { spawnSync } from "node:child_process";
import {
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { resolve } from "node:path";
import { Chance } from "../verify/chance.js";
import { type Mutant, mutantsOf, mutated } from "./mutants.js";

/** What is mutated, and which tests look at it. */
const groups = [
  { name: "measures", files: () => folder("src/measures"), tests: ["tests/measures"] },
  {
    name: "quantities",
    files: () => [
      "src/base/quantity.ts",
      "src/base/fraction.ts",
      "src/base/dimension.ts",
      "src/base/series.ts",
    ],
    tests: ["tests/base", "tests/design"],
  },
  {
    name: "modes",
    files: () =>
      folder("src/stepping").filter((f) => /(modes|flips|trial|rivals|nomode|timers)\.ts$/.test(f)),
    tests: ["tests/stepping", "tests/numerics/modes.test.ts"],
  },
] as const;

const folder = (path: string) => readdirSync(path).map((file) => `${path}/${file}`);

interface Job extends Mutant {
  readonly file: string;
  readonly group: string;
}
interface Outcome {
  readonly file: string;
  readonly line: number;
  readonly what: string;
  readonly group: string;
  readonly end: "killed" | "survived" | "timed out";
}

const option = (name: string, otherwise: number) => {
  const at = process.argv.indexOf(`--${name}`);
  const number = at < 0 ? otherwise : Number(process.argv[at + 1]);
  if (!(number > 0)) throw new Error(`--${name}: a number above zero`);
  return number;
};

/** The sample: the same for the same seed and sources. */
function sample(count: number, seed: number): Job[] {
  const all = groups.flatMap(({ name, files }) =>
    files().flatMap((file) =>
      mutantsOf(readFileSync(file, "utf8")).map((m): Job => ({ ...m, file, group: name })),
    ),
  );
  return new Chance(seed).shuffled(all).slice(0, count);
}

/** A copy of what the tests need, in which files are changed. */
function copied(place: string): void {
  rmSync(place, { recursive: true, force: true });
  mkdirSync(place, { recursive: true });
  for (const name of [
    "src",
    "tests",
    "examples",
    "shared",
    "grammar",
    ".ci",
    "package.json",
    "tsconfig.json",
  ])
    cpSync(name, `${place}/${name}`, { recursive: true });
  symlinkSync(resolve("node_modules"), `${place}/node_modules`);
  // Without the build that the project's own set-up makes: the tests in question run the sources.
  writeFileSync(
    `${place}/vitest.config.mjs`,
    'export default { test: { include: ["tests/**/*.test.ts"], isolate: false, bail: 1, testTimeout: 600000 } };\n',
  );
}

/** Runs tests in the copy; true where they pass. */
function passes(place: string, tests: readonly string[], milliseconds: number): boolean | undefined {
  const done = spawnSync(process.execPath, ["node_modules/vitest/vitest.mjs", "run", ...tests], {
    cwd: place,
    stdio: "ignore",
    timeout: milliseconds,
    killSignal: "SIGKILL",
  });
  return done.status === null ? undefined : done.status === 0;
}

const place = "out/mutation";
const [seconds, count, seed] = [option("seconds", 3600), option("count", 600), option("seed", 1953)];
copied(place);
const limits = new Map<string, number>();
for (const { name, tests } of groups) {
  const begun = performance.now();
  if (!passes(place, tests, 3_600_000)) throw new Error(`the tests of ${name} fail without a mutant`);
  // A mutant may loop for ever: some times what the tests take.
  limits.set(name, Math.ceil(5 * (performance.now() - begun)) + 30_000);
}
const log = "out/mutation.json";
const kept: { seed: number; count: number; outcomes: Outcome[] } = existsSync(log)
  ? JSON.parse(readFileSync(log, "utf8"))
  : { seed, count, outcomes: [] };
if (kept.seed !== seed) throw new Error(`${log} holds another sample; take it away first`);
const end = performance.now() + seconds * 1000;
for (const job of sample(count, seed).slice(kept.outcomes.length)) {
  if (performance.now() > end) break;
  const text = readFileSync(job.file, "utf8");
  writeFileSync(`${place}/${job.file}`, mutated(text, job));
  const passed = passes(place, groups.find((g) => g.name === job.group)!.tests, limits.get(job.group)!);
  writeFileSync(`${place}/${job.file}`, text);
  const { file, line, what, group } = job;
  const ending = passed === undefined ? "timed out" : passed ? "survived" : "killed";
  kept.outcomes.push({ file, line, what, group, end: ending });
  writeFileSync(log, `${JSON.stringify(kept, null, 1)}\n`);
  if (passed) console.log(`survived: ${file}:${line}: ${what}`);
}
const survived = kept.outcomes.filter((o) => o.end === "survived").length;
console.log(`${kept.outcomes.length} of ${count} mutants, ${survived} survived`);
