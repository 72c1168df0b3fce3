// Random trials against exact distributions: one even tolerance, several (Irwin-Hall), normal and sorted ones, tracking,
// temperature (X7R: ±15 %, EIA RS-198); and what they promise: the same alone, in any order, and in slices.
import { describe, expect, it } from "vitest";
import {
  compile,
  type Design,
  type DesignError,
  merge,
  readTrials,
  summarise,
  type TrialsOptions,
  trials,
} from "../../src/index.js";
import { tries } from "../counts.js";
import { irwinHall, strangeness, sum } from "./summing.js";

const spread = (design: Design, options: TrialsOptions = {}) => summarise(trials(design, options));
const first = 0;
const many = tries(2000, 4);
const measured = (design: Design, options: TrialsOptions = {}) =>
  trials(design, { trials: many, ...options }).measured[first];

/** Code and message of what is refused. */
function refusal(action: () => unknown): string {
  try {
    action();
  } catch (error) {
    const [d] = (error as DesignError).diagnostics;
    return `${d.code} ${d.message}`;
  }
  return "none";
}

describe("trials against exact distributions", () => {
  it("one even tolerance: the share that passes, the quantiles, the moments", () => {
    const [c] = spread(sum(["+- 10 %"], "below 1.05 V"), { trials: many }).checks;
    // From 0.9 V to 1.1 V, three quarters below 1.05 V.
    expect(c.pass.low).toBeLessThan(0.75);
    expect(c.pass.high).toBeGreaterThan(0.75);
    for (const { share, value } of c.quantiles) {
      // Four standard deviations of a counted share.
      const play = 4 * Math.sqrt((share * (1 - share)) / many) * 0.2;
      expect(Math.abs(value - (0.9 + 0.2 * share))).toBeLessThan(play);
    }
    expect(c.mean).toBeCloseTo(1, 2);
    expect(Math.abs(c.deviation / (0.2 / Math.sqrt(12)) - 1)).toBeLessThan(4 / Math.sqrt(2 * many));
    expect(c.lowest!.value).toBeGreaterThan(0.9);
    expect(c.lowest!.value).toBeLessThan(0.901);
    expect(c.highest!.causes).toEqual([
      { name: "v0", unit: "V", value: expect.closeTo(c.highest!.value, 9), place: expect.closeTo(1, 1) },
    ]);
    expect(c.costs).toEqual([{ name: "v0", correlation: expect.closeTo(1, 9), share: expect.closeTo(1, 9) }]);
  });

  it.each([1, 2, 3, 6])("%i even tolerances: Irwin and Hall", (n) => {
    const all = measured(sum(Array(n).fill("+- 0.5 V"), "below 99 V"));
    expect(strangeness(all, (x) => irwinHall(x - n / 2, n))).toBeLessThan(1.95);
  });

  it("the share of the variance: the squares of the tolerances", () => {
    const [c] = spread(sum(["+- 0.3 V", "+- 0.1 V", "+- 0.2 V"], "below 9 V"), { trials: many }).checks;
    expect(c.costs.map((cost) => cost.name)).toEqual(["v0", "v2", "v1"]);
    c.costs.forEach(({ share, correlation }, i) => {
      expect(Math.abs(share - [9, 4, 1][i] / 14)).toBeLessThan(4 / Math.sqrt(many));
      expect(correlation).toBeGreaterThan(0);
    });
  });

  it("a lopsided tolerance is even over the whole of it", () => {
    const all = measured(sum(["-20 % / +80 %"], "below 9 V"));
    expect(strangeness(all, (x) => Math.min(1, Math.max(0, x - 0.8)))).toBeLessThan(1.95);
  });

  it("normal: its standard deviation is a third of the tolerance, nothing beyond", () => {
    const all = measured(sum(["+- 30 %, spread normal"], "below 9 V"));
    // The normal integral as a series (Abramowitz & Stegun 26.2.11), cut at three standard deviations.
    const below = (z: number) => {
      let [term, total] = [z, z];
      for (let k = 1; k < 80; k++) {
        term *= (z * z) / (2 * k + 1);
        total += term;
      }
      return (total * Math.exp((-z * z) / 2)) / Math.sqrt(2 * Math.PI);
    };
    expect(strangeness(all, (x) => 0.5 + below((x - 1) / 0.1) / (2 * below(3)))).toBeLessThan(1.95);
    expect(Math.min(...all)).toBeGreaterThanOrEqual(0.7);
    expect(Math.max(...all)).toBeLessThanOrEqual(1.3);
  });

  it("sorted: none near the value, half on each side", () => {
    const off = measured(sum(["+- 10 %, spread sorted, gap 5 %"], "below 9 V")).map((v) => v - 1);
    expect(Math.min(...off.map(Math.abs))).toBeGreaterThan(0.05 - 1e-9);
    expect(Math.max(...off.map(Math.abs))).toBeLessThan(0.1 + 1e-9);
    const below = off.filter((d) => d < 0).length;
    expect(Math.abs(below - many / 2)).toBeLessThan(4 * Math.sqrt(many / 4));
    // Half of the tolerance is the gap unless one is given, in the value's unit too.
    const gap = (words: string) =>
      Math.min(...measured(sum([words], "below 9 V")).map((v) => Math.abs(v - 1)));
    expect(gap("+- 10 %, spread sorted")).toBeGreaterThan(0.05 - 1e-9);
    expect(gap("+- 10 %, gap 20 mV")).toBeGreaterThan(0.02 - 1e-9);
    expect(gap("+- 10 %, gap 20 mV")).toBeLessThan(0.03);
  });

  it("what tracks stands at the same place of its own tolerance; what does not, does not", () => {
    const ratio = (words: string) => {
      const text = `resistor a p -> m 1 kohm +- 10 %\nresistor b m -> ground 1 kohm +- 10 %${words}
supply p = 10 V\nrun for 1 us\ncheck "half" value of m at 0.5 us is 5 V +- 1 %`;
      return spread(compile(text), { trials: 200 });
    };
    const [together, apart] = [ratio(", tracks a"), ratio("")];
    expect(together.axes.map(({ name, tracked }) => [name, tracked])).toEqual([["a", ["b"]]]);
    expect(together.checks[0].deviation).toBeLessThan(1e-9);
    expect(together.checks[0].pass.share).toBe(1);
    // To first order 5 V (1 + (b − a)/2): standard deviation 5 V/2 · 10 %/√3 · √2 = 0.204 V.
    expect(Math.abs(apart.checks[0].deviation / 0.204 - 1)).toBeLessThan(0.2);
    // By half as much: a tolerance half as wide moves half as far.
    const text = `given a = 1 V +- 40 %\nvoltage v x -> ground a\nvoltage w y -> ground 1 V +- 20 %, tracks a
resistor r x -> ground 1 kohm\nresistor s y -> ground 1 kohm\nrun for 1 us
check "x" value of x at 0.5 us below 9 V\ncheck "y" value of y at 0.5 us below 9 V`;
    const { measured: m } = trials(compile(text), { trials: 20 });
    m[0].forEach((x, i) => {
      expect(m[1][i] - 1).toBeCloseTo((x - 1) / 2, 9);
    });
  });

  it("a named value moves all that is made of it as one, and what is written at a part counts besides", () => {
    const text = (own: string) => `given v = 1 V +- 10 %\ngiven twice = 2 * v
voltage a x -> ground v\nvoltage b y -> x twice${own}
resistor r y -> ground 1 kohm\nrun for 1 us
check "x" value of x at 0.5 us below 9 V\ncheck "y" value of y at 0.5 us below 9 V`;
    const plain = trials(compile(text("")), { trials: 50 });
    expect(plain.axes.map((a) => a.name)).toEqual(["v"]);
    plain.measured[0].forEach((x, i) => {
      expect(plain.measured[1][i]).toBeCloseTo(3 * x, 9);
    });
    const own = trials(compile(text(" +- 1 %")), { trials: 50 });
    expect(own.axes.map((a) => a.name)).toEqual(["v", "b"]);
    const factors = own.measured[0].map((x, i) => (own.measured[1][i] - x) / (2 * x));
    for (const f of factors) expect(Math.abs(f - 1)).toBeLessThan(0.01 + 1e-9);
    expect(Math.max(...factors) - Math.min(...factors)).toBeGreaterThan(0.01);
  });
});

describe("temperature", () => {
  // 0.65 V across 650 ohm, -0.3 %/K: the two-transistor current (common practice, no source).
  const current = (limit: string) =>
    compile(`given drop = 0.65 V, drift -0.3 %/K
voltage sense a -> ground drop\nresistor set a -> ground 650 ohm\nrun for 1 us
check "current" value of set.current at 0.5 us ${limit}`);

  it("drift: a share a kelvin, about the temperature at which values hold", () => {
    const options = { trials: many, temperature: { from: "-25 K", to: "25 K" } };
    const result = spread(current("between 0.95 mA and 1.05 mA"), options);
    expect(result.axes.map((a) => [a.what, a.low, a.nominal, a.high])).toEqual([["temperature", -25, 0, 25]]);
    const [c] = result.checks;
    // 1 mA ± 7.5 %, even: 2/3 lies within ± 5 %.
    expect(c.pass.low).toBeLessThan(2 / 3);
    expect(c.pass.high).toBeGreaterThan(2 / 3);
    const { value } = c.highest!.causes[0];
    expect(c.highest!.value).toBeCloseTo(1e-3 * (1 - 0.003 * value), 12);
    expect(c.lowest!.value).toBeGreaterThanOrEqual(1e-3 * (1 - 0.075));
    expect(c.costs[0].correlation).toBeCloseTo(-1, 9);
  });

  it("one temperature, absolute drifts, drifts with tolerances", () => {
    const hot = sum(["+- 1 %, drift -2 mV/K"], "below 9 V");
    const at = (from: string, to = from) => measured(hot, { temperature: { from, to }, trials: 20 });
    const cold = measured(hot, { trials: 20 });
    at("10 K").forEach((v, i) => {
      expect(v).toBeCloseTo(cold[i] - 0.02, 9);
    });
    const loose = sum(["+- 0.001 ppm, drift 0 ppm/K +- 1000 ppm/K"], "below 9 V");
    const all = measured(loose, { temperature: { from: "100 K", to: "100 K" } });
    // ± 1000 ppm/K over 100 K: even from 0.9 V to 1.1 V.
    expect(strangeness(all, (x) => Math.min(1, Math.max(0, (x - 0.9) / 0.2)))).toBeLessThan(1.95);
  });

  it("X7R: ±15 % with temperature, besides the purchase tolerance", () => {
    const x7r = sum(["+- 10 %, wanders 15 %"], "below 9 V");
    const all = measured(x7r, { temperature: { from: "-30 K", to: "60 K" } });
    expect(Math.min(...all)).toBeGreaterThanOrEqual(0.9 * 0.85);
    expect(Math.max(...all)).toBeLessThanOrEqual(1.1 * 1.15);
    expect(Math.max(...all)).toBeGreaterThan(1.1 * 1.1);
    // Without a range of temperatures it does not count.
    expect(Math.max(...measured(x7r))).toBeLessThanOrEqual(1.1);
  });
});

describe("what trials promise", () => {
  const design = sum(["+- 10 %", "+- 5 %, spread normal", "+- 1 %, drift 100 ppm/K"], "is 3 V +- 5 %");
  const options = { temperature: { from: "-20 K", to: "30 K" } } as const;
  const run = (from: number, to: number, seed = 7) =>
    trials(design, { ...options, seed, trials: { from, to } });

  it("trial 4711 is the same alone as among others, and other seeds and designs leave it alone", () => {
    const alone = run(4711, 4712).measured[0][0];
    expect(run(4700, 4720).measured[0][11]).toBe(alone);
    expect(run(4711, 4712, 8).measured[0][0]).not.toBe(alone);
    // A part with a tolerance more, that does not matter, moves nothing.
    const wider = sum(
      ["+- 10 %", "+- 5 %, spread normal", "+- 1 %, drift 100 ppm/K"],
      "is 3 V +- 5 %",
      "resistor beside a -> ground 1 kohm +- 5 %\nresistor there a -> ground 1 kohm",
    );
    expect(trials(wider, { ...options, seed: 7, trials: { from: 4711, to: 4712 } }).measured[0][0]).toBe(
      alone,
    );
  });

  it("slices merged in any order, through JSON, are what one run gives", () => {
    const whole = run(0, 30);
    const json = (slice: object) =>
      readTrials(JSON.parse(JSON.stringify(slice, (_, v) => (Number.isNaN(v) ? null : v))));
    const [a, b, c] = [run(0, 7), run(7, 20), run(20, 30)].map(json) as [
      typeof whole,
      typeof whole,
      typeof whole,
    ];
    expect(merge(merge(c, a), b)).toEqual(whole);
    expect(merge(a, merge(b, c))).toEqual(whole);
    expect(merge(a, c).slices).toEqual([
      [0, 7],
      [20, 30],
    ]);
    expect(summarise(merge(a, merge(b, c)))).toEqual(summarise(whole));
  });

  it("slices that do not belong together are refused", () => {
    expect(refusal(() => merge(run(0, 5), run(4, 9)))).toBe("overlapping-trials trial 4 is in two slices");
    expect(refusal(() => merge(run(0, 5), run(2, 5)))).toBe(
      "overlapping-trials trials 2 to 4 are in two slices",
    );
    expect(refusal(() => merge(run(0, 5), run(5, 9, 8)))).toMatch(/^different-trials .* seeds, 7 and 8/);
    const other = trials(sum(["+- 10 %"], "is 3 V +- 5 %"), { trials: { from: 5, to: 9 } });
    expect(refusal(() => merge(run(0, 5), other))).toMatch(/^different-trials .* different designs/);
    const cooler = trials(design, { seed: 7, trials: { from: 5, to: 9 } });
    expect(refusal(() => merge(run(0, 5), cooler))).toMatch(/^different-trials/);
    const longer = trials(design, {
      ...options,
      seed: 7,
      trials: { from: 5, to: 9 },
      simulate: { until: "2 us" },
    });
    expect(refusal(() => merge(run(0, 5), longer))).toMatch(/^different-trials/);
  });

  it.each<[string, unknown]>([
    ["nothing", null],
    ["a number", 1],
    ["another file", { title: "x" }],
    ["a value too few", { ...trials(sum(["+- 1 %"], "below 9 V"), { trials: 3 }), measured: [[1, 1]] }],
    [
      "a word among the values",
      { ...trials(sum(["+- 1 %"], "below 9 V"), { trials: 1 }), measured: [["a"]] },
    ],
    [
      "slices that fall",
      {
        ...trials(sum(["+- 1 %"], "below 9 V"), { trials: 2 }),
        slices: [
          [1, 2],
          [0, 1],
        ],
      },
    ],
  ])("data that is no slice is refused: %s", (_, data) => {
    expect(refusal(() => readTrials(data))).toBe("no-trials this is no slice of trials");
  });

  it("what is asked and makes no sense is refused before anything runs", () => {
    const asked = (more: TrialsOptions) => refusal(() => trials(design, more));
    expect(asked({ trials: 0 })).toBe("bad-option trials: there is no trial to run");
    expect(asked({ trials: 1e12 })).toMatch(/^bad-option trials: 1000000000000 trials are more than/);
    expect(asked({ trials: 1.5 })).toMatch(/^bad-option trials/);
    expect(asked({ trials: { from: -1, to: 3 } })).toMatch(/^bad-option trials/);
    expect(asked({ trials: { from: 5, to: 5 } })).toMatch(/^bad-option trials/);
    expect(asked({ seed: -1 })).toMatch(/^bad-option seed/);
    expect(asked({ seed: 0.5 })).toMatch(/^bad-option seed/);
    expect(asked({ case: "dark" })).toBe('bad-option case: no case is called "dark"');
    expect(asked({ checks: ["some"] })).toBe('unknown-check no check is called "some"');
    expect(asked({ temperature: { from: "3 V", to: "1 K" } })).toMatch(/^bad-option temperature.from/);
    expect(asked({ temperature: { from: "3 K", to: "1 K" } })).toMatch(/^bad-option temperature/);
    expect(refusal(() => trials(sum([""], "below 9 V")))).toMatch(
      /^bad-option design: nothing in it has a tolerance/,
    );
  });

  it("cancelled half way, what is done is kept and is what it would have been", () => {
    const signal = { aborted: false };
    const half = trials(design, {
      ...options,
      seed: 7,
      trials: 30,
      signal,
      progress: (done) => {
        if (done === 15) signal.aborted = true;
      },
    });
    expect(half.slices).toEqual([[0, 15]]);
    expect(merge(half, run(15, 30))).toEqual(run(0, 30));
  });

  it("a trial without a value fails, says why and counts in nothing else", () => {
    const text = `given on = 10 ohm +- 10 %, drift -1 %/K\nsupply p = 1 V\nresistor r p -> ground on
run for 1 us\ncheck "flows" value of r.current at 0.5 us above 1 mA`;
    // At 100 K and more the resistance falls to nothing, which no resistor has.
    const result = spread(compile(text), { trials: 200, temperature: { from: "0 K", to: "200 K" } });
    const [c] = result.checks;
    expect(c.count + c.missing).toBe(200);
    expect(Math.abs(c.missing - 100)).toBeLessThan(4 * Math.sqrt(50));
    expect(c.pass).toMatchObject({ count: c.count, of: 200 });
    expect(result.missing).toHaveLength(c.missing);
    expect(result.missing[0].reason).toMatch(/greater than zero/);
  });

  it("a case's own value spreads by its own tolerance", () => {
    const text = `given v = 1 V +- 10 %\nvoltage a x -> ground v\nresistor r x -> ground 1 kohm\nrun for 1 us
check "x" value of x at 0.5 us below 9 V in every case\ncase "high" v is 5 V +- 1 %\ncase "exact" v is 3 V`;
    const result = spread(compile(text), { trials: 100, cases: true });
    expect(result.checks.map((c) => c.case)).toEqual(["", "high", "exact"]);
    const [, high, exact] = result.checks;
    expect(high.lowest!.value).toBeGreaterThanOrEqual(4.95);
    expect(high.highest!.value).toBeLessThanOrEqual(5.05);
    expect(high.highest!.value).toBeGreaterThan(5.04);
    expect([exact.lowest!.value, exact.highest!.value]).toEqual([3, 3]);
    expect(spread(compile(text), { trials: 5, case: "high" }).checks.map((c) => c.case)).toEqual(["high"]);
  });
});
