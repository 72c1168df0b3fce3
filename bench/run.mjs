// The benches: what the tool takes for its work, beside loops written by hand, the same equations in C, and itself.
// Takes names of rows (all of them without), `--short` for a fraction of each, `--write` to put the figures into
// bench/README.md, where rows that are not named stand as not run. Prints a line a row and writes out/bench.json, described in
// bench/README.md. Status: 0, 1 where a result was wrong or a row broke down, 2 for a command line that makes no sense. Always: every row runs in a process of its own
// with a bound on its time; one that fails, or takes too long, is a row that is not met, and the others still run.
import { fork } from "node:child_process";
import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import { writePage } from "./page.mjs";
import { judge, mustText, rows, yardstick } from "./rows.mjs";

process.chdir(fileURLToPath(new URL("..", import.meta.url)));
const words = process.argv.slice(2);
const flags = new Set(words.filter((word) => word.startsWith("--")));
const names = words.filter((word) => !word.startsWith("--"));
const short = flags.has("--short");
const write = flags.has("--write");
const strange = [
  ...[...flags].filter((flag) => flag !== "--short" && flag !== "--write"),
  ...names.filter((name) => !rows.some((row) => row.name === name)),
];
if (strange.length > 0 || (write && short)) {
  const what = strange.length > 0 ? `there is no ${strange.join(", ")}` : "--write takes rows in full";
  console.error(`bench: ${what}\nusage: npm run bench -- [NAME...] [--short] [--write]`);
  console.error(`rows: ${rows.map((row) => row.name).join(" ")}`);
  process.exit(2);
}

mkdirSync("out", { recursive: true });
rmSync("out/bench", { recursive: true, force: true });
await build({
  entryPoints: { engine: "bench/engine.ts", byhand: "bench/byhand.ts" },
  outdir: "out/bench",
  bundle: true,
  outExtension: { ".js": ".mjs" },
  platform: "node",
  format: "esm",
  target: "node20",
  banner: {
    js: "import { createRequire as requiring } from 'node:module'; const require = requiring(import.meta.url);",
  },
  logLevel: "warning",
});

const results = [];
let wrong = false;
let scale = 1;
for (const row of rows) {
  // The yardstick is always taken: without it seconds say nothing.
  const left = names.length > 0 && !names.includes(row.name) && row.name !== "machine";
  if (left && !write) continue;
  const told = left ? { kind: "not run", error: "left out of this bench" } : await measured(row);
  if (row.name === "machine" && told.result) scale = told.result.seconds / yardstick;
  wrong ||= told.kind === "wrong" || told.kind === "broken";
  const result = judged(row, told);
  results.push(result);
  console.log(line(row, result));
}
writeFileSync("out/bench.json", `${JSON.stringify(results, null, 2)}\n`);
if (write) writePage(results, rows);
console.log(`written to out/bench.json${write ? " and bench/README.md" : ""}`);
if (wrong) process.exitCode = 1;

/** What a row's process sends, or why it did not. */
function measured(row) {
  const limit = short ? row.limit.short : row.limit.full;
  const child = fork("bench/child.mjs", [row.name, ...(short ? ["--short"] : [])], {
    // A group of its own, so that whatever the row has started ends with it.
    detached: true,
    // What is measured may print; only the rows' lines are wanted.
    stdio: ["ignore", "ignore", "inherit", "ipc"],
  });
  const end = () => {
    try {
      process.kill(-child.pid, "SIGKILL");
    } catch {
      // It has ended already.
    }
  };
  const interrupted = () => {
    end();
    process.exit(130);
  };
  process.once("SIGINT", interrupted);
  process.once("SIGTERM", interrupted);
  return new Promise((resolve) => {
    const late = { kind: "failed", error: `not done after ${limit} s`, seconds: limit };
    const timer = setTimeout(() => resolve(late), limit * 1000);
    child.once("message", (told) => {
      clearTimeout(timer);
      resolve(told);
    });
    child.once("exit", (status, signal) => {
      clearTimeout(timer);
      resolve({ kind: "broken", error: `its process ended: ${signal ?? `status ${status}`}` });
    });
  }).finally(() => {
    end();
    process.removeListener("SIGINT", interrupted);
    process.removeListener("SIGTERM", interrupted);
  });
}

/** A row of out/bench.json. */
function judged(row, { result, error, kind, seconds }) {
  const values = result?.values ?? {};
  const value = row.must.length === 0 ? result?.seconds : values[row.must[0].what];
  const met = result ? judge(row, values, scale) : kind === "not run" ? "not run" : false;
  const reason = error ?? result?.reason;
  return {
    name: row.name,
    seconds: result?.seconds ?? seconds ?? null,
    ratios: result?.ratios ?? {},
    value: value ?? null,
    must: mustText(row, scale),
    met,
    ...(reason && { reason }),
    ...(row.must.length > 1 && { values }),
    ...(short && { short }),
    ...(result?.notes && { notes: result.notes }),
  };
}

function line(row, { name, seconds, value, values, ratios, met, reason }) {
  const figure = (x) => (typeof x === "number" ? `${Number(x.toPrecision(3))}` : "-");
  const measured =
    row.must.length > 1
      ? row.must.map(({ what }) => `${what} ${figure(values?.[what])}`)
      : [`${row.must[0]?.what ?? "seconds"} ${figure(value)}`];
  const against = Object.entries(ratios).map(([what, ratio]) => `${figure(ratio)} x ${what}`);
  const verdict = met === true ? "met" : met === false ? "NOT MET" : met;
  const parts = [`${figure(seconds)} s`, ...measured, ...against, ...(reason ? [reason] : [])];
  return `${name.padEnd(17)}${verdict.padEnd(9)}${parts.join(", ")}`;
}
