// The steady state to start from, where charge or flux has no way to settle: it stays what it was before anything
// happened, nothing, and voltages and currents divide by capacitance and inductance (conservation of charge and of flux
// linkage, any circuits text). What is driven without end has no steady state, and is named.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

const start = (text: string) => simulate(compile(text), { until: "1 us" });
const expectClose = (got: number, exact: number) =>
  expect(Math.abs(got - exact)).toBeLessThan(1e-9 * Math.abs(exact));

const farads = { "330 pF": 330e-12, "1.3 nF": 1.3e-9, "47 nF": 47e-9, "1 uF": 1e-6, "330 uF": 330e-6 };
const sizes = Object.keys(farads) as (keyof typeof farads)[];

describe("charge on an island that only capacitors tie down", () => {
  it.each(
    ["13 ohm", "2.2 kohm", "1 Mohm"].flatMap((ohms) =>
      sizes.flatMap((a) => sizes.map((b) => [a, ohms, b] as const)),
    ),
  )("%s, %s, %s in a row from 1 V: divided by capacitance", (upper, ohms, lower) => {
    const run = start(`
      signal drive = pulse 0 V to 1 V, wide 2 us, every 64 us
      capacitor couple drive -> a ${upper}
      resistor series a -> b ${ohms}
      capacitor hold b -> ground ${lower}`);
    expect(run.reason).toBe("");
    const share = farads[upper] / (farads[upper] + farads[lower]);
    expectClose(run.trace("a").value[0], share);
    expectClose(run.trace("b").value[0], share);
  });

  it.each([
    [
      "two islands in a row",
      `supply plus6 = 6 V
       capacitor c1 plus6 -> a 1 nF
       resistor r1 a -> b 1 kohm
       capacitor c2 b -> c 2 nF
       resistor r2 c -> d 1 kohm
       capacitor c3 d -> ground 2 nF`,
      // 1/C in a row: 1, 1/2, 1/2 of 6 V.
      { a: 3, b: 3, c: 1.5, d: 1.5 },
    ],
    [
      "an island with a capacitor that follows others",
      `supply plus5 = 5 V
       capacitor c1 plus5 -> b 1 nF
       capacitor c2 b -> ground 3 nF
       resistor series b -> c 1 kohm
       capacitor c3 c -> ground 1 nF`,
      { b: 1, c: 1 },
    ],
    [
      "one whose capacitor is given its voltage: the other follows",
      `supply plus6 = 6 V
       capacitor couple plus6 -> a 1 nF, starts 1 V
       resistor series a -> b 1 kohm
       capacitor hold b -> ground 2 nF`,
      { a: 5, b: 5 },
    ],
    [
      "one that a coil joins, without any resistance",
      `supply plus6 = 6 V
       capacitor couple plus6 -> a 1.3 nF
       inductor coil a -> b 1.1 uH
       capacitor hold b -> ground 2.7 nF`,
      { a: 1.95, b: 1.95 },
    ],
    [
      "one that is pushed until a diode holds it",
      `supply plus5 = 5 V
       current feed ground -> a 1 mA
       capacitor c1 a -> b 1 nF
       resistor series b -> c 1 kohm
       capacitor c2 c -> ground 1 nF
       diode catch a -> plus5 drop 0.6 V`,
      { a: 5.6, c: 2.8 },
    ],
  ])("%s", (_, text, volts) => {
    const run = start(text);
    expect(run.reason).toBe("");
    for (const [place, exact] of Object.entries(volts)) expectClose(run.trace(place).value[0], exact);
  });

  it("time constants of a hundred seconds beside one of a picosecond", () => {
    const run = start(`
      supply plus6 = 6 V
      capacitor c1 plus6 -> a 100 uF
      resistor slow a -> b 1 Mohm
      capacitor c2 b -> ground 200 uF
      resistor quick a -> d 1 ohm
      capacitor c3 d -> ground 3 pF`);
    expect(run.reason).toBe("");
    for (const place of ["a", "b", "d"]) expect(Math.abs(run.trace(place).value[0] - 2)).toBeLessThan(1e-6);
  });
});

describe("flux of a loop of coils", () => {
  it.each(["", "resistor load a -> ground 10 ohm"])("a current divides by inductance (%s)", (load) => {
    const run = start(`
      current feed ground -> a 1 A
      inductor first a -> ground 1 mH
      inductor second a -> ground 3 mH
      ${load}`);
    expect(run.reason).toBe("");
    expectClose(run.trace("first.current").value[0], 0.75);
    expectClose(run.trace("second.current").value[0], 0.25);
  });
});

describe("driven without end", () => {
  it.each([
    ["supply plus5 = 5 V\ninductor coil plus5 -> ground 1 mH", "'coil'"],
    [
      `current feed ground -> a 1 mA
       capacitor c1 a -> b 1 nF
       resistor series b -> c 1 kohm
       capacitor c2 c -> ground 1 nF`,
      "'c1'",
    ],
  ])("%s", (text, name) => {
    const run = start(text);
    expect([run.status, run.code]).toEqual(["stopped", "no-steady-state"]);
    expect(run.reason).toContain(name);
  });
});

describe("more than one combination of modes at the start", () => {
  // Two equal currents in series, each needing 1 V: any voltage from 1 V to 11 V between them fits (by inspection).
  const text = (first: string, second: string) => `supply p = 12 V\n${first}\n${second}`;
  const upper = "current a p -> mid 1 mA, headroom 1 V";
  const lower = "current b mid -> ground 1 mA, headroom 1 V";
  it.each([
    [upper, lower],
    [lower, upper],
  ])("is said, with the parts", (first, second) => {
    const { status, warnings } = simulate(compile(text(first, second)), { until: "1 ms" });
    expect(status).toBe("complete");
    expect(warnings).toEqual([
      expect.stringMatching(/more than one combination of modes fits: '[ab]', '[ab]' could be either way/),
    ]);
  });
  it("is not said where only one fits", () => {
    const sound = text(upper, lower.replace("1 mA", "2 mA"));
    expect(simulate(compile(sound), { until: "1 ms" }).warnings).toEqual([]);
  });
  it("is not said where charge that nothing moves lets a current stand at the edge of what it needs", () => {
    const run = start(`supply p = 12 V\n${upper}\n${lower}\ncapacitor hold mid -> ground 1 nF`);
    expect([run.reason, run.warnings]).toEqual(["", []]);
  });
  it("is said of a flip-flop whose two capacitors would be charged otherwise", () => {
    const stage = (own: string, other: string) => `
      resistor up${own} p -> ${own} 1 kohm
      capacitor at${own} ${own} -> ground 1 nF
      resistor to${own} ${other} -> base${own} 10 kohm
      transistor q${own} ${own} -> ground base base${own}, gain 100`;
    const run = start(`supply p = 5 V${stage("a", "b")}${stage("b", "a")}`);
    // It also stands between the two to its end. One up and the other as much down, the base resistance r = 10 ohm (gain + 1) being in
    // series with 10 kohm: e in 1 nF / ((gain - 1) / (10 kohm + r) - 1 / 1 kohm) = 125 ns, by hand.
    expect([run.reason, run.warnings]).toEqual([
      "",
      [
        expect.stringMatching(/'qa', 'qb' could be either way/),
        expect.stringMatching(/stands on a balance.* grows 2\.7 times in 130 ns/),
      ],
    ]);
  });
  it("is not said where another fits on the slope of a source alone", () => {
    // 10 V/ms through 1 µF are 10 mA, which would hold the diode closed at 0.6 V, 0.6 mA of them in the resistor; with the source at
    // rest nothing flows (by inspection).
    const run = start(`
      signal rises = path -5 V at 0 s, 5 V at 1 ms
      capacitor couple rises -> a 1 uF
      diode catch a -> ground drop 0.6 V
      resistor leak a -> ground 1 kohm`);
    expect([run.reason, run.warnings]).toEqual(["", []]);
  });
});

describe("an inductor in series with a current source", () => {
  // v = L di/dt with the source's current: 1 mH at 1 A/ms is 1 V.
  it("follows the source, and its voltage is the source's slope", () => {
    const run = simulate(
      compile("current i ground -> a path 0 A at 0 s, 1 A at 1 ms\ninductor l a -> ground 1 mH"),
      { until: "0.9 ms" },
    );
    expect(run.reason).toBe("");
    expect(run.trace("a").at(0.5e-3)).toBeCloseTo(1, 12);
    expect(run.trace("l.current").at(0.5e-3)).toBeCloseTo(0.5, 12);
  });
  it("jumps to it from rest; what lies behind it decays, L/R = 2 µs", () => {
    const run = simulate(
      compile(`current i ground -> a 1 A
      inductor l a -> b 1 mH
      inductor m b -> ground 2 mH
      resistor q b -> ground 1 kohm`),
      { until: "20 us", start: "rest" },
    );
    expect(run.reason).toBe("");
    expect(run.trace("l.current").at(1e-6)).toBeCloseTo(1, 12);
    expect(Math.abs(run.trace("m.current").at(20e-6) - (1 - Math.exp(-10)))).toBeLessThan(1e-5);
  });
  it("a trace of a run without samples is refused in words", () => {
    const run = simulate(compile("current i ground -> a 1 mA\ncapacitor c a -> ground 1 nF"), {
      until: "1 ms",
    });
    expect(run).toMatchObject({ status: "stopped", code: "no-steady-state" });
    expect(() => run.trace("a")).toThrow(/no samples: nothing stops 'c'/);
  });
});

// Two equal limits at one place: Kirchhoff's laws give their sum, and no law gives the share of either.
describe("two limits that share what nothing divides", () => {
  const limits = (headroom: string, more: string) => `supply p = 12 V
current one p -> x 1 mA, headroom 1 V
current two p -> x 1 mA, headroom ${headroom}
resistor load x -> ground 100 kohm
${more}
run for 200 us`;
  const rising = "capacitor hold x -> ground 10 nF\nswitch reset x -> ground closed before 20 us, on 1 ohm";

  it.each([
    ["at the start", "", /'one', 'two' could be either way/],
    // 20 us, and 1 ms ln(200 V / (200 V - 11 V)) = 56.6 us.
    ["once both are reached", rising, /'one', 'two' could go either way at 76\.\d+ µs/],
  ])("says so %s", (_, more, words) => {
    const run = simulate(compile(limits("1 V", more)));
    const [one, two] = ["one.current", "two.current"].map((name) => run.trace(name).at(190e-6));
    expect(one + two).toBeCloseTo(11 / 100e3, 12);
    expect(run.warnings).toEqual([expect.stringMatching(words)]);
  });

  it.each(["", rising])(
    "where one stops before the other, the other gives all, and nothing is said",
    (more) => {
      const run = simulate(compile(limits("0.9 V", more)));
      expect(run.trace("one.current").at(190e-6)).toBeCloseTo(0, 12);
      expect(run.trace("two.current").at(190e-6)).toBeCloseTo(11.1 / 100e3, 12);
      expect(run.warnings).toEqual([]);
    },
  );

  it("says so of two ideal diodes into one rail", () => {
    const text = `supply p = 12 V\nresistor feed p -> x 1 kohm\ndiode one x -> ground\ndiode two x -> ground\nrun for 1 us`;
    expect(simulate(compile(text)).warnings).toEqual([
      expect.stringMatching(/'one', 'two' could be either way/),
    ]);
    expect(simulate(compile(text.replaceAll("ground", "ground on 1 ohm"))).warnings).toEqual([]);
  });
});
