// The worst case against algebra: of a linear sum the extremes are the sums of the bounds, the root of the sum of squares that
// of the tolerances; of a divider the corners are known. Few corners are all run, many by signs, too many refused.
import { describe, expect, it } from "vitest";
import { compile, corners, type DesignError } from "../../src/index.js";
import { sum } from "./summing.js";

describe("corners", () => {
  it("of a linear sum: all corners, the extremes, the root of the sum of squares", () => {
    const sizes = [0.3, 0.1, 0.2];
    const w = corners(
      sum(
        sizes.map((s) => `+- ${s} V`),
        "between 2.5 V and 3.5 V",
      ),
    );
    expect([w.method, w.corners, w.runs, w.within]).toEqual(["corners", 8, 15, 0]);
    const [c] = w.checks;
    expect(c.nominal).toBeCloseTo(3, 12);
    expect(c.lowest!.value).toBeCloseTo(2.4, 12);
    expect(c.highest!.value).toBeCloseTo(3.6, 12);
    expect(c.highest!.causes.map((one) => [one.name, one.value, one.place])).toEqual([
      ["v0", 1.3, 1],
      ["v1", 1.1, 1],
      ["v2", 1.2, 1],
    ]);
    const root = Math.sqrt(0.09 + 0.01 + 0.04);
    expect(c.squares.low).toBeCloseTo(3 - root, 12);
    expect(c.squares.high).toBeCloseTo(3 + root, 12);
    // Two of the eight corners lie outside: all up, all down.
    expect([c.pass, c.failing]).toEqual([false, 2]);
    expect(c.effects.map((e) => [e.name, Number(e.share.toFixed(9))])).toEqual([
      ["v0", Number((9 / 14).toFixed(9))],
      ["v2", Number((4 / 14).toFixed(9))],
      ["v1", Number((1 / 14).toFixed(9))],
    ]);
    expect(
      corners(
        sum(
          sizes.map((s) => `+- ${s} V`),
          "between 2.3 V and 3.7 V",
        ),
      ).checks[0].pass,
    ).toBe(true);
  });

  it("of a lopsided tolerance: each side by itself", () => {
    const [c] = corners(sum(["-0.1 V / +0.4 V", "-0.3 V / +0.2 V"], "below 9 V")).checks;
    expect(c.squares.low).toBeCloseTo(2 - Math.hypot(0.1, 0.3), 12);
    expect(c.squares.high).toBeCloseTo(2 + Math.hypot(0.4, 0.2), 12);
  });

  // V = I t / C, stopped at 5 V + 0.6 V by an ideal guard: either value alone brings it there, both lead no farther.
  it("of what does not add up: the root of squares ends at the worst case, and says so", () => {
    const text = (volts: string) => `supply p = 24 V
supply logic = 5 V
current feed p -> ramp 1 mA +- 10 %
capacitor hold ramp -> ground 10 nF +- 10 %
switch reset ramp -> ground closed before 10 us
diode guard ramp -> logic drop 0.6 V
run for 70 us
check "height" value of ramp at ${volts} below 9 V`;
    const [c] = corners(compile(text("62 us"))).checks;
    expect(c.nominal).toBeCloseTo(5.2, 6);
    expect(c.highest!.value).toBeCloseTo(5.6, 6);
    // Each alone moves it by 0.4 V, so the plain root would be 5.2 V + 0.57 V; downwards 0.52 V and 0.47 V do add.
    expect(c.squares).toMatchObject({ adds: false });
    expect(c.squares.high).toBeCloseTo(5.6, 6);
    expect(c.squares.low).toBeCloseTo(5.2 - Math.hypot(0.52, 5.2 - 5.2 / 1.1), 6);
    const [free] = corners(compile(text("40 us"))).checks;
    expect(free.squares.adds).toBe(true);
    expect(free.squares.high).toBeCloseTo(3 + Math.hypot(0.3, 3 / 0.9 - 3), 6);
  });

  describe("of what turns round", () => {
    // The power of a load is largest where it equals its source's resistance: V^2 / 4 R. Source and load apart lower it.
    const power = (source: number, sink: number) => (100 * sink) / (source + sink) ** 2;
    const loaded = (source: string, sink: string, limit: string) => `supply p = 10 V
resistor source p -> out ${source}
resistor sink out -> ground ${sink}
run for 1 ms
check "power" mean power of sink ${limit}`;
    const worstOf = (text: string) => corners(compile(text)).checks[0];

    it("it is found between the ends of a value", () => {
      const c = worstOf(loaded("100 ohm +- 5 %", "100 ohm +- 20 %", "below 0.3 W"));
      expect(c.highest!.value).toBeCloseTo(100 / (4 * 95), 9);
      expect(c.lowest!.value).toBeCloseTo(Math.min(power(105, 80), power(105, 120), power(95, 80)), 9);
      expect(c.squares.high).toBeLessThanOrEqual(c.highest!.value);
      expect(c.squares.low).toBeGreaterThanOrEqual(c.lowest!.value);
    });

    it("a limit that only what stands between is beyond fails, on either side of what is designed", () => {
      // At both ends, and as designed, it is below 24.995 mW; at 1 kohm it is 25 mW.
      for (const sink of ["1.2 kohm +- 20 %", "0.85 kohm +- 25 %", "1.15 kohm -20 % / +40 %"]) {
        const c = worstOf(loaded("1 kohm", sink, "below 24.995 mW"));
        expect(c).toMatchObject({ pass: false, failing: 0 });
        expect(c.highest!.value).toBeCloseTo(0.025, 9);
        expect(c.highest!.causes[0].value).toBeCloseTo(1000, 0);
      }
    });

    // Each alone: the crest of one lies within only where the others stand elsewhere, close to an end, or beside the design itself.
    it.each([
      ["crest beside what is designed", 0.25, [1064, 12.4], [977.7, 21.2]],
      ["crest within only at the corner", 1.3, [843.7, 23.8], [598.1, 12.2]],
      ["crest a fiftieth in from the end", 0, [1265.9, 29.8], [1322.9, 34.2]],
      ["crest outside", 1, [1200, 10], [700, 5]],
    ])("source, load and supply turn each other's effect: %s", (_, volts, [source, t], [sink, u]) => {
      const text = loaded(`${source} ohm +- ${t} %`, `${sink} ohm +- ${u} %`, "below 1 W");
      const c = worstOf(text.replace("10 V", `10 V +- ${volts} %`));
      // By algebra: the source at its low end, the load as near to it as it can come.
      const low = source * (1 - t / 100);
      const met = Math.min(Math.max(low, sink * (1 - u / 100)), sink * (1 + u / 100));
      expect(c.highest!.value / (power(low, met) * (1 + volts / 100) ** 2)).toBeCloseTo(1, 6);
    });

    // Against a dense grid of the closed form. Of none of them a single value has its crest within its tolerance.
    it.each<[string, readonly number[], readonly number[], (v: readonly number[]) => number]>([
      [
        "a loaded divider",
        [7270, 226, 466],
        [30, 26, 50],
        ([a, b, l]) => (10 / a / (1 / a + 1 / b + 1 / l)) ** 2 / l,
      ],
      [
        "an unbalanced bridge",
        [158, 826, 202, 519, 101],
        [35, 16, 19, 31, 37],
        ([a, b, c, d, l]) => {
          const [here, there] = [1 / a + 1 / b + 1 / l, 1 / c + 1 / d + 1 / l];
          const whole = here * there - 1 / l / l;
          const x = (there * 10) / a + 10 / c / l;
          const y = (here * 10) / c + 10 / a / l;
          return ((x - y) / whole) ** 2 / l;
        },
      ],
    ])("crests that show only where other values stand elsewhere: %s", (_, ohms, percent, form) => {
      const ends = [
        "p -> x",
        "x -> ground",
        ...(ohms.length > 3 ? ["p -> y", "y -> ground", "x -> y"] : ["x -> ground"]),
      ];
      const parts = ohms.map((r, i) => `resistor r${i} ${ends[i]} ${r} ohm +- ${percent[i]} %\n`).join("");
      const last = ohms.length - 1;
      const c = worstOf(
        `supply p = 10 V\n${parts}run for 1 us\ncheck "heat" peak power of r${last} below 1 MW`,
      );
      const steps = last > 2 ? 10 : 60;
      let [lowest, highest] = [Number.POSITIVE_INFINITY, 0];
      for (let n = 0; n < (steps + 1) ** ohms.length; n++) {
        const place = (i: number) => (2 * (Math.floor(n / (steps + 1) ** i) % (steps + 1))) / steps - 1;
        const p = form(ohms.map((r, i) => r * (1 + (percent[i] / 100) * place(i))));
        [lowest, highest] = [Math.min(lowest, p), Math.max(highest, p)];
      }
      expect(c.highest!.value).toBeGreaterThan(highest * (1 - 1e-6));
      expect(c.lowest!.value).toBeLessThan(lowest + 1e-6 * highest);
    });

    it("the design itself counts, where it is the worst of all", () => {
      const c = worstOf(loaded("1 kohm", "1 kohm +- 20 %", "below 24.9 mW"));
      expect(c).toMatchObject({ pass: false, failing: 0, nominal: c.highest!.value });
    });
  });

  it("by signs where there are many: the divider of forty resistors, V R/(R + R') at its corners", () => {
    const text = Array.from({ length: 40 }, (_, i) => {
      const [a, b] = [i === 0 ? "p" : `n${i}`, i === 39 ? "ground" : `n${i + 1}`];
      return `resistor r${i} ${a} -> ${b} 1 kohm +- 5 %`;
    }).join("\n");
    const design = compile(
      `supply p = 10 V\n${text}\nrun for 1 us\ncheck "half" value of n20 at 0.5 us is 5 V +- 5.001 %`,
    );
    const w = corners(design);
    // 40 axes, both ends of each, as designed, and two corners.
    expect([w.method, w.corners, w.runs]).toEqual(["signs", 2 ** 40, 83]);
    const [c] = w.checks;
    expect(c.lowest!.value).toBeCloseTo((10 * 0.95) / 2, 9);
    expect(c.highest!.value).toBeCloseTo((10 * 1.05) / 2, 9);
    expect(c.pass).toBe(true);
    // A search of all of them is refused, with their number, before anything runs.
    const refused = (() => {
      try {
        corners(design, { exact: true, progress: () => expect.unreachable() });
      } catch (error) {
        return (error as DesignError).diagnostics[0];
      }
      return undefined;
    })();
    expect(refused!.code).toBe("bad-option");
    expect(refused!.message).toContain("1 099 511 627 776 corners");
  });

  // A bridge of four arms in balance, three resistors each: alone each unbalances it either way, together they add where the signs
  // of opposite arms agree. Source and resistance of the bridge after Thevenin; of its 2^14 corners those count where arms go as one.
  it.each([1000, 1020])(
    "by signs, where effects turn each other round: a bridge about balance, one resistor %s ohm",
    (first) => {
      const arms = ["p x", "x ground", "p y", "y ground"].map((ends, a) => {
        const [from, to] = ends.split(" ");
        const places = [from, `a${a}`, `b${a}`, to];
        return [0, 1, 2].map(
          (i) =>
            `resistor r${a}${i} ${places[i]} -> ${places[i + 1]} ${a === 0 && i === 0 ? first : 1000} ohm +- 2 %`,
        );
      });
      const text = `supply p = 10 V +- 1 %
${arms.flat().join("\n")}
resistor meter x -> y 500 ohm +- 1 %
run for 1 us
check "power" mean power of meter below 1 W`;
      const [c] = corners(compile(text)).checks;
      const powers = Array.from({ length: 32 }, (_, corner) => {
        const at = (bit: number, share: number) => 1 + ((corner >> bit) & 1 ? share : -share);
        const [r1, r2, r3, r4] = [2000 + first, 3000, 3000, 3000].map((r, i) => r * at(i, 0.02));
        const meter = 500 * at(4, 0.01);
        const open = 10.1 * (r2 / (r1 + r2) - r4 / (r3 + r4));
        return (open / ((r1 * r2) / (r1 + r2) + (r3 * r4) / (r3 + r4) + meter)) ** 2 * meter;
      });
      expect(c.highest!.value / Math.max(...powers)).toBeCloseTo(1, 9);
    },
  );

  it("the exact search, of a measure that bends: what a diode lets through of a sum", () => {
    const text = `given a = 0 V +- 1 V
given b = 0 V +- 1 V
voltage va x -> ground a
voltage vb y -> x b
diode up y -> z drop 0 V
resistor r z -> ground 1 kohm
run for 1 us
check "z" value of z at 0.5 us below 9 V`;
    const w = corners(compile(text), { exact: true });
    expect([w.method, w.corners]).toEqual(["corners", 4]);
    const [c] = w.checks;
    expect(c.lowest!.value).toBeCloseTo(0, 9);
    expect(c.highest!.value).toBeCloseTo(2, 9);
    expect(c.nominal).toBeCloseTo(0, 9);
  });

  // A ramp that falls with temperature, below a guard that rises with it: the lower of both is highest where they meet, with
  // everything else at an end of its tolerance; alone, each value is straight.
  it.each(["-10 K", "0 K"])("of what meets at a temperature between %s and 45 K", (from) => {
    const text = `voltage logic high -> ground 5.6 V, drift 1000 ppm/K
given charge = 1 mA -20 % / +2 %, drift -3000 ppm/K
supply p = 40 V
current feed p -> ramp charge
capacitor hold ramp -> ground 10 nF +- 15 %
switch reset ramp -> ground closed before 10 us
diode guard ramp -> high drop 0 V
run for 100 us
check "height" value of ramp at 62 us below 9 V`;
    const { checks } = corners(compile(text), { temperature: { from, to: "45 K" } });
    const meets = (1.02 * 5.2) / 0.85;
    const x = (meets - 5.6) / (0.003 * meets + 0.0056);
    expect(x).toBeGreaterThan(20);
    expect(checks[0].highest!.value / (5.6 * (1 + 0.001 * x))).toBeCloseTo(1, 3);
    const lowest = ((0.8 * 5.2) / 1.15) * (1 - 0.003 * 45);
    expect(checks[0].lowest!.value).toBeCloseTo(lowest, 9);
  });

  // The lower of two sums of voltages, a = 3 V + x + y - z and b = 3.9 V - x + 2 z: as designed a is the lower, and each value alone
  // is straight. With y at its high end both meet at x = (0.5 V + 3 z)/2, at 3.65 V + z/2: z, which alone only lowers a, lifts that.
  it.each([
    ["0 V +- 0 V", 3.65, 0.25],
    ["0 V +- 50 mV", 3.675, 0.325],
  ])("of a value that drives two bounds opposite ways, beside one of %s", (z, most, x) => {
    const text = `given x = 0 V +- 0.4 V\ngiven y = 0 V +- 0.4 V\ngiven z = ${z}
voltage a0 a -> a1 3 V\nvoltage a1 a1 -> a2 x\nvoltage a2 a2 -> a3 y\nvoltage a3 ground -> a3 z
voltage b0 b -> b1 3.9 V\nvoltage b1 b2 -> b1 x\nvoltage b2 b2 -> b3 z\nvoltage b3 b3 -> ground z
supply p = 10 V\nresistor pull p -> low 1 kohm\ndiode one low -> a drop 0 V\ndiode other low -> b drop 0 V
run for 1 us
check "lower" peak of low below 3.6 V`;
    const [c] = corners(compile(text)).checks;
    expect(c.pass).toBe(false);
    expect(c.highest!.value).toBeCloseTo(most, 6);
    expect(c.highest!.causes.find(({ name }) => name === "x")!.value).toBeCloseTo(x, 5);
  });

  it("temperature: X7R is 0.9 · 0.85 to 1.1 · 1.15; 0.65 V across a resistor, -0.3 %/K from 0 to 50 degrees about 25", () => {
    const temperature = { from: "-25 K", to: "25 K" };
    const [x7r] = corners(sum(["+- 10 %, wanders 15 %"], "below 9 V"), { temperature }).checks;
    expect(x7r.lowest!.value).toBeCloseTo(0.9 * 0.85, 9);
    expect(x7r.highest!.value).toBeCloseTo(1.1 * 1.15, 9);
    // Common practice, no source.
    const text = `given drop = 0.65 V, drift -0.3 %/K\nvoltage v a -> ground drop
resistor set a -> ground 650 ohm +- 1 %\nrun for 1 us\ncheck "i" value of set.current at 0.5 us above 0.9 mA`;
    const [i] = corners(compile(text), { temperature }).checks;
    expect(i.highest!.value).toBeCloseTo((1e-3 * 1.075) / 0.99, 12);
    expect(i.lowest!.value).toBeCloseTo((1e-3 * 0.925) / 1.01, 12);
    expect(i.effects[0].name).toBe("temperature");
    expect(i.highest!.causes.find((c) => c.name === "temperature")).toMatchObject({ value: -25, unit: "K" });
  });

  it("a drift with a tolerance counts by signs too, though alone it does nothing where values hold", () => {
    const loose = "+- 0.001 V, drift 0 ppm/K +- 1000 ppm/K";
    const more = Array.from({ length: 12 }, () => "+- 0.001 V");
    const w = corners(sum([loose, ...more], "below 99 V"), { temperature: { from: "-10 K", to: "100 K" } });
    expect(w.method).toBe("signs");
    // 13 V and 13 mV, and 0.1 of the first value.
    expect(w.checks[0].highest!.value).toBeCloseTo(13.013 + 0.1 * 1.001, 9);
    expect(w.checks[0].lowest!.value).toBeCloseTo(12.987 - 0.1 * 0.999, 9);
    expect(w.checks[0].effects[0].name).toBe("drift of v0");
  });

  it("the capacitor and the current of a ramp: V = I t / C at the corners (Millman & Taub 1965)", () => {
    // Timing of 5 %, a current of 2 % (common practice, no source).
    const text = `given timing = 10 nF +- 5 %\ngiven charge = 1 mA +- 2 %\nsupply p = 20 V
current feed p -> ramp charge\ncapacitor hold ramp -> ground timing
switch reset ramp -> ground closed before 10 us, on 1 ohm\nrun for 100 us
check "five" value of ramp at 60 us is 5 V +- 5 %`;
    const [c] = corners(compile(text)).checks;
    const volts = (i: number, n: number) => (i * 50e-6) / n;
    expect(Math.abs(c.highest!.value / volts(1.02e-3, 9.5e-9) - 1)).toBeLessThan(1e-3);
    expect(Math.abs(c.lowest!.value / volts(0.98e-3, 10.5e-9) - 1)).toBeLessThan(1e-3);
    expect(c.pass).toBe(false);
  });

  it("in a case a value has the tolerance that it has there, and is told as it is there", () => {
    // V = I t / C again: 50 us of 1 mA.
    const text = (drawn: string, set: string) => `given timing = 10 nF${drawn}\nsupply p = 20 V +- 1 %
current feed p -> ramp 1 mA\ncapacitor hold ramp -> ground timing
switch reset ramp -> ground closed before 10 us\nrun for 60 us
check "five" value of ramp at 60 us is 5 V +- 1 %
case "slow" timing is 12 nF${set}\ncheck "four" value of ramp at 60 us is 4.167 V +- 1 %`;
    const volts = (nano: number) => 50 / nano;
    const told = (drawn: string, set: string, options = {}) =>
      corners(compile(text(drawn, set)), options).checks.map((c) => ({
        pass: c.pass,
        causes: c.lowest!.causes.flatMap(({ name, value }) => (name === "timing" ? [value] : [])),
        lowest: c.lowest!.value,
      }));
    const wide = { pass: false, causes: [12.6e-9], lowest: expect.closeTo(volts(12.6), 9) };
    // Its tolerance may stand in the case alone, be another there, or be missing there.
    expect(told("", " +- 5 %", { case: "slow" })).toEqual([wide]);
    expect(told(" +- 2 %", " +- 5 %", { case: "slow" })).toEqual([wide]);
    const exact = { pass: true, causes: [], lowest: expect.closeTo(volts(12), 9) };
    expect(told(" +- 2 %", "", { case: "slow" })).toEqual([exact]);
    expect(told(" +- 2 %", " +- 5 %", { cases: true })).toEqual([
      { pass: false, causes: [10.2e-9], lowest: expect.closeTo(volts(10.2), 9) },
      wide,
    ]);
    expect(told("", " +- 5 %", { cases: true })[1]).toEqual(wide);
    expect(told(" +- 2 %", "", { cases: true })[1]).toEqual(exact);
  });

  it("in a case that takes a supply away its tolerance does nothing, and in the others what it does", () => {
    const text = `supply p = 20 V +- 5 %\nresistor r p -> ground 1 kohm +- 1 %\nrun for 10 us
check "on" value of p at 9 us is 20 V +- 4 %
case "dead" p dead at 5 us\ncheck "off" value of p at 9 us is 0 V +- 1 mV
case "low" p is 10 V +- 2 %\ncheck "less" value of p at 9 us is 10 V +- 3 %`;
    const found = corners(compile(text), { cases: true }).checks;
    expect(found.map(({ name, pass }) => [name, pass])).toEqual([
      ["on", false],
      ["off", true],
      ["less", true],
    ]);
    expect(found.map(({ highest }) => highest!.value)).toEqual(
      [21, 0, 10.2].map((v) => expect.closeTo(v, 9)),
    );
    const alone = corners(compile(text), { case: "dead" });
    expect(alone.axes.map(({ name }) => name)).toEqual(["r"]);
  });

  it("a corner without a value fails, and says why", () => {
    const text = `given on = 10 ohm +- 100 %\nsupply p = 1 V\nresistor q p -> ground 1 kohm +- 1 %
voltage v a -> ground 1 V, behind on\nresistor r a -> ground on\nrun for 1 us
check "x" value of a at 0.5 us above 0 V`;
    expect(() => compile(text)).toThrow(/greater than zero/);
    const drifting = text.replace("10 ohm +- 100 %", "10 ohm +- 10 %, drift -1 %/K");
    const [c] = corners(compile(drifting), { temperature: { from: "0 K", to: "100 K" } }).checks;
    expect(c.pass).toBe(false);
    expect(c.failing).toBe(4);
    expect(c.reason).toMatch(/greater than zero/);
  });
});
