// Bun and Deno, which run the package as Node does: the command prints the same bytes, with its threads, and a script that imports
// the library gets the same bits. Both come from the package registry; where one cannot be had, that is said and nothing counts.
import { execFileSync, spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { root } from "../command/running.js";

const place = mkdtempSync(join(tmpdir(), "rampwright-runtimes-"));
const env = { ...process.env, NO_COLOR: "1", DENO_NO_UPDATE_CHECK: "1", DENO_DIR: join(place, "cache") };

/** A folder with one thing installed; why not, where it cannot be. */
function installed(folder: string, what: string): string | undefined {
  const path = join(place, folder);
  mkdirSync(path);
  writeFileSync(join(path, "package.json"), '{ "private": true, "type": "module" }');
  const words = ["install", "--no-audit", "--no-fund", "--prefer-offline", what];
  const { status, stderr } = spawnSync("npm", words, { cwd: path, encoding: "utf8", timeout: 180_000 });
  return status === 0 ? undefined : stderr.trim().split("\n")[0] || "it took too long";
}

/** The program of a runtime; why there is none. */
function runtime(name: string, version: string): { program: string } | { missing: string } {
  const missing = installed(name, `${name}@${version}`);
  if (missing !== undefined) return { missing };
  const program = join(place, name, "node_modules/.bin", name);
  const { status, error } = spawnSync(program, ["--version"], { env, encoding: "utf8", timeout: 60_000 });
  return status === 0 ? { program } : { missing: `it does not start here: ${error ?? status}` };
}

const runtimes = [
  { name: "bun", found: runtime("bun", "1"), before: [] },
  // It asks for leave to read, to start threads and to look at the terminal.
  { name: "deno", found: runtime("deno", "2"), before: ["run", "--allow-all", "--quiet"] },
];
const project = join(place, "project");

beforeAll(() => {
  const words = ["pack", "--ignore-scripts", "--json", "--pack-destination", place];
  const [{ filename }] = JSON.parse(execFileSync("npm", words, { cwd: root, encoding: "utf8" }));
  expect(installed("project", join(place, filename))).toBeUndefined();
  cpSync(join(root, "examples/line.ramp"), join(project, "line.ramp"));
  writeFileSync(
    join(project, "script.js"),
    `import { readFileSync } from "node:fs";
import { compile, simulate, verifyAll } from "rampwright";
import { verifyFile } from "rampwright/node";
import { waveforms } from "rampwright/report";
const design = compile(readFileSync("line.ramp", "utf8"), { name: "line.ramp" });
const run = simulate(design);
const { time, value } = run.trace("ramp");
console.log(JSON.stringify([[...time], [...value], verifyAll(design), waveforms(run)]));
console.log(JSON.stringify(await verifyFile("line.ramp", { workers: 2 })));
`,
  );
});
afterAll(() => rmSync(place, { recursive: true, force: true }));

function under(program: string, words: readonly string[]) {
  const { status, stdout, stderr } = spawnSync(program, words, {
    cwd: project,
    env,
    encoding: "utf8",
    timeout: 240_000,
    maxBuffer: 1 << 28,
  });
  return { status, stdout, stderr };
}

describe.each(runtimes)("$name", ({ name, found, before }) => {
  const missing = "missing" in found;
  if (missing) console.log(`${name}: ${found.missing.trim()}; nothing is run under it`);
  const program = missing ? "" : found.program;
  const command = "node_modules/rampwright/dist/rampwright.js";

  it.skipIf(missing).each([
    ["check", "line.ramp", "--workers", "2"],
    ["check", "--json", "line.ramp"],
    ["check", "none.ramp"],
    ["spread", "line.ramp", "--trials", "20", "--seed", "1", "--workers", "2"],
    ["run", "line.ramp", "--until", "200 us", "--out", "-"],
    ["live", "line.ramp", "--out", "-"],
    ["help", "check"],
  ])("the command does as under Node: %s %s", (...words) => {
    const here = under(process.execPath, [command, ...words]);
    expect(here.stdout.length + here.stderr.length).toBeGreaterThan(0);
    expect(under(program, [...before, command, ...words])).toEqual(here);
  });

  it.skipIf(missing)("a script gets the same bits from the library", () => {
    const here = under(process.execPath, ["script.js"]);
    expect([here.status, here.stderr]).toEqual([0, ""]);
    expect(under(program, [...before, "script.js"])).toEqual(here);
  });
});
