// `npm run figures`: the page of figures of the fuzzers, of branch coverage and of mutants, from what the scripts have left:
// tests/fuzz/counted (`npm run fuzz`), and in out/ coverage/coverage-summary.json (`npm run coverage`) and mutation.json (`npm run mutate`). Writes
// tests/fuzz/figures.md. What was not run is said to be missing; nothing is carried over from before.
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { resolve } from "node:path";
import { large } from "./circuits.js";
import { long } from "./texts.js";

const read = <T>(file: string): T | undefined =>
  existsSync(file) ? (JSON.parse(readFileSync(file, "utf8")) as T) : undefined;

type Fuzz = Record<
  string,
  {
    tried: number;
    ends: Record<string, number>;
    faults: { seed: number; faults: string[] }[];
    slowest: { seed: number; seconds: number };
    sources: Record<string, number>;
  }
>;
type Coverage = Record<string, { branches: { total: number; covered: number } }>;
type Mutation = {
  count: number;
  seed: number;
  computing: number;
  outcomes: { file: string; line: number; what: string; whole: string; group: string; end: string }[];
};
/** Why mutants survive that somebody has looked at: by what stands in the file's name, in the line, and in what is changed. */
type Reasons = { file: string; line: string; what?: string; reason: string }[];

/** What a line says of each sort of input. */
const aims: Readonly<Record<string, readonly [string, number]>> = {
  texts: ["hostile texts", 1_000_000],
  circuits: ["circuits of all kinds", 100_000],
  peers: ["circuits beside backward Euler of another make", 100_000],
  studies: ["texts of which all is asked that can be", 20_000],
};

const number = (n: number) => n.toLocaleString("en-GB").replaceAll(",", " ");
const share = (part: number, whole: number) => (whole === 0 ? "–" : `${((100 * part) / whole).toFixed(1)} %`);

function fuzzed(): string[] {
  const all: Fuzz = {};
  for (const sort of Object.keys(aims)) {
    const found = read<Fuzz[string]>(`tests/fuzz/counted/${sort}.json`);
    if (found) all[sort] = found;
  }
  if (Object.keys(all).length === 0) return ["Not run."];
  const lines = [
    "| input | tried | aim | wrong | longest, s of computing |",
    "| --- | ---: | ---: | ---: | ---: |",
  ];
  for (const [sort, { tried, faults, slowest }] of Object.entries(all)) {
    const [name, aim] = aims[sort] ?? [sort, 0];
    lines.push(
      `| ${name} | ${number(tried)} | ${number(aim)} | ${faults.length} | ${slowest.seconds.toFixed(2)} |`,
    );
  }
  const found = Object.entries(all).flatMap(([sort, { faults }]) =>
    faults.map(({ seed, faults: what }) => `- ${sort}, seed ${seed}: ${what.join("; ").slice(0, 200)}`),
  );
  const ends = Object.entries(all).map(
    ([sort, { ends: of }]) =>
      `- ${sort}: ${Object.entries(of)
        .sort(([, a], [, b]) => b - a)
        .map(([end, n]) => `${end} ${number(n)}`)
        .join(", ")}`,
  );
  return [
    ...lines,
    "",
    "How they ended:",
    "",
    ...ends,
    "",
    "How many of which state of the sources, by commit:",
    "",
    ...Object.entries(all).map(
      ([sort, { sources }]) =>
        `- ${sort}: ${Object.entries(sources)
          .map(([commit, n]) => `\`${commit}\` ${number(n)}`)
          .join(", ")}`,
    ),
    ...(found.length > 0 ? ["", "Wrong:", "", ...found] : []),
  ];
}

function covered(): string[] {
  const all = read<Coverage>("out/coverage/coverage-summary.json");
  if (!all) return ["Not run."];
  const lines = ["| folder | branches | taken by the tests |", "| --- | ---: | ---: |"];
  for (const folder of ["syntax", "design", "equations", "stepping", "measures"]) {
    let [total, taken] = [0, 0];
    for (const [file, { branches }] of Object.entries(all)) {
      if (!file.startsWith(resolve(`src/${folder}`))) continue;
      total += branches.total;
      taken += branches.covered;
    }
    lines.push(`| \`src/${folder}\` | ${number(total)} | ${share(taken, total)} |`);
  }
  return lines;
}

function mutated(): string[] {
  const all = read<Mutation>("out/mutation.json");
  if (!all) return ["Not run."];
  const { outcomes, count, seed, computing } = all;
  const reasons = read<Reasons>("tests/mutation/survivors.json") ?? [];
  const lines = [
    `${outcomes.length} of a sample of ${count} (seed ${seed}), ${(computing / outcomes.length).toFixed(2)} s of computing each.`,
    "Found out: by a test that fails, or by a loop that goes on without end.",
    "",
    "| group | mutants | found out | share |",
    "| --- | ---: | ---: | ---: |",
  ];
  const line = (name: string, own: typeof outcomes) => {
    const found = own.filter((o) => o.end !== "survived").length;
    lines.push(`| ${name} | ${own.length} | ${found} | ${share(found, own.length)} |`);
  };
  for (const group of ["measures", "quantities", "modes"])
    line(
      group,
      outcomes.filter((o) => o.group === group),
    );
  line("all", outcomes);
  const survivors = outcomes.filter((o) => o.end === "survived");
  if (survivors.length === 0) return lines;
  const why = (o: (typeof outcomes)[number]) =>
    reasons.find((r) => o.file.includes(r.file) && o.whole.includes(r.line) && o.what.includes(r.what ?? ""))
      ?.reason ?? "not looked at yet";
  const cell = (text: string) => `\`${text.replaceAll("|", "\\|")}\``;
  return [
    ...lines,
    "",
    "Survivors:",
    "",
    "| place | change | why it survives |",
    "| --- | --- | --- |",
    ...survivors
      .sort((a, b) => (a.file < b.file ? -1 : a.file > b.file ? 1 : a.line - b.line))
      .map((o) => `| ${cell(`${o.file}:${o.line}`)} | ${cell(o.what)} | ${why(o)} |`),
  ];
}

const page = [
  "# Figures of the fuzzers, of coverage and of mutants",
  "",
  "Made by `npm run figures` from what `npm run fuzz`, `npm run coverage` and `npm run mutate` have left, with Node",
  `${process.version.slice(1)} on ${new Date().toISOString().slice(0, 10)}.`,
  "",
  "## Inputs of chance",
  "",
  "What must hold: mistakes are diagnostics with a place and nothing else escapes, two seconds of computing at most, the same bits",
  "twice, the layout keeps the meaning, a complete run holds numbers only and its account balances; a circuit beside the other",
  "solver lies within twice of what that one is off by. Texts that are alike count once in a run of the fuzzer.",
  "",
  `Most are small. One text in ${long} is of any length, and is run if it is a design; one circuit in ${large} is of ordinary size. What`,
  "was counted before most were small is not in the counts.",
  "",
  ...fuzzed(),
  "",
  "## Branches",
  "",
  ...covered(),
  "",
  "## Mutants in measures, quantities and modes",
  "",
  ...mutated(),
  "",
];
writeFileSync("tests/fuzz/figures.md", page.join("\n"));
console.log("tests/fuzz/figures.md");
