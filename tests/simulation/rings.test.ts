// Rings of stages that invert and are late. An odd ring has no steady state: it is told, and one edge runs round it, so that its
// period is twice the sum of the delays (2 n td for n equal ones; common practice, no source). An even one latches.
import { expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { tries } from "../counts.js";
import { chance, periodOf } from "./making.js";

/** A ring of stages from place p0 over p1 and so on back to p0; `wire` stands between the output q1 of one and the input p1 of the next. */
function ring(
  delays: readonly number[],
  stage: (i: number) => string,
  wire?: (from: string, to: string) => string,
) {
  const n = delays.length;
  return delays
    .map((delay, i) => {
      const to = (i + 1) % n;
      const out = wire ? `q${to}` : `p${to}`;
      return `${stage(i).replace("OUT", out)} delay ${delay} s, output 0 ohm\n${wire?.(out, `p${to}`) ?? ""}`;
    })
    .join("\n");
}
const inverter = (i: number) => `inverter s${i} p${i} -> OUT`;
const comparator = (i: number) => `supply half${i} = 2.5 V\ncomparator s${i} half${i} -> OUT minus p${i},`;
const nand = (i: number) => (i > 0 ? inverter(i) : "supply on = 5 V\ngate s0 p0 -> OUT nand on,");
const stages = { inverter, comparator, nand };

const cases = [3, 5, 7, 9].flatMap((n) =>
  (["inverter", "comparator", "nand"] as const).flatMap((kind) =>
    ["steady", "rest"].map((start) => [n, kind, start as "steady" | "rest"] as const),
  ),
);

it.each(cases)(
  "%d stages (%s), from %s: twice the sum of the delays, equal or not, in any order",
  (n, kind, start) => {
    const next = chance(n);
    for (let turn = 0; turn < tries(10); turn++) {
      const equal = turn % 2 === 0;
      const delays = Array.from({ length: n }, () => (equal ? 1 : 1 + Math.floor(900 * next())) * 1e-9);
      const lines = ring(delays, stages[kind]).split("\n");
      const text = (turn % 3 === 0 ? lines.reverse() : lines).join("\n");
      const period = 2 * delays.reduce((sum, delay) => sum + delay, 0);
      const run = simulate(compile(text), { until: 8.3 * period, start });
      expect([run.status, run.start]).toEqual(["complete", "rest"]);
      expect(run.warnings.filter((w) => w.includes("there is no steady state"))).toHaveLength(
        start === "rest" ? 0 : 1,
      );
      expect(Math.abs(periodOf(run.trace("p0"), 2.5) / period - 1)).toBeLessThan(1e-9);
    }
  },
);

it("two rings beside each other, and a row of stages behind one, each at its own period", () => {
  const one = ring([1e-6, 1e-6, 1e-6], inverter);
  const other = ring([2e-6, 2e-6, 2e-6, 2e-6, 2e-6], inverter).replace(/\b([psq])(\d)/g, "other$1$2");
  const row = "inverter t1 p0 -> t1 delay 1 us\ninverter t2 t1 -> t2 delay 0.5 us\ninverter t3 t2 -> t3";
  const run = simulate(compile(`${other}\n${row}\n${one}`), { until: "150 us" });
  for (const [place, period] of [
    ["p0", 6e-6],
    ["t3", 6e-6],
    ["otherp0", 20e-6],
  ] as const)
    expect(Math.abs(periodOf(run.trace(place), 2.5) / period - 1)).toBeLessThan(1e-9);
});

it("with a resistor and a capacitor between, with and without delay: one edge runs round all the same", () => {
  const next = chance(5);
  for (let turn = 0; turn < tries(20); turn++) {
    const n = [3, 5, 7][turn % 3];
    const [R, C] = [10 ** (2 + 3 * next()), 10 ** (-11 + 3 * next())];
    const [tau, td] = [R * C, turn % 2 === 0 ? 0 : R * C * (0.1 + next())];
    // Each capacitor swings about the threshold as under a square wave: from 5 V/(1 + exp(−P/2τ)) down to half of 5 V.
    let period = 2 * n * (td + tau);
    for (let k = 0; k < 200; k++)
      period = 2 * n * (td + tau * Math.log(2 / (1 + Math.exp(-period / (2 * tau)))));
    const wire = (from: string, to: string) =>
      `resistor r${to} ${from} -> ${to} ${R} ohm\ncapacitor c${to} ${to} -> ground ${C} F`;
    const run = simulate(compile(ring(Array(n).fill(td), inverter, wire)), { until: 40.3 * period });
    expect(run.warnings).toEqual([
      expect.stringMatching(/there is no steady state, so the run starts with .* about to switch/),
    ]);
    expect(Math.abs(periodOf(run.trace("p0"), 2.5, 25) / period - 1)).toBeLessThan(1e-6);
  }
});

it.each([2, 4, 6, 8])("%d stages latch, and could be either way", (n) => {
  const text = ring(Array(n).fill(1e-6), inverter);
  const run = simulate(compile(text), { until: "100 us" });
  const levels = Array.from({ length: n }, (_, i) => run.trace(`p${i}`).at(99e-6));
  expect(levels.map((v, i) => v + levels[(i + 1) % n])).toEqual(Array(n).fill(5));
  expect([run.start, run.events]).toEqual(["steady", []]);
  expect(run.warnings).toEqual([expect.stringMatching(/'s0'.* could be either way/)]);
});

it("a row of a hundred stages is at rest from the start, with delay and without", () => {
  for (const delay of ["", "delay 1 us"]) {
    const row = Array.from({ length: 100 }, (_, i) => `inverter s${i} p${i} -> p${i + 1} ${delay}`).join(
      "\n",
    );
    const run = simulate(compile(`supply p0 = 5 V\n${row}`), { until: "300 us" });
    expect([run.warnings, run.events]).toEqual([[], []]);
    expect(run.trace("p100").at(0)).toBe(5);
  }
});

// A ring whose stages all start discharged charges in step, which no two real stages do; nor do the gates of a latch that are let go at
// once (a race, whose end is open: common practice, no source).
it("equal stages from rest are told to be in step, with delay, with hysteresis and without; unequal ones are not", () => {
  const next = chance(9);
  for (let turn = 0; turn < tries(24); turn++) {
    const n = [2, 3, 5][turn % 3];
    const R = 10 ** (2 + 3 * next());
    const tau = R * 1e-9;
    const way = [(i: number) => `${inverter(i)} hysteresis 1 V,`, inverter, inverter][
      Math.floor(turn / 3) % 3
    ];
    const alike = Math.floor(turn / 9) % 2 === 0;
    const wire = (from: string, to: string) =>
      `resistor r${to} ${from} -> ${to} ${R} ohm\ncapacitor c${to} ${to} -> ground ${alike ? 1 : 1 + 0.1 * Number(to.slice(1))} nF`;
    const late = [0, 0, 0.1 + next()][Math.floor(turn / 3) % 3] * tau;
    const run = simulate(compile(ring(Array(n).fill(late), way, wire)), {
      until: 30 * (tau + late),
      start: "rest",
    });
    const told = run.warnings.filter((w) => w.includes("set each other and switch at one instant"));
    const all = Array.from({ length: n }, (_, i) => `'s${i}'`).join(", ");
    expect(told).toEqual(alike ? [expect.stringMatching(all)] : []);
  }
});

it("a latch that is let go on both sides at once is told, late or not; one that is let go on one side is not", () => {
  const latch = (second: number, late: string) => `signal s = path 5 V at 0 s, 5 V at 10 us, 0 V at 10 us
signal r = path 5 V at 0 s, 5 V at ${second} us, 0 V at ${second} us
gate a r -> q nor nq${late}
gate b s -> nq nor q${late}`;
  const told = (text: string) => simulate(compile(text), { until: "20 us" }).warnings;
  expect(told(latch(10, ", delay 100 ns"))).toEqual([
    expect.stringMatching(/^'a', 'b' set each other and switch at one instant, first at 10.1 µs/),
  ]);
  expect(told(latch(10, ""))).toEqual([expect.stringMatching(/^'a', 'b' could go either way at 10 µs/)]);
  for (const late of ["", ", delay 100 ns"]) expect(told(latch(12, late))).toEqual([]);
});

it("what switches together for a cause that it shares is not told: two switches of one ramp, twins, a clocked pair, a window", () => {
  const saw = (p: string) =>
    `current i${p} rail -> ${p} 1 mA\ncapacitor c${p} ${p} -> ground 10 nF\nswitch s${p} ${p} -> ground closed while ${p} above 3 V, open 0.5 V, on 10 ohm\n`;
  const rail = "supply rail = 12 V\n";
  for (const text of [
    `${rail}${saw("a")}resistor l rail -> x 1 kohm\nswitch other x -> ground closed while a above 3 V, open 0.5 V, on 10 ohm`,
    `${rail}${saw("a")}${saw("b")}`,
    "signal c = pulse 0 V to 5 V, wide 1 us, every 2 us, first 1 us\ngate n q1 -> d0 nor q1, delay 20 ns\ngate w q0 -> d1 and q0, delay 20 ns\nbistable b0 c -> q0 data d0\nbistable b1 c -> q1 data d1",
    "supply hi = 3 V\nsupply lo = 1 V\ncomparator up x -> s minus hi, delay 100 ns\ncomparator dn lo -> r minus x, delay 100 ns\ngate a s -> q nor nq\ngate b r -> nq nor q\nresistor w q -> x 10 kohm\ncapacitor c x -> ground 1 nF",
  ]) {
    const run = simulate(compile(text), { until: "100 us", start: "rest" });
    expect(run.events.length).toBeGreaterThan(8);
    expect(run.warnings.filter((w) => !w.startsWith("at the start"))).toEqual([]);
  }
});
