// Varying a value against closed forms (V = I t / C, and a divider), at every point of linear, even-ratio and preferred
// spacing; where nothing is measured; traces over each other; and what makes no sense.
import { describe, expect, it } from "vitest";
import { compile, type DesignError, type VaryOptions, vary } from "../../src/index.js";

const design = compile(`
supply p = 12 V
given timing = 10 nF
current feed p -> ramp 1 mA
capacitor hold ramp -> ground timing
switch reset ramp -> ground closed before 10 us
run for 80 us
check "fills" value of ramp at 62.6 us is 3.95 V +- 3 %
check "early" crossing of ramp rising through 2.5 V below 50 us
case "weak" feed is 0.5 mA
check "still" value of ramp at 62.6 us above 1 V
case "quiet" feed is 0.1 mA`);
const asked: VaryOptions = { value: "timing", from: "4.7 nF", to: "100 nF", points: 9 };

describe("vary", () => {
  it("V = I t / C at every point, and the limits beside it", () => {
    const v = vary(design, asked);
    expect(v.points).toHaveLength(9);
    expect([v.points[0], v.points[8]]).toEqual([4.7e-9, 1e-7]);
    // Even ratios: the middle is the geometric mean.
    expect(v.points[4]).toBeCloseTo(Math.sqrt(4.7e-9 * 1e-7), 16);
    const [fills, early] = v.checks;
    expect(fills).toMatchObject({ name: "fills", case: "", unit: "V", limit: { low: 3.8315, high: 4.0685 } });
    v.points.forEach((c, i) => {
      expect(fills.measured[i] / (52.6e-9 / c)).toBeCloseTo(1, 6);
      expect(fills.pass[i]).toBe(52.6e-9 / c >= 3.8315 && 52.6e-9 / c <= 4.0685);
      // 2.5 V is reached after 2.5 V C / I, if that is before the run ends, 70 us after the ramp begins.
      const crosses = 10e-6 + 2500 * c;
      if (crosses < 80e-6) expect(early.measured[i] / crosses).toBeCloseTo(1, 6);
      else expect(early.measured[i]).toBeNaN();
      expect(early.reasons[i] !== "").toBe(crosses >= 80e-6);
    });
    expect(v.value).toEqual({ name: "timing", unit: "F", nominal: 1e-8, spacing: "log" });
    expect(v.stopped).toEqual([]);
  });

  it("linear spacing, preferred values, another case, checks by name", () => {
    const linear = vary(design, { ...asked, from: 10e-9, to: 15e-9, points: 3, checks: ["still"] });
    expect(linear.points).toEqual([10e-9, 12.5e-9, 15e-9]);
    expect(linear.checks.map((c) => `${c.name} ${c.case}`)).toEqual(["still weak"]);
    linear.points.forEach((c, i) => {
      expect(linear.checks[0].measured[i] / (26.3e-9 / c)).toBeCloseTo(1, 6);
    });
    const preferred = vary(design, { ...asked, spacing: "E6", case: "weak" });
    expect(preferred.points).toEqual([4.7e-9, 6.8e-9, 1e-8, 1.5e-8, 2.2e-8, 3.3e-8, 4.7e-8, 6.8e-8, 1e-7]);
    expect(preferred.checks.map((c) => c.name)).toEqual(["still"]);
  });

  it("judges by the limit that the value makes there, as a check at that value does", () => {
    const text = (limit: string) => `
supply p = 12 V
given timing = 10 nF
current feed p -> ramp 1 mA
capacitor hold ramp -> ground timing
switch reset ramp -> ground closed before 10 us
run for 80 us
check "half" value of ramp at 60 us above ${limit}
check "still" value of ramp at 60 us above 1 V`;
    // V = I t / C: 5 V of 10 nF, 4.17 V of 12 nF, which is less than the 4.8 V asked for there, and more than 4 V.
    const options: VaryOptions = { value: "timing", values: ["10 nF", "12 nF"] };
    const [half, still] = vary(compile(text("timing / 10 nF * 4 V")), options).checks;
    expect(half.pass).toEqual([true, false]);
    expect(half.limits!.map(({ low }) => low)).toEqual([4, 4.8]);
    expect(still.limits).toBeUndefined();
    expect(vary(compile(text("4 V")), options).checks[0].pass).toEqual([true, true]);
  });

  it("a value that the case sets, too", () => {
    const options: VaryOptions = { value: "feed", values: ["0.4 mA", "1 mA", "1.5 mA"] };
    for (const more of [{ case: "weak" }, { checks: ["still"] }]) {
      const { value, checks } = vary(design, { ...options, ...more });
      // V = I t / C
      [0.4, 1, 1.5].forEach((milli, i) => {
        expect(checks[0].measured[i]).toBeCloseTo((milli * 52.6) / 10, 6);
      });
      expect(value.nominal).toBe("case" in more ? 0.5e-3 : 1e-3);
    }
  });

  it("values named one by one, in whatever order", () => {
    const { value, points, checks } = vary(design, { value: "timing", values: ["22 nF", 10e-9, "15 nF"] });
    expect(points).toEqual([1e-8, 1.5e-8, 2.2e-8]);
    points.forEach((c, i) => {
      expect(checks[0].measured[i] / (52.6e-9 / c)).toBeCloseTo(1, 6);
    });
    // What suits an axis of them: more than an octave.
    expect(value.spacing).toBe("log");
    expect(vary(design, { value: "timing", values: [1e-8] }).value.spacing).toBe("linear");
  });

  it("keeps traces, named after their values", () => {
    const v = vary(design, { ...asked, points: 3, traces: ["ramp", "hold.current"], case: "quiet" });
    expect(v.checks).toEqual([]);
    expect(v.traces.map((t) => `${t.name} ${t.unit}`)).toEqual(["ramp V", "hold.current A"]);
    expect(v.traces[0].runs.map((t) => t!.name)).toEqual(["4.7 nF", "21.7 nF", "100 nF"]);
    v.points.forEach((c, i) => {
      expect(v.traces[0].runs[i]!.at(60e-6) / ((0.1e-3 * 50e-6) / c)).toBeCloseTo(1, 6);
    });
  });

  it("values that make no sound design, or a run that stops, are points without a value", () => {
    const pair = compile(`
supply p = 12 V
given low = 1 V
signal gate = pulse 0 V to 5 V, wide 10 us, every 20 us
resistor r p -> out 1 kohm
switch s out -> ground closed while gate above 3 V, open low, on 10 ohm
run for 100 us
check "high" peak of out below 13 V`);
    const v = vary(pair, { value: "low", from: 1, to: 5, points: 5 });
    // A switch may not open above the level at which it closes.
    expect(v.checks[0].measured.map(Number.isNaN)).toEqual([false, false, false, true, true]);
    expect(v.checks[0].reasons[4]).toMatch(/would open above/);
  });

  it("tells how far it is, and gives equal bits each time", () => {
    const seen: string[] = [];
    const ask = () => vary(design, { ...asked, points: 3, progress: (n, of) => seen.push(`${n}/${of}`) });
    const first = JSON.stringify(ask());
    expect(seen).toEqual(["1/3", "2/3", "3/3"]);
    expect(JSON.stringify(ask())).toBe(first);
  });

  it.each<[string, VaryOptions["values"], RegExp]>([
    ["none", [], /expected a list of values/],
    ["no list", "10 nF" as never, /expected a list of values/],
    ["a wrong unit", ["10 nF", "1 ohm"], /a resistance/],
    ["one twice", ["10 nF", 10e-9], /stands there twice/],
    ["very many", new Array(10_001).fill(1), /too many/],
  ])("refuses values: %s", (_, values, message) => {
    expect(() => vary(design, { value: "timing", values })).toThrow(message);
  });

  it.each<[string, Partial<VaryOptions>, RegExp]>([
    ["an unknown value", { value: "timng" }, /no value of the design is called 'timng'/],
    ["a range that falls", { from: "1 uF" }, /does not rise/],
    ["a wrong unit", { from: "1 ohm" }, /a resistance/],
    ["below what the part allows", { value: "hold", from: 0 }, /greater than zero/],
    ["one point", { points: 1 }, /points/],
    ["a million points", { points: 1e6 }, /points/],
    ["half a point", { points: 2.5 }, /points/],
    ["an unknown spacing", { spacing: "even" as never }, /no 'even'/],
    ["even ratios from zero", { from: 0, spacing: "log" }, /begins above zero/],
    ["no preferred value there", { from: 11e-9, to: 14e-9, spacing: "E3" }, /no value of E3/],
    ["an unknown case", { case: "week" }, /no case is called "week"/],
    ["an unknown check", { checks: ["filled"] }, /no check is called "filled"/],
    ["an unknown trace", { traces: ["rump"] }, /no trace 'rump'/],
    ["no range", { from: undefined }, /a range has two ends/],
    ["a range and values", { values: ["10 nF"] }, /the values are named one by one/],
    ["nothing to look at", { case: "quiet" }, /nothing to look at/],
  ])("refuses %s", (_, options, message) => {
    let caught: unknown;
    try {
      vary(design, { ...asked, ...options });
    } catch (error) {
      caught = error;
    }
    expect((caught as DesignError).diagnostics[0].message).toMatch(message);
  });
});
