// Hard instants: modes that contradict each other, events at the very start or end or on a step, guards that stand at
// zero, pulses no step would see, many events at once, switching without end. Either the right answer comes out, or the
// run is stopped with the time, the parts and everything computed so far. Counts and instants are closed forms.
import { describe, expect, it } from "vitest";
import { compile, type Run, type SimulateOptions, simulate } from "../../src/index.js";
import { Chance } from "../verify/chance.js";
import { last } from "./claim.js";

const go = (text: string, options: SimulateOptions = {}): Run => simulate(compile(text), options);
const jumps = ({ time }: { time: Float64Array }) => [...time].filter((t, i) => time[i + 1] === t);

describe("no consistent combination, or two", () => {
  it("a switch that undoes its own command is named, at once and with no work done", () => {
    const run = go(
      `supply plus5 = 5 V
       resistor load plus5 -> a 1 kohm
       switch undo a -> ground closed while a above 2.5 V, on 10 ohm`,
      { until: "1 ms" },
    );
    expect([run.status, run.code, run.reached, run.statistics.steps]).toEqual(["stopped", "chatter", 0, 0]);
    expect(run.reason).toContain("'undo'");
  });
  it("two switches that hold each other open are a latch: either way is at rest, and both are named", () => {
    const run = go(
      `supply plus5 = 5 V
       resistor left plus5 -> a 1 kohm
       resistor right plus5 -> b 1 kohm
       switch one a -> ground closed while b above 2.5 V, on 10 ohm
       switch two b -> ground closed while a above 2.5 V, on 10 ohm`,
      { until: "1 ms" },
    );
    // One conducts, 10 ohm against 1 kohm, and holds the other open.
    expect(run.status).toBe("complete");
    const [low, high] = ["a", "b"].map((place) => run.trace(place).at(0.5e-3)).sort((x, y) => x - y);
    expect(Math.abs(low - 5 / 101)).toBeLessThan(1e-12);
    expect(Math.abs(high - 5)).toBeLessThan(1e-12);
    for (const name of ["'one'", "'two'"]) expect(run.warnings.join()).toContain(name);
  });
  it.each([
    ["upper first", "upper plus1 -> mid", "lower mid -> ground"],
    ["lower first", "lower mid -> ground", "upper plus1 -> mid"],
  ])(
    "two starved current sources leave the place between them undecided: both named, %s",
    (_, first, second) => {
      const run = go(
        `supply plus1 = 1 V
       current ${first} 1 mA, headroom 2 V
       current ${second} 1 mA, headroom 2 V`,
        { until: "1 ms" },
      );
      expect(run.code).toBe("two-modes");
      for (const name of ["'upper'", "'lower'"]) expect(run.reason).toContain(name);
    },
  );
  it("two such places side by side are not passed in silence: one of them is named", () => {
    const pairs = ["one", "two"].map(
      (mid) => `current over_${mid} plus1 -> ${mid} 1 mA, headroom 2 V
      current under_${mid} ${mid} -> ground 1 mA, headroom 2 V`,
    );
    const run = go(`supply plus1 = 1 V\n${pairs.join("\n")}`, { until: "1 ms" });
    expect(run.reason + run.warnings.join()).toMatch(/'over_(\w+)', 'under_\1'/);
  });
  it("twelve diodes in a maze are decided in bounded work", () => {
    const lines = Array.from(
      { length: 12 },
      (_, k) => `diode d${k} n${k} -> n${(5 * k + 3) % 12} drop ${k % 4} * 0.2 V, on 1 ohm
       resistor r${k} n${k} -> ground ${k + 1} kohm
       current i${k} ground -> n${k} (${(7 * k) % 12} - 6) * 1 mA`,
    );
    const run = go(lines.join("\n"), { until: "1 us" });
    expect(run.status).toBe("complete");
    expect(run.statistics.combinations).toBeLessThan(200);
  });
});

const sawtooth = `
  current feed ground -> ramp 1 mA
  capacitor hold ramp -> ground 1 uF
  switch reset ramp -> ground closed while ramp above 1 V`;

describe("events at the edges of time and of steps", () => {
  it.each([undefined, "0.25 ms", "0.5 ms", "1 ms", "0.3 ms"])(
    "resets at 1, 2, 3 ms with a step of %s: each found once, on a step or off it",
    (step) => {
      const { losses } = go(sawtooth, { until: "3.5 ms", start: "rest", ...(step && { step }) });
      expect(losses.map(({ time }) => Math.round(time * 1e12))).toEqual([1e9, 2e9, 3e9]);
    },
  );
  it("a level reached at the end of the run, not passed, is no event, and the end has the level", () => {
    const run = go(sawtooth, { until: "3 ms", start: "rest" });
    expect(run.losses.length).toBe(2);
    expect(Math.abs(last(run.trace("ramp").value) - 1)).toBeLessThan(1e-12);
  });
  it("a pulse that begins at time zero is there from the first sample, and again after its period", () => {
    const run = go(
      `signal gate = pulse 0 V to 5 V, wide 1 us, every 10 us
       supply plus5 = 5 V
       resistor load plus5 -> out 1 kohm
       switch close out -> ground closed while gate above 2.5 V`,
      { until: "20 us" },
    );
    const out = run.trace("out");
    expect(out.value[0]).toBe(0);
    expect(jumps(out)).toEqual([1e-6, 10e-6, 11e-6, 20e-6]);
  });
  it("a switch timed from the start and one timed to the end act once", () => {
    const text = (times: string) => `
      supply plus5 = 5 V
      resistor load plus5 -> out 1 kohm
      switch close out -> ground closed ${times}`;
    const early = go(text("from 0 s to 1 us"), { until: "2 us" }).trace("out");
    expect([early.value[0], ...jumps(early)]).toEqual([0, 1e-6]);
    const late = go(text("after 2 us"), { until: "2 us" }).trace("out");
    expect(jumps(late)).toEqual([2e-6]);
    expect(late.value.slice(-2)).toEqual(Float64Array.of(5, 0));
  });
});

describe("a guard that is zero for a while", () => {
  it("a switch whose control stands at its level waits until it is passed", () => {
    const run = go(
      `signal slow = path 0 V at 0 s, 0 V at 1 ms, 1 V at 2 ms
       resistor upper slow -> half 1 kohm
       resistor lower half -> ground 1 kohm
       supply plus5 = 5 V
       resistor load plus5 -> out 1 kohm
       switch watch out -> ground closed while half above 0 V, on 1 ohm`,
      { until: "3 ms" },
    );
    expect([run.status, run.statistics.events]).toEqual(["complete", 1]);
    const [at] = jumps(run.trace("out"));
    expect(Math.abs(at - 1e-3)).toBeLessThan(1e-12);
  });
  it("ideal diodes with nothing across them and nothing through them hold the highest voltage", () => {
    const run = go(
      `signal slow = path 0 V at 0 s, 0 V at 1 ms, 1 V at 2 ms, 0 V at 3 ms, 0 V at 4 ms
       diode first slow -> a drop 0 V
       resistor load a -> ground 1 kohm
       diode second a -> top drop 0 V
       capacitor store top -> ground 1 uF`,
      { until: "4 ms" },
    );
    expect(run.status).toBe("complete");
    const top = run.trace("top");
    for (const [t, volts] of [
      [0.5e-3, 0],
      [1.5e-3, 0.5],
      [3.5e-3, 1],
    ])
      expect(Math.abs(top.at(t) - volts)).toBeLessThan(1e-9);
  });
});

describe("inside a step", () => {
  it("a pulse of 1 ns in steps of 100 µs charges an RC of 1 µs by 1 − exp(−1/1000)", () => {
    const run = go(
      `signal kick = pulse 0 V to 1 V, wide 1 ns, first 333.3333 us
       resistor series kick -> a 1 kohm
       capacitor hold a -> ground 1 nF`,
      { until: "1 ms", step: "100 us" },
    );
    // Trapezoid and TR-BDF2 over a step of τ/1000: (h/τ)³/12 of it, 1e-10.
    expect(Math.abs(run.trace("a").at(333.3343e-6) + Math.expm1(-1e-3))).toBeLessThan(1e-9);
  });
  it("a switch closed for a nanosecond empties a capacitor between two steps", () => {
    const run = go(
      `current feed ground -> a 1 mA
       capacitor hold a -> ground 1 uF
       switch dump a -> ground closed from 1 ms to 1.000001 ms`,
      { until: "1.9 ms", step: "0.7 ms", start: "rest" },
    );
    expect(run.losses.length).toBe(1);
    expect(Math.abs(run.losses[0].energy / 0.5e-6 - 1)).toBeLessThan(1e-12);
    expect(Math.abs(last(run.trace("a").value) - 0.899999)).toBeLessThan(1e-12);
  });
  it("a state that passes a level and comes back within a step closes the switch and opens it", () => {
    // A tank of 1 kHz, 1 V at the start: above 0.9999 for 2 · acos(0.9999)/2πf = 4.5 µs around each millisecond.
    const run = go(
      `capacitor hold tone -> ground 1 uF, starts 1 V
       inductor coil tone -> ground 25.3302959105844428610 mH, starts 0 A
       supply plus5 = 5 V
       resistor load plus5 -> out 1 kohm
       switch watch out -> ground closed while tone above 0.9999 V, on 1 ohm`,
      { until: "3.1 ms", step: "20 us" },
    );
    // Opens after the start, then closes and opens about three times.
    expect(jumps(run.trace("out")).length).toBe(7);
  });
});

describe("many events at one instant", () => {
  const count = 12;
  const lines = [
    "supply plus5 = 5 V",
    "signal gate = pulse 0 V to 5 V, wide 5 us, every 50 us, edges 200 ns",
    ...Array.from(
      { length: count },
      (_, k) => `resistor r${k} plus5 -> a${k} ${k + 1} kohm
      capacitor c${k} a${k} -> ground 1 nF
      switch s${k} a${k} -> ground closed while gate above 2.5 V, on ${10 * (k + 1)} ohm
      current i${k} ground -> b${k} 1 mA
      capacitor d${k} b${k} -> ground 30 nF
      switch t${k} b${k} -> ground closed while b${k} above 1 V, open 0.1 V, on 1 ohm`,
    ),
  ];
  it("two dozen switches, half by a gate and half by states that arrive together: one instant, in any order", () => {
    const options: SimulateOptions = { until: "200 us", step: "0.5 us", start: "rest" };
    const plain = go(lines.join("\n"), options);
    expect(plain.status).toBe("complete");
    // All ramps are one ramp: every reset is one instant, and what they do is the same to the last bit.
    const first = plain.trace("b0").value;
    for (let k = 1; k < count; k++) expect(plain.trace(`b${k}`).value).toEqual(first);
    for (const seed of [1, 2, 3]) {
      const [supply, gate, ...rest] = lines;
      const chance = new Chance(seed);
      const other = go(
        chance.shuffled([supply, gate, ...rest.flatMap((l) => l.split("\n"))]).join("\n"),
        options,
      );
      expect(other.statistics.events).toBe(plain.statistics.events);
      for (const place of ["a0", "a11", "b5"]) {
        const [x, y] = [plain.trace(place), other.trace(place)];
        expect(y.time).toEqual(x.time);
        x.value.forEach((v, i) => {
          expect(Math.abs(v - y.value[i])).toBeLessThan(1e-12 * 5);
        });
      }
    }
  });
  it("one reset a period however many ramps share it: 30 nF · 0.9 V / 1 mA apart, and no event counted twice", () => {
    const { time, value } = go(lines.join("\n"), { until: "200 us", start: "rest" }).trace("b0");
    const peaks = [...time].filter(
      (_, i) => value[i] > 0.999 && value[i - 1] < value[i] && value[i + 1] < value[i],
    );
    // From rest 30 µs to 1 V; then each period is the discharge through 1 Ω, RC ln 10 (less what the feed adds, a
    // thousandth), and 0.9 V at 1 V/30 µs.
    expect(Math.abs(peaks[0] - 30e-6)).toBeLessThan(1e-12);
    const period = 27e-6 + 30e-9 * Math.log((1 - 1e-3) / (0.1 - 1e-3));
    peaks.forEach((t, k) => {
      expect(Math.abs(t - 30e-6 - k * period)).toBeLessThan(1e-6 * 200e-6);
    });
    expect(peaks.length).toBe(1 + Math.floor(170e-6 / period));
  });
});

describe("switching without end", () => {
  const rc = `
    supply plus5 = 5 V
    resistor charge plus5 -> cap 1 kohm
    capacitor hold cap -> ground 1 uF`;
  // 5 V (1 − exp(−t/1 ms)) is 1 V after ln(5/4) ms.
  const reaches = 1e-3 * Math.log(5 / 4);
  it.each([
    [
      "one switch without hysteresis",
      "switch drain cap -> ground closed while cap above 1 V, on 10 ohm",
      ["drain"],
    ],
    [
      "a pair without hysteresis",
      `switch lift plus5 -> cap closed while cap below 1 V, on 10 kohm
       switch drain cap -> ground closed while cap above 1 V, on 10 ohm`,
      ["drain", "lift"],
    ],
  ])("%s is stopped where it begins, with its parts, and what was computed is kept", (_, parts, names) => {
    const run = go(rc + "\n" + parts, { until: "10 ms", start: "rest" });
    expect([run.status, run.code]).toEqual(["stopped", "chatter"]);
    for (const name of names) expect(run.reason).toContain(`'${name}'`);
    // With 10 kΩ in parallel to 1 kΩ the time constant is an eleventh less.
    const at = names.length === 2 ? reaches / 1.1 : reaches;
    expect(Math.abs(run.reached / at - 1)).toBeLessThan(1e-6);
    const cap = run.trace("cap");
    expect(Math.abs(cap.at(at / 2) - 5 * -Math.expm1(-Math.log(5 / 4) / 2))).toBeLessThan(1e-5);
    expect(run.statistics.steps).toBeLessThan(5000);
  });

  it("intervals that shrink by a tenth each: every one is met until they are shorter than rounding", () => {
    // The foot of the ramp rises at s = 0.1 V/ms, the ramp at S = 1 V/ms above it: from tₙ the level of 1 V is met at
    // tₙ₊₁ = (1 V + S tₙ)/(S + s), so 10 ms − tₙ falls by 1.1 each time. At 10 ms the foot itself passes the level.
    const run = go(
      `signal foot = path 0 V at 0 s, 2 V at 20 ms
       current feed ground -> a 1 mA
       capacitor hold a -> foot 1 uF
       switch reset a -> foot closed while a above 1 V`,
      { until: "20 ms", start: "rest" },
    );
    if (run.status === "stopped") {
      expect(run.code).toBe("chatter");
      expect(run.reason).toContain("'reset'");
      expect(Math.abs(run.reached - 10e-3)).toBeLessThan(1e-9);
    }
    expect(run.losses.length).toBeGreaterThan(100);
    let t = 0;
    for (const loss of run.losses.slice(0, 100)) {
      const next = (1e-3 + t) / 1.1;
      expect(Math.abs(loss.time - next)).toBeLessThan(1e-12);
      expect(Math.abs(loss.energy / (0.5e-6 * (1e3 * (next - t)) ** 2) - 1)).toBeLessThan(1e-6);
      t = next;
    }
    expect(run.statistics.steps).toBeLessThan(50_000);
    expect(run.trace("a").at(9e-3)).toBeGreaterThan(0.9);
  });
});
