// `check --watch` as a process of its own: it looks again after each save of the design, of what it brings and of its pictures, goes on
// over mistakes, and ends when it is told to. Nothing is asked of the clock: each step waits for what the one before it prints.
import { spawn } from "node:child_process";
import { mkdirSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it, onTestFinished } from "vitest";
import { folder, program, rampwright, sound } from "./running.js";

/** A watch under way. */
function watching(...words: readonly string[]) {
  const child = spawn(process.execPath, [program, "check", "--watch", ...words], {
    env: { ...process.env, NO_COLOR: "1" },
  });
  onTestFinished(() => void child.kill("SIGKILL"));
  let [out, err] = ["", ""];
  let heard: () => void = () => undefined;
  child.stdout.on("data", (data) => {
    out += data;
    heard();
  });
  child.stderr.on("data", (data) => {
    err += data;
    heard();
  });
  const ended = new Promise<number | null>((resolve) => child.on("exit", resolve));
  return {
    child,
    ended,
    /** Does something, and waits until what is printed from then on says so. */
    async until(said: RegExp, action: () => void = () => undefined): Promise<void> {
      const from = { out: out.length, err: err.length };
      action();
      await new Promise<void>((resolve) => {
        heard = () => {
          if (said.test(out.slice(from.out)) || said.test(err.slice(from.err))) resolve();
        };
        heard();
      });
    },
  };
}

it("looks again after each save, over mistakes and what is brought, until it is told to end", async () => {
  const path = folder();
  const at = (name: string) => join(path, name);
  const design = sound
    .replace("\n", '\nbring "parts/part.ramp"\n')
    .replace("capacitor hold ramp -> ground 10 nF", "use timing as hold joins ramp, ground");
  const part = (size: string) => () =>
    writeFileSync(
      at("parts/part.ramp"),
      `block timing joins one, other\n  capacitor main one -> other ${size}\nend\n`,
    );
  writeFileSync(at("design.ramp"), design);
  const { until, child, ended } = watching(at("design.ramp"));
  const idle = /watching 2 files; Ctrl-C ends it/;

  // What it asks for is not there yet, nor the folder that it is to be in.
  await until(idle);
  await until(/All 2 checks passed/, () => {
    mkdirSync(at("parts"));
    part("10 nF")();
  });
  // 1 mA into 12 nF for 50 us: I t / C.
  await until(/4\.167 V/, part("12 nF"));
  // As many editors save: a new file in the place of the old one.
  await until(/mend:/, () => {
    writeFileSync(at("new"), design.replace("run for", "rn for"));
    renameSync(at("new"), at("design.ramp"));
  });
  await until(/4\.167 V/, () => writeFileSync(at("design.ramp"), design));
  await until(/"parts\/part\.ramp" is not there/, () => rmSync(at("parts/part.ramp")));
  await until(/All 2 checks passed/, part("10 nF"));
  child.kill("SIGINT");
  expect(await ended).toBe(0);
});

it.each(["SIGINT", "SIGTERM"] as const)("%s ends it with what the last look found", async (signal) => {
  const path = join(folder(), "design.ramp");
  writeFileSync(path, sound.replace("is 5 V", "is 4 V"));
  const { until, child, ended } = watching(path);
  await until(/Ctrl-C ends it/);
  child.kill(signal);
  expect(await ended).toBe(1);
});

it.each([
  ["--json", ["--json"]],
  ["another reporter", ["--reporter", "tap"]],
  ["standard input", ["-"]],
])("refuses %s", (_, words) => {
  const { status, out, err } = rampwright(["check", "--watch", "examples/line.ramp", ...words]);
  expect([status, err]).toEqual([2, expect.stringContaining("--watch")]);
  expect(out === "" || words.includes("--json")).toBe(true);
});
