// The designs that rows run: the examples as they stand, cut down to what a row is about.
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";

const read = (name) => readFileSync(new URL(`../examples/${name}.ramp`, import.meta.url), "utf8");
const withoutCases = (text) => text.slice(0, text.search(/^(#.*\n)*case /m));

/** The values of examples/line.ramp, SI, for the loop by hand and its closed forms. */
export const line = {
  period: 64e-6,
  pulse: 4.7e-6,
  edge: 200e-9,
  rail: 12,
  logic: 5,
  charge: 1e-3,
  headroom: 0.9,
  output: 2e6,
  hold: 15e-9,
  on: 5,
  drop: 0.6,
  diode: 10,
};

/** examples/line.ramp with its checks, without its cases and what it asks to find. */
export const lineText = withoutCases(read("line")).replace(/^find .*$/m, "");

/** The same from the state that one period leads back to itself. */
export const lineSettled = lineText.replace("run for 6 ms", "run for 6 ms, from settled");

/** examples/board.ramp as it stands. */
export const boardWhole = read("board");

/** examples/board.ramp as drawn, with its checks, without its cases. */
export const boardDrawn = withoutCases(boardWhole);

/**
 * The board with another picture, and in place of its own length and checks those given.
 * @param picture what stands behind the system, e.g. `bars`
 */
export function boardWith(picture, ...statements) {
  const circuit = boardDrawn.slice(0, boardDrawn.indexOf("\nrun for ") + 1);
  return `${circuit.replace("crosshatch, circle", picture)}${statements.join("\n")}\n`;
}

/** Leaves a text in a file for a process to read; gives its path from the root of the project. */
export function leave(name, text) {
  mkdirSync("out/bench", { recursive: true });
  const path = `out/bench/${name}.ramp`;
  writeFileSync(path, text);
  return path;
}
