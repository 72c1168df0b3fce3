// What rows share: taking time, checking what is timed, and a process apart for what must not share its memory.
// Always: what is wrong throws `Wrong`, what cannot be measured here throws `NotRun`; anything else that is thrown is a
// failure of the row. The runner tells them apart.
import { fork } from "node:child_process";
import { fileURLToPath } from "node:url";
import { compile, simulate } from "../out/bench/engine.mjs";

/** A result that is not what it must be: the bench itself then fails. */
export class Wrong extends Error {}

/** Something that the row needs is not there, e.g. a compiler. */
export class NotRun extends Error {}

/** Throws `Wrong` unless something holds. */
export function demand(holds, what) {
  if (!holds) throw new Wrong(what);
}

/** Seconds that an action takes. */
export function timed(action) {
  const start = process.hrtime.bigint();
  action();
  return Number(process.hrtime.bigint() - start) / 1e9;
}

/** What quick goes take together at least, s: what runs the code compiles it in the first of these. */
const warm = 3;

/**
 * Seconds of the fastest of several goes: five of them, more where they are quick, fewer where they take longer than `enough`
 * seconds together.
 */
export function best(action, enough = 8) {
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0, spent = 0; (k < 5 && spent < enough) || spent < Math.min(warm, enough); k++) {
    const seconds = timed(action);
    least = Math.min(least, seconds);
    spent += seconds;
  }
  return least;
}

/** A run that has ended; throws otherwise. */
export function whole(run) {
  if (run.status !== "complete") throw new Error(`the run stopped at ${run.reached} s: ${run.reason}`);
  return run;
}

/** Throws `Wrong` where there is no verdict or one that fails. */
export function passing(results) {
  demand(results.length > 0, "there is no check");
  for (const { name, case: drawn, measured, pass, reason } of results)
    demand(pass, `"${name}"${drawn && ` in case "${drawn}"`} fails: ${reason ?? measured}`);
}

// Options are refused where the library does not know them; such a one then makes no difference.
function known(options) {
  const design = compile("supply plus5 = 5 V\nresistor load plus5 -> ground 1 kohm");
  try {
    simulate(design, { until: "1 ms", ...options });
    return options;
  } catch (error) {
    if (error.diagnostics?.some(({ code }) => code === "unknown-option")) return {};
    throw error;
  }
}

/** Options of runs in which everything is computed, however often it repeats, and of those in which it is not. */
export const computed = known({ repeats: false });
export const repeating = known({ repeats: true });

/** Most bytes that this process has held so far. */
export function mostBytes() {
  return process.resourceUsage().maxRSS * 1024;
}

/** Does a part of a row in a process of its own; gives what it gives. @param part a word for the row's function */
export function apart(row, part, short) {
  const child = fork(fileURLToPath(new URL("child.mjs", import.meta.url)), [
    row,
    `--part=${part}`,
    ...(short ? ["--short"] : []),
  ]);
  return new Promise((resolve, reject) => {
    child.once("message", ({ result, error, kind }) => {
      if (error === undefined) resolve(result);
      else
        reject(
          kind === "wrong" ? new Wrong(error) : kind === "not run" ? new NotRun(error) : new Error(error),
        );
    });
    child.once("exit", (status, signal) => reject(new Error(`a part ended early: ${signal ?? status}`)));
  });
}

/** By how much y grows with x: the slope of the straight line through their logarithms, by least squares. */
export function exponent(points) {
  const logs = points.map(({ x, y }) => [Math.log(x), Math.log(y)]);
  const mean = (k) => logs.reduce((sum, p) => sum + p[k], 0) / logs.length;
  const [mx, my] = [mean(0), mean(1)];
  let [over, under] = [0, 0];
  for (const [x, y] of logs) {
    over += (x - mx) * (y - my);
    under += (x - mx) ** 2;
  }
  return over / under;
}
