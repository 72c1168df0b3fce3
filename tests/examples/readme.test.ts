// The README says what the tool does: every snippet of it is run, and what it prints must be what stands there.
import { spawnSync } from "node:child_process";
import { cpSync, existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { file, rampwright, root } from "../command/running.js";

const readme = readFileSync(join(root, "README.md"), "utf8");
const blocks = [...readme.matchAll(/^```(\w+)\n(.*?)^```$/gms)].map((m) => ({ kind: m[1], text: m[2] }));
const [commands, design, passes, diagnosing, diagnosed, script, printed] = blocks.map((b) => b.text);

/** Runs `check line.ramp` in a folder of its own. */
function checked(text: string) {
  const path = join(file(text, "line.ramp"), "..");
  return rampwright(["check", "line.ramp"], { cwd: path });
}

test("has the snippets that are tested here, and no others", () => {
  expect(blocks.map((b) => b.kind)).toEqual(["sh", "ramp", "text", "sh", "text", "ts", "text"]);
});

test("the two commands", () => {
  const { scripts } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
  const [first, second, ...more] = commands.trimEnd().split("\n");
  expect(more).toEqual([]);
  expect(first).toBe("npm ci && npm start");
  // What it runs once the package is built is run, and its verdicts and pictures are looked at, in tests/board.
  expect(scripts.start).toMatch(/ && node dist\/rampwright\.js check examples\/board\.ramp --pictures out$/);
  // The CI calls exactly the second.
  expect(second).toBe("npm cit");
  expect(readFileSync(join(root, ".ci/run"), "utf8")).toMatch(/^npm cit$/m);
  expect(scripts.test).toBe("vitest run");
});

test("the design prints what stands there", () => {
  expect(checked(design)).toMatchObject({ status: 0, out: passes });
});

test("the fault on the bench is named as it stands there, and the look that is advised without the last reading", () => {
  const path = join(file(design, "line.ramp"), "..");
  cpSync(join(root, "examples/captures"), join(path, "examples/captures"), { recursive: true });
  const words = diagnosing.replace(/\\\n/g, " ").trim();
  const spoken = [...words.matchAll(/'([^']*)'|(\S+)/g)].map((m) => m[1] ?? m[2]);
  expect(spoken.slice(0, 3)).toEqual(["npx", "rampwright", "diagnose"]);
  expect(rampwright(spoken.slice(2), { cwd: path })).toMatchObject({ status: 0, out: diagnosed });
  const two = rampwright([...spoken.slice(2, -2), "--json"], { cwd: path });
  const { candidates, next } = JSON.parse(two.out);
  expect(candidates[0].faults).toEqual([
    { name: "reset", kind: "open" },
    { name: "gate", kind: "stopped" },
  ]);
  expect(next[0].what).toBe("peak of gate");
});

test("the script prints what stands there", () => {
  // Inside the project, so that the package finds itself by its name.
  const place = join(root, "out");
  mkdirSync(place, { recursive: true });
  const path = join(place, `readme-${process.pid}.mjs`);
  writeFileSync(path, script);
  const { stdout, stderr } = spawnSync(process.execPath, [path], { cwd: root, encoding: "utf8" });
  rmSync(path);
  expect(stderr).toBe("");
  expect(stdout).toBe(printed);
});

test("what a check takes is what the bench has measured", () => {
  const told = /A check takes the line sweep ([\d.]+) s, the board ([\d.]+) s/.exec(readme)!;
  const bench = readFileSync(join(root, "bench/README.md"), "utf8");
  const measured = /^\| check +\| ([\d.]+) +\| ([\d.]+) +\|$/m.exec(bench)!;
  for (const k of [1, 2]) expect(Math.abs(Number(told[k]) / Number(measured[k]) - 1)).toBeLessThan(0.1);
});

test("is read in a few minutes", () => {
  // Designs, scripts and what they print apart.
  const prose = readme.replace(/^```.*?^```$/gms, "").match(/[\p{L}\p{N}]+/gu)!;
  expect(prose.length).toBeLessThan(1000);
});

test("every file it links to is there, and every verb and option it names", () => {
  for (const [, target] of readme.matchAll(/\]\((?!https?:)([^)#]+)\)/g)) {
    expect(existsSync(join(root, target)), target).toBe(true);
  }
  for (const [, verb, options] of readme.matchAll(/`rampwright (\w+) FILE([^`]*)`/g)) {
    const { out, err } = rampwright([verb, "--help"]);
    for (const [option] of options.matchAll(/--\w+/g)) expect(out, `${verb}: ${err}`).toContain(option);
  }
});
