// Every function of the library, called with what it does not take: nothing, null, numbers, texts, lists, and one thing in place of
// another. A caller without types may do so; what gets out is a diagnostic, or a RangeError where a trace or a measure is asked for
// what makes no sense, and never a word about the library's insides.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import * as node from "../../src/command/designs.js";
import * as core from "../../src/index.js";
import * as report from "../../src/schematic/reporting.js";
import * as testing from "../../src/testing/testing.js";
import { root } from "../command/running.js";

const library = { ...core, ...report, ...testing, ...node };
const { compile, simulate } = library;
// Quickly run: whatever is taken for options is done a thousand times by the trials.
const design = compile(`supply plus5 = 5 V
  resistor r plus5 -> a 1 kohm +- 5 %
  resistor c a -> ground 10 kohm
  check "up" peak of a above 4 V`);
const run = simulate(design, { until: "10 us" });
const trace = run.trace("a");

/** An object that lets nobody look into it. */
function closed(): object {
  const refuse = (): never => {
    throw new TypeError("closed");
  };
  return new Proxy(
    {},
    { get: refuse, has: refuse, ownKeys: refuse, getOwnPropertyDescriptor: refuse, getPrototypeOf: refuse },
  );
}

/** An object of which one property cannot be read. */
function throwing(name: string): object {
  return Object.defineProperty({}, name, {
    enumerable: true,
    get: () => {
      throw new TypeError(`${name} is not to be had`);
    },
  });
}

const odd: Readonly<Record<string, unknown>> = {
  nothing: undefined,
  null: null,
  number: 5,
  nan: Number.NaN,
  text: "x",
  flag: true,
  symbol: Symbol("x"),
  bigint: 5n,
  object: {},
  list: [],
  listOfObjects: [{}],
  listOfNothing: [null],
  function: () => 1,
  map: new Map(),
  bytes: new Uint8Array(3),
  instance: new (class Thing {
    readonly name = "x";
  })(),
  bare: Object.create(null),
  listOfSymbols: [Symbol("x")],
  proxyOfFunction: new Proxy(() => 1, {}),
  closed: closed(),
  getter: throwing("until"),
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

function sourceFiles(folder: string): string[] {
  const all = readdirSync(join(root, folder), { recursive: true, encoding: "utf8" });
  return all.filter((name) => name.endsWith(".ts") && !/^(command|editor|live|page|files)\//.test(name));
}

/** Whether a call takes what it is given, so that it reads no options there. */
async function taken(call: () => unknown): Promise<boolean> {
  try {
    await ended(call());
    return true;
  } catch {
    return false;
  }
}

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

// Options by every name that the library asks for, as its sources have them.
const optionNames = [
  ...new Set(
    sourceFiles("src").flatMap((file) =>
      [
        ...readFileSync(join(root, "src", file), "utf8").matchAll(
          /(?:\basked(?:<\w+>)?\(|Sorts<)[^{;]*\{[^}]*\}/g,
        ),
      ].flatMap(([names]) => [...names.matchAll(/(\w+): "/g)].map(([, name]) => name)),
    ),
  ),
];
/** What is taken for options of a study is done a thousand times, or for each of many parts. */
const brief: Readonly<Record<string, object>> = { trials: { trials: 2 }, symptoms: { parts: ["r"] } };
const hostile: Readonly<Record<string, unknown>> = {
  symbol: odd["symbol"],
  bigint: odd["bigint"],
  listOfSymbols: odd["listOfSymbols"],
  listOfClosed: [closed()],
  function: odd["function"],
  bare: odd["bare"],
  closed: odd["closed"],
  instance: odd["instance"],
};

it("knows names of options", () => {
  expect(optionNames).toEqual(expect.arrayContaining(["until", "stock", "table", "captures", "temperature"]));
  expect(optionNames.length).toBeGreaterThan(60);
});

it.each(functions)("%s, by its options", async (called, call) => {
  const wrong: string[] = [];
  for (const first of before) {
    if (await taken(() => call(...first, { nobodyHasThis: 1 }))) continue;
    for (const option of optionNames)
      for (const [name, given] of Object.entries(hostile)) {
        try {
          await ended(call(...first, { ...brief[called], [option]: given }));
        } catch (error) {
          if (!promised(error)) wrong.push(`behind ${first.length} right ones, ${option} ${name}: ${error}`);
          if (String(error).includes("no such option")) break;
        }
      }
  }
  expect(wrong).toEqual([]);
});

it("options that an object has from its class are read like its own", () => {
  class Asked {
    get until(): string {
      throw new TypeError("closed");
    }
  }
  expect(() => simulate(design, new Asked())).toThrow(library.DesignError);
  class Short {
    get until() {
      return "5 V";
    }
  }
  expect(() => simulate(design, new Short())).toThrow(/until: 5 V is a voltage/);
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
