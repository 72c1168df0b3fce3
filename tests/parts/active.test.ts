// Amplifier, comparator, inverter, one-shot and steered sources against closed forms and data of the trade.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

const run = (text: string, until: string) => {
  const done = simulate(compile(text), { until });
  expect(done.reason).toBe("");
  return done;
};
const jumps = (times: Float64Array) => [...times].filter((t, i) => times[i + 1] === t);

describe("amplifier", () => {
  const rails = "supply vp = 12 V\nsupply vm = -12 V\n";
  it("unity gain, 3 MHz, 13 V/µs, 5 V step: slews 331.56374 ns, and has 4.906663123 V two time constants later", () => {
    // One pole with a slew limit: it slews while the error exceeds slew rate × τ, τ = 1/(2π · 3 MHz), then settles
    // exponentially (closed form; Sedra & Smith, Microelectronic Circuits, ch. 2, slewing of a one-pole amplifier).
    const tau = 1 / (2 * Math.PI * 3e6);
    const slews = (5 - 13e6 * tau) / 13e6;
    expect(Math.abs(slews - 331.56374e-9)).toBeLessThan(1e-14);
    const out = run(
      `${rails}signal in = pulse 0 V to 5 V, wide 1 ms, first 100 ns
      amplifier a in -> out minus out, high vp, low vm, bandwidth 3 MHz, slew 13 V/us, gain 1e9, output 0 ohm
      resistor load out -> ground 10 kohm`,
      "2 us",
    ).trace("out");
    expect(Math.abs(out.at(100e-9 + slews / 2) - (13e6 * slews) / 2)).toBeLessThan(1e-6);
    expect(Math.abs(out.at(100e-9 + slews) - 13e6 * slews)).toBeLessThan(1e-6);
    expect(Math.abs(out.at(100e-9 + slews + 2 * tau) - 4.906663123)).toBeLessThan(1e-4);
  });

  it("a ×5 stage with real resistors makes 5 V from 1 V, and clips 1.5 V from its rails", () => {
    // Non-inverting stage: 1 + 4k/1k (Horowitz & Hill, 3rd ed., § 4.2.2); a ×5 stage makes 5 V from 1 V peak to
    // peak: common practice, no source.
    const stage = (volts: string) => `supply vp = 5 V
      supply vm = -5 V
      signal in = sine -${volts} to ${volts}, at 1 kHz
      amplifier a in -> out minus back, high vp, low vm, bandwidth 10 MHz, reach 1.5 V, output 0 ohm
      resistor upper out -> back 4 kohm
      resistor lower back -> ground 1 kohm`;
    const clean = run(stage("0.5 V"), "2 ms").trace("out");
    // The crest, a quarter period in; the loop is late by 80 ns, which at the crest is nothing.
    expect(Math.abs(clean.at(0.25e-3) - 2.5)).toBeLessThan(1e-3);
    const clipped = run(stage("1 V"), "2 ms").trace("out");
    expect(Math.max(...clipped.value)).toBeCloseTo(3.5, 9);
    expect(Math.min(...clipped.value)).toBeCloseTo(-3.5, 9);
  });

  it("closed loop, its bandwidth is the product over the gain: −3 dB at 200 kHz for 1 MHz and ×5", () => {
    // Gain-bandwidth product of a one-pole amplifier: Horowitz & Hill, 3rd ed., § 4.4.2.
    const out = run(
      `${rails}signal in = sine -0.1 V to 0.1 V, at 200 kHz
      amplifier a in -> out minus back, high vp, low vm, bandwidth 1 MHz, gain 1e7, output 0 ohm
      resistor upper out -> back 4 kohm
      resistor lower back -> ground 1 kohm`,
      "100 us",
    ).trace("out");
    const settled = out.between(50e-6, 100e-6);
    expect(Math.abs(Math.max(...settled.value) - 0.5 * Math.SQRT1_2)).toBeLessThan(2e-3 * 0.5);
  });

  it("without rails is refused", () => {
    expect(() =>
      compile("signal in = sine 0 V to 1 V, at 1 kHz\namplifier a in -> out bandwidth 1 MHz"),
    ).toThrow(/'high'/);
  });
});

describe("comparator with hysteresis", () => {
  it("turns at 2.272727 V and 2.727273 V: inverting, 10 kΩ and 100 kΩ from 2.5 V and an output of 0 and 5 V", () => {
    // (ref·R2 + out·R1)/(R1 + R2): the usual formula, Horowitz & Hill, 3rd ed., § 4.3.2.
    const out = run(
      `supply ref = 2.5 V
      signal in = path 0 V at 0 s, 5 V at 1 ms, 0 V at 2 ms, every 2 ms
      resistor r1 ref -> plus 10 kohm
      resistor r2 out -> plus 100 kohm
      comparator c plus -> out minus in, output 0 ohm`,
      "2 ms",
    );
    const [down, up] = jumps(out.trace("out").time);
    // The ramp climbs and falls at 5 V/ms.
    expect(Math.abs(down * 5e3 - 2.727273)).toBeLessThan(1e-6);
    expect(Math.abs((2e-3 - up) * 5e3 - 2.272727)).toBeLessThan(1e-6);
  });

  it("its output is late by its delay, and notices nothing shorter", () => {
    const text = (wide: string) => `signal in = pulse 0 V to 1 V, wide ${wide}, every 50 us, first 10 us
      comparator c in -> out threshold 0.5 V, delay 1 us, output 0 ohm
      resistor load out -> ground 1 kohm`;
    const late = jumps(run(text("5 us"), "50 us").trace("out").time);
    expect(late.length).toBe(2);
    expect(Math.abs(late[0] - 11e-6)).toBeLessThan(1e-18);
    expect(Math.abs(late[1] - 16e-6)).toBeLessThan(1e-18);
    expect(jumps(run(text("0.9 us"), "50 us").trace("out").time).length).toBe(0);
  });
});

describe("inverter", () => {
  it("makes a negative-going pulse positive", () => {
    const out = run(
      `signal sync = pulse 5 V to 0 V, wide 4.7 us, every 64 us
      inverter turn sync -> gate output 0 ohm
      resistor load gate -> ground 1 kohm`,
      "128 us",
    ).trace("gate");
    expect(out.at(2e-6)).toBe(5);
    expect(out.at(30e-6)).toBe(0);
    expect(out.at(66e-6)).toBe(5);
  });

  it("in a ring with 10 kΩ, 1 nF and a delay it oscillates between the levels its delay gives", () => {
    // At each turn the capacitor goes on for the delay d from half the supply: up to V − (V/2) e^(−d/RC) (RC charge,
    // Millman & Taub 1965, ch. 2).
    const q = Math.exp(-1e-6 / 10e-6);
    const top = 5 - 2.5 * q;
    const ring = run(
      `inverter turn cap -> out delay 1 us, output 0 ohm
      resistor r out -> cap 10 kohm
      capacitor c cap -> ground 1 nF`,
      "100 us",
    ).trace("cap");
    const late = ring.between(50e-6, 100e-6);
    expect(Math.abs(Math.max(...late.value) - top)).toBeLessThan(1e-5);
    expect(Math.abs(Math.min(...late.value) - (5 - top))).toBeLessThan(1e-5);
  });
});

describe("one-shot", () => {
  const text = (more: string) => `signal in = pulse 0 V to 5 V, wide 10 us, every 50 us, first 20 us
    oneshot shot in -> out lasts 80 us, output 0 ohm${more}
    resistor load out -> ground 1 kohm`;
  it("lasts its time from the first rise, and takes no notice of the next", () => {
    const times = jumps(run(text(""), "260 us").trace("out").time);
    // Rises at 20, 70, 120, 170, 220 µs: triggered at 20 and, over at 100, again at 120 and 220.
    for (const [k, us] of [20, 100, 120, 200, 220].entries()) {
      expect(Math.abs(times[k] - us * 1e-6)).toBeLessThan(1e-17);
    }
    expect(times.length).toBe(5);
  });
  it("retriggerable, it stays on while the pulses come", () => {
    const times = jumps(
      run(text(", retriggerable").replace("first 20 us", "first 20 us, stops 160 us"), "260 us").trace("out")
        .time,
    );
    for (const [k, us] of [20, 200].entries()) expect(Math.abs(times[k] - us * 1e-6)).toBeLessThan(1e-17);
    expect(times.length).toBe(2);
  });
});

describe("steered sources", () => {
  it("add what they follow, times their gain", () => {
    const done = run(
      `supply a = 2 V
      voltage e b -> ground 1 V, follows a, gain 3
      resistor r b -> ground 1 kohm
      current i ground -> c 0 A, follows b, gain 2 mA/V
      resistor s c -> ground 1 kohm`,
      "1 ms",
    );
    expect(done.trace("b").value[0]).toBeCloseTo(7, 12);
    expect(done.trace("c").value[0]).toBeCloseTo(14, 12);
  });
});
