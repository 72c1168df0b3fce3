// Every function of the library, called with what it does not take: nothing, null, numbers, texts, lists, and one thing in place of
// another. A caller without types may do so; what gets out is a diagnostic, or a RangeError where a trace or a measure is asked for
// what makes no sense, and never a word about the library's insides.
import { expect, it } from "vitest";
import * as core from "../../src/index.js";
import * as report from "../../src/schematic/reporting.js";
import * as testing from "../../src/testing/testing.js";

const library = { ...core, ...report, ...testing };
const { compile, simulate } = library;
// Quickly run: whatever is taken for options is done a thousand times by the trials.
const design = compile(`supply plus5 = 5 V
  resistor r plus5 -> a 1 kohm +- 5 %
  resistor c a -> ground 10 kohm
  check "up" peak of a above 4 V`);
const run = simulate(design, { until: "10 us" });
const trace = run.trace("a");

const odd: Readonly<Record<string, unknown>> = {
  nothing: undefined,
  null: null,
  number: 5,
  nan: Number.NaN,
  text: "x",
  flag: true,
  object: {},
  list: [],
  listOfObjects: [{}],
  listOfNothing: [null],
  function: () => 1,
  map: new Map(),
  bytes: new Uint8Array(3),
  design,
  run,
  trace,
};
const before: readonly (readonly unknown[])[] = [[], [design], [run], [trace], ["x"], [[trace]]];

const functions = Object.entries(library).filter(
  ([, one]) => typeof one === "function" && !/^class\b/.test(Function.prototype.toString.call(one)),
) as unknown as [string, (...given: readonly unknown[]) => unknown][];

/** Whether an error is one that callers are promised. */
const promised = (error: unknown) => error instanceof library.DesignError || error instanceof RangeError;

/** Does what was asked for come to an end: a promise, the first item of what is handed out piece by piece. */
async function ended(result: unknown): Promise<void> {
  if (result instanceof Promise) await result;
  else if (typeof (result as Iterator<unknown> | undefined)?.next === "function")
    (result as Iterator<unknown>).next();
}

it.each(functions)("%s", async (_, call) => {
  const wrong: string[] = [];
  for (const first of before)
    for (const [name, given] of Object.entries(odd)) {
      try {
        await ended(call(...first, given));
      } catch (error) {
        if (!promised(error)) wrong.push(`behind ${first.length} right ones, ${name}: ${error}`);
      }
    }
  expect(wrong).toEqual([]);
});

it.each(Object.entries(odd))("a trace is not called %s, nor asked at it", (_, given) => {
  const asks = [
    () => run.trace(given as string),
    () => trace.at(given as number),
    () => trace.resample(given as number),
  ];
  for (const ask of asks) {
    try {
      ask();
    } catch (error) {
      expect(promised(error), String(error)).toBe(true);
    }
  }
});
