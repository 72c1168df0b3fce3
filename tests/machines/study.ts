// What the recipes are tried on: a study in slices, and the same in one piece to hold what they come to against, byte for byte.
import { cpSync, mkdirSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect } from "vitest";
import { folder, program, rampwright, root } from "../command/running.js";

/** So many slices. */
export const slices = 4;
/** Trials enough that a slice of them can be caught half way. */
export const trials = ["--trials", "1600", "--seed", "3"] as const;

/** A study in a folder of its own, with the recipes beside it. */
export interface Studied {
  readonly path: string;
  /** What takes the place of `npx rampwright`. */
  readonly env: NodeJS.ProcessEnv;
}

/** Puts the line sweep and the recipes into a folder. @param killing slice 2 is killed half way the first time */
export function studyFolder(killing: boolean): Studied {
  const path = folder();
  cpSync(join(root, "examples/line.ramp"), join(path, "line.ramp"));
  cpSync(join(root, "examples/machines"), path, { recursive: true });
  mkdirSync(join(path, "marks"));
  const command = killing
    ? `sh ${join(root, "tests/machines/killing.sh")} ${join(path, "marks")} ${program}`
    : `${process.execPath} ${program}`;
  return { path, env: { ...process.env, RAMPWRIGHT: command } };
}

/** Names of the slices that are there. */
export function slicesIn(path: string): string[] {
  return readdirSync(join(path, "slices"))
    .filter((name) => name.endsWith(".json"))
    .sort();
}

/** Merges the slices, and holds them against a run in one piece. */
export function expectWhole(path: string): void {
  const parts = slicesIn(path);
  expect(parts).toEqual(Array.from({ length: slices }, (_, i) => `${i + 1}.json`));
  const at = (name: string) => join(path, name);
  const merged = rampwright([
    "spread",
    "--merge",
    ...parts.map((p) => at(`slices/${p}`)),
    "--out",
    at("merged.json"),
  ]);
  const whole = rampwright(["spread", at("line.ramp"), ...trials, "--out", at("whole.json")]);
  expect(merged.out).toBe(whole.out);
  const text = readFileSync(at("merged.json"), "utf8");
  expect(text).toBe(readFileSync(at("whole.json"), "utf8"));
  // Every trial once: in one stretch, as many values as trials.
  const data = JSON.parse(text);
  expect(data.slices).toEqual([[0, 1600]]);
  expect(data.measured[0]).toHaveLength(1600);
}
