// Equations and leaps are shared by the runs of one process wherever the parts are the same: no bit and no word may depend on which runs
// came before. What a run gives after others is held against the same run in a process of its own making: after a circuit that
// shares nothing with it.
import { describe, expect, it } from "vitest";
import { LazyRows } from "../../src/equations/rows.js";
import { compile, simulate } from "../../src/index.js";

/** Forgets the circuits of earlier runs: those of two other designs take their place. */
function forget() {
  for (const second of ["", "\nresistor s v -> ground 1 kohm"])
    simulate(compile(`supply v = 1 V\nresistor r v -> ground 1 kohm${second}`), { until: "1 us" });
}

function alone(text: string, reads: readonly string[]) {
  forget();
  return seen(text, reads);
}

function seen(text: string, reads: readonly string[]) {
  const run = simulate(compile(text), { until: "300 us" });
  const traces = run.draw(reads).map(({ time, value }) => [...time, ...value]);
  const { status, warnings, statistics, events } = run;
  return { status, warnings, statistics, events, traces };
}

const sweep = (volts: number, nanofarads = 15) => `
  supply plus12 = ${volts} V
  supply plus5 = 5 V
  signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns
  current feed plus12 -> ramp 1 mA, headroom 0.9 V, output 2 Mohm
  capacitor hold ramp -> ground ${nanofarads} nF
  switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
  diode guard ramp -> plus5 drop 0.6 V, on 10 ohm`;

/** With a low-pass that has nothing to do with the ramp. */
const beside = (microfarads: number) => `${sweep(12)}
  resistor series gate -> slow 10 kohm
  capacitor store slow -> ground ${microfarads} uF`;

/** 10 fs beside what takes an hour: lengths that are doubled in pairs of doubles. */
const stiff = (volts: number) => `
  signal gate = line sync of 625/50, 0 V to ${volts} V, edges 200 ns
  resistor series gate -> quick 10 mohm
  capacitor fast quick -> ground 1 pF
  resistor feed quick -> slow 1 Gohm
  capacitor store slow -> ground 3.6 uF`;

describe("runs after others", () => {
  it.each([
    ["another signal", sweep(12), sweep(12).replace("0 V to 5 V", "0 V to 4 V")],
    ["another supply", sweep(12), sweep(11)],
    ["another capacitor", sweep(12), sweep(12, 18)],
    ["the same", sweep(12), sweep(12)],
    ["another capacitor elsewhere", beside(1), beside(2)],
    ["a second fast beside an hour", stiff(5), stiff(4)],
    [
      "another order of modes",
      sweep(12),
      sweep(12).replace("closed while gate above", "closed while gate below"),
    ],
  ])("%s", (_, first, then) => {
    const reads = ["ramp", "feed.current", "guard.current"];
    const read = first.includes("ramp") ? reads : ["quick", "slow"];
    const own = alone(then, read);
    alone(first, read);
    expect(seen(then, read)).toEqual(own);
  });
});

describe("the equations themselves", () => {
  const guardsOf = (text: string) =>
    simulate(compile(text), { until: "300 us" }).assembly.system.combinations.map(
      ({ equations }) => equations.guards,
    );
  const both = (one: string, other: string) => {
    const known = new Set(guardsOf(one));
    return guardsOf(other).filter((guards) => known.has(guards)).length;
  };

  it("are one where the parts stamp the same, whatever the signals", () => {
    const slower = sweep(12).replace("edges 200 ns", "edges 300 ns");
    expect(both(sweep(12), slower)).toBe(guardsOf(slower).length);
  });

  it("are those of the first run of a design again after one with another part", () => {
    alone(sweep(12, 22), []);
    const known = new Set(guardsOf(sweep(12, 22)));
    guardsOf(sweep(12, 27));
    expect(guardsOf(sweep(12, 22)).filter((guards) => known.has(guards))).toHaveLength(known.size);
  });

  it("are forgotten once two other designs have been run", () => {
    const known = new Set(guardsOf(sweep(12, 33)));
    alone(sweep(12, 33), []);
    expect(guardsOf(sweep(12, 33)).filter((guards) => known.has(guards))).toHaveLength(0);
  });

  it("are others where one part differs", () => {
    expect(both(sweep(12), sweep(12, 18))).toBe(0);
    expect(both(sweep(12), sweep(11))).toBe(0);
  });
});

describe("the leaps of a group of states", () => {
  /** By modes and states: the shortest matrix, of which all others are made. */
  const leapsOf = (text: string) => {
    const { assembly } = simulate(compile(text), { until: "300 us" });
    return new Map(
      assembly.system.combinations.flatMap((at) =>
        assembly.courses.strands(at).map(({ course: { motion, matrices } }) => {
          const { doubling } = matrices;
          return [`${at.modes} ${motion.group.states}`, doubling.power(doubling.finest)] as const;
        }),
      ),
    );
  };
  /** Of what both runs meet: how much the later one takes over, and how much it makes anew. */
  const taken = (one: string, other: string) => {
    forget();
    const known = leapsOf(one);
    const met = [...leapsOf(other)].filter(([key]) => known.has(key));
    const over = met.filter(([key, matrix]) => known.get(key) === matrix).length;
    return { over, anew: met.length - over };
  };

  it("are made once, whatever the signals", () => {
    expect(taken(sweep(12), sweep(12).replace("0 V to 5 V", "0 V to 4 V"))).toEqual({ over: 2, anew: 0 });
  });

  it("are made anew only in a group whose parts differ", () => {
    // Two combinations of modes of the sweep, with the low-pass in each of them.
    expect(taken(beside(1), beside(2))).toEqual({ over: 2, anew: 2 });
    expect(taken(sweep(12), sweep(12, 18))).toEqual({ over: 0, anew: 2 });
  });
});

it("a row that is doubted is doubted by everyone who reads it, and by no one else", () => {
  let made = 0;
  const rows = new LazyRows(3, 1, 1, (i, doubts) => {
    made++;
    if (i === 1) doubts.add(7);
    return { at: [0], of: [i] };
  });
  const told = (read: (doubts: Set<number>) => void) => {
    const doubts = new Set<number>();
    read(doubts);
    return [...doubts];
  };
  expect(told((doubts) => rows.one(1, doubts))).toEqual([7]);
  expect(told((doubts) => rows.one(0, doubts))).toEqual([]);
  expect(told((doubts) => rows.one(1, doubts))).toEqual([7]);
  expect(made).toBe(2);
  expect(told((doubts) => rows.all(doubts))).toEqual([7]);
  expect(told((doubts) => rows.all(doubts))).toEqual([7]);
});
