// Where the tests of the browser leave what they draw and what the browser made of it, for people to look at.
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { rampwright, root } from "../command/running.js";

export const drawn = join(root, "out", "browser");

/** A path in there, in a folder of its own for each file of tests, since these run side by side. */
export function place(folder: string, name = ""): string {
  mkdirSync(join(drawn, folder), { recursive: true });
  return join(drawn, folder, name);
}

/** Runs the command and refuses an end that is neither good nor a failed check. */
export function draw(...words: string[]): void {
  const { status, err } = rampwright(words);
  if (status !== 0 && status !== 1)
    throw new Error(`rampwright ${words.join(" ")} ended with ${status}: ${err}`);
}
