// Equations are shared by the runs of one process wherever the parts are the same: no bit and no word may depend on which runs
// came before. What a run gives after others is held against the same run in a process of its own making: after a circuit that
// shares nothing with it.
import { describe, expect, it } from "vitest";
import { LazyRows } from "../../src/equations/rows.js";
import { compile, simulate } from "../../src/index.js";

/** Forgets the circuits of earlier runs: those of two other designs take their place. */
function alone(text: string, reads: readonly string[]) {
  for (const second of ["", "\nresistor s v -> ground 1 kohm"])
    simulate(compile(`supply v = 1 V\nresistor r v -> ground 1 kohm${second}`), { until: "1 us" });
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

describe("runs after others", () => {
  it.each([
    ["another signal", sweep(12), sweep(12).replace("0 V to 5 V", "0 V to 4 V")],
    ["another supply", sweep(12), sweep(11)],
    ["another capacitor", sweep(12), sweep(12, 18)],
    ["the same", sweep(12), sweep(12)],
    [
      "another order of modes",
      sweep(12),
      sweep(12).replace("closed while gate above", "closed while gate below"),
    ],
  ])("%s", (_, first, then) => {
    const reads = ["ramp", "feed.current", "guard.current"];
    const own = alone(then, reads);
    alone(first, reads);
    expect(seen(then, reads)).toEqual(own);
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
