// Runs the built command as a process of its own, the way a shell does.
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { onTestFinished } from "vitest";
import { warm } from "./warm.js";

export const root = fileURLToPath(new URL("../..", import.meta.url));
export const program = join(root, "dist", "rampwright.js");

/** How a run of the command ended. */
export interface Ended {
  readonly status: number | null;
  readonly out: string;
  readonly err: string;
}

/** How the command is run, and where. */
interface Running {
  readonly input?: string;
  readonly env?: Readonly<Record<string, string>>;
  readonly cwd?: string;
}

/** Runs the command in the project's folder: as a process where it is another one, in a thread that stays otherwise. */
export function rampwright(
  words: readonly string[],
  { input = "", env = {}, cwd = root }: Running = {},
): Ended {
  if (cwd !== root || process.cwd() !== resolve(root)) return rampwrightProcess(words, { input, env, cwd });
  return warm(program, { words, input, env }) ?? { status: null, out: "", err: "did not end" };
}

/** Runs the command as a process of its own. */
export function rampwrightProcess(
  words: readonly string[],
  { input = "", env = {}, cwd = root }: Running = {},
): Ended {
  const done = spawnSync(process.execPath, [program, ...words], {
    cwd,
    input,
    env: { ...process.env, ...env },
    encoding: "utf8",
    maxBuffer: 1 << 28,
    // No test of the command comes near; one that hangs fails by its name and holds up no other.
    timeout: 400_000,
    killSignal: "SIGKILL",
  });
  return { status: done.status, out: done.stdout, err: done.stderr };
}

/** A folder of its own for a test. */
export function folder(): string {
  const path = mkdtempSync(join(tmpdir(), "rampwright-"));
  onTestFinished(() => rmSync(path, { recursive: true, force: true }));
  return path;
}

/** A design in a file. */
export function file(text: string, name = "design.ramp"): string {
  const path = join(folder(), name);
  writeFileSync(path, text);
  return path;
}

/** A ramp of 1 mA into 10 nF, let go at 10 µs: dV/dt = I/C (Millman & Taub 1965), so 1 V at 20 µs, 5 V at 60 µs. */
export const sound = `title "Nest box, a bare ramp"
supply plus12 = 12 V
current feed plus12 -> ramp 1 mA
capacitor hold ramp -> ground 10 nF
switch reset ramp -> ground closed before 10 us
run for 100 us
check "one volt" value of ramp at 20 us is 1 V +- 1 %
check "five volts" value of ramp at 60 us is 5 V +- 1 %
`;
export const failing = sound.replace("is 5 V", "is 4 V");
export const wrong = sound.replace("10 nF", "10 kV");
/** An ideal switch across a supply: the loop closes at run time. */
export const stopping = sound.replace("switch", "switch bridge plus12 -> ground closed after 50 us\nswitch");
