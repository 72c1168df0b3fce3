// Slurm, a real one of one node: an array job of which one task is killed half way and put back in the queue. Where its daemons cannot
// start, that is said, and nothing counts.
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as later } from "node:timers/promises";
import { afterAll, expect, it } from "vitest";
import { cluster } from "./cluster.js";
import { expectWhole, slices, studyFolder, trials } from "./study.js";

const place = mkdtempSync(join(tmpdir(), "rampwright-cluster-"));
const found = await cluster(place);
afterAll(async () => {
  if (typeof found !== "string") await found.end();
  rmSync(place, { recursive: true, force: true });
});
const missing = typeof found === "string";
if (missing) console.log(`Slurm: ${found}; its recipe is not run`);

it.skipIf(missing)(
  "a task killed and put back in the queue is run again, and nothing counts twice",
  async () => {
    const { env } = found as Exclude<typeof found, string>;
    const { path, env: own } = studyFolder(true);
    const ask = (program: string, ...words: string[]) => {
      const done = spawnSync(program, words, { cwd: path, env: { ...own, ...env }, encoding: "utf8" });
      expect([program, done.status, done.stderr]).toEqual([program, 0, ""]);
      return done.stdout.trim();
    };
    const words = ["slurm.sh", "spread", "line.ramp", "slices", ...trials];
    const job = ask("sbatch", "--parsable", `--array=1-${slices}`, ...words);
    const states = () => ask("squeue", "--noheader", "--array", "--format=%K %T %r", `--jobs=${job}`);

    // Slice 2 is killed half way. Its task has failed, and is put back as an operator would.
    while (!existsSync(join(path, "marks/struck/half"))) await later(200);
    while (/^2 /m.test(states())) await later(200);
    expect(existsSync(join(path, "slices/2.json"))).toBe(false);
    ask("scontrol", "requeue", `${job}_2`);
    while (states() !== "") await later(500);
    expect(ask("scontrol", "show", "job", `${job}_2`)).toMatch(/JobState=COMPLETED .*\n.*Restarts=1 /s);
    // Both tries told into the same log.
    expect(readFileSync(join(path, "slice-2.log"), "utf8")).toMatch(/Killed|2\.\d+\.json/);
    expectWhole(path);
  },
);
