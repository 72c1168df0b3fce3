// GNU parallel: one job of four is killed half way. It is run again, and what comes of all is what one run gives.
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { expectWhole, slices, slicesIn, studyFolder, trials } from "./study.js";

const there = /GNU parallel/.test(spawnSync("parallel", ["--version"], { encoding: "utf8" }).stdout ?? "");
if (!there) console.log("GNU parallel is not installed: its recipe is not run");

it.skipIf(!there)("a job killed half way is run again, and nothing counts twice", () => {
  const { path, env } = studyFolder(true);
  const words = ["parallel.sh", String(slices), "spread", "line.ramp", "slices", ...trials];
  const go = () => spawnSync("sh", words, { cwd: path, env, encoding: "utf8" });
  const first = go();
  expect([first.status, first.stderr.match(/mistake/)]).toEqual([0, null]);
  expect(existsSync(join(path, "marks/struck/half"))).toBe(true);
  expectWhole(path);

  // What is lost later is made again, and no other.
  const before = readFileSync(join(path, "slices/1.json"));
  rmSync(join(path, "slices/3.json"));
  expect(go().status).toBe(0);
  expect(slicesIn(path)).toHaveLength(slices);
  expect(readFileSync(join(path, "slices/1.json"))).toEqual(before);
  expectWhole(path);
});
