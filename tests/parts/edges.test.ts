// Active parts at the edges of what they do, several words at once: offset and bias through a finite gain, both ends of an input
// range, a current limit entered and left, logic at one instant and at its threshold. Expected values are Ohm's and
// Kirchhoff's laws and truth tables, worked out beside each.
import { describe, expect, it } from "vitest";
import { balance, compile, type Run, simulate } from "../../src/index.js";

function run(text: string): Run {
  const done = simulate(compile(text), { until: "1 ms" });
  expect(done.reason).toBe("");
  return done;
}
const rails = "supply p = 12 V\nsupply m = -12 V\n";

describe("an amplifier", () => {
  it("makes of offset, bias and a gain of a thousand what its node equation says", () => {
    // (out − t)/9k = t/1k + bias and out = A (in + offset − t).
    const [A, g, h] = [1000, 1 / 9e3, 1 / 1e3];
    const done = run(`${rails}supply in = 0.1 V
      amplifier a in -> out minus t, high p, low m, bandwidth 1 MHz, offset 5 mV, gain 1000, output 0 ohm, bias 1 uA
      resistor u out -> t 9 kohm
      resistor l t -> ground 1 kohm`);
    const out = (A * (0.105 + 1e-6 / (g + h))) / (1 + (A * g) / (g + h));
    expect(Math.abs(done.trace("out").at(0.5e-3) / out - 1)).toBeLessThan(1e-12);
  });

  it("follows to either end of its input range and stays there", () => {
    const out = run(`supply p = 5 V
      supply m = 0 V
      signal in = path 0 V at 0 s, 5 V at 1 ms
      amplifier a in -> out minus out, high p, low m, bandwidth 100 MHz, reach 0 V, output 0 ohm, gain 1e7,
        headroom 1.5 V, footroom 0.5 V
      resistor l out -> ground 10 kohm`).trace("out");
    // Behind by the time constant of 100 MHz, 1.6 ns at 5 V/ms.
    for (const volts of [0.1, 0.49, 0.51, 2.5, 3.49, 3.51, 4.9])
      expect(Math.abs(out.at((volts / 5) * 1e-3) - Math.min(3.5, Math.max(0.5, volts)))).toBeLessThan(1e-5);
  });

  it("charges a capacitor with its limit, and leaves it where its resistance asks for no more", () => {
    const done = run(`${rails}signal in = pulse 0 V to 5 V, wide 1 ms, first 100 us
      amplifier a in -> out minus out, high p, low m, bandwidth 100 MHz, output 10 ohm, limit 20 mA, gain 1e7
      capacitor c out -> ground 100 nF`);
    const out = done.trace("out");
    // 20 mA into 100 nF: 0.2 V/µs.
    for (const us of [105, 110, 120, 124]) expect(out.at(us * 1e-6)).toBeCloseTo(0.2 * (us - 100), 4);
    expect(done.trace("a.current").at(110e-6)).toBeCloseTo(20e-3, 12);
    expect(out.at(200e-6)).toBeCloseTo(5, 5);
    expect(balance(done).energy).toBeLessThan(1e-9);
  });

  it("clips where its limit is used up by the load and the feedback", () => {
    const done = run(`${rails}signal in = sine -1 V to 1 V, at 1 kHz
      amplifier a in -> out minus t, high p, low m, bandwidth 10 MHz, output 0 ohm, limit 5 mA
      resistor u out -> t 9 kohm
      resistor l t -> ground 1 kohm
      resistor load out -> ground 1 kohm`);
    expect(Math.max(...done.trace("out").value)).toBeCloseTo(5e-3 / (1 / 1e3 + 1 / 10e3), 9);
  });
});

describe("logic", () => {
  it.each(["and", "or", "nand", "nor", "xor"])(
    "a gate '%s' whose inputs turn at one instant has no spike",
    (rule) => {
      const truth = { and: [0, 1], or: [0, 1], nand: [1, 0], nor: [1, 0], xor: [0, 0] }[rule]!;
      const out = run(`signal a = pulse 0 V to 5 V, wide 100 us, every 200 us, first 100 us
      signal b = pulse 0 V to 5 V, wide 100 us, every 200 us, first 100 us
      gate q a -> out ${rule} b, output 0 ohm
      resistor l out -> ground 1 kohm`).trace("out");
      for (let us = 50, k = 0; us < 1000; us += 100, k++) expect(out.at(us * 1e-6)).toBe(5 * truth[k % 2]);
      // Two samples at a turn that changes it, none at one that does not.
      const turns = out.time.filter(
        (t, k) => k > 0 && t === out.time[k - 1] && out.value[k] !== out.value[k - 1],
      );
      expect(turns.length).toBe(truth[0] === truth[1] ? 0 : 10);
    },
  );

  it("an output at its limit gives that current and no more, either way", () => {
    const gives = run(`supply vcc = 5 V
      supply in = 0 V
      inverter n in -> out rail vcc, output 100 ohm, limit 10 mA
      resistor l out -> ground 100 ohm`);
    expect(gives.trace("out").at(0.5e-3)).toBeCloseTo(1, 12);
    expect(gives.trace("vcc.current").at(0.5e-3)).toBeCloseTo(-10e-3, 12);
    const takes = run(`supply vcc = 5 V
      supply in = 5 V
      inverter n in -> out rail vcc, output 100 ohm, limit 10 mA
      resistor l vcc -> out 100 ohm`);
    expect(takes.trace("out").at(0.5e-3)).toBeCloseTo(4, 12);
  });

  it("a reset that rises with the clock has the last word, and data count as they stood before it", () => {
    const cleared = run(`signal c = pulse 0 V to 5 V, wide 10 us, every 100 us, first 50 us
      signal z = pulse 0 V to 5 V, wide 10 us, every 200 us, first 50 us
      bistable q c -> out reset z, output 0 ohm
      resistor l out -> ground 1 kohm`).trace("out");
    expect([55, 70, 155, 170, 255, 270].map((us) => cleared.at(us * 1e-6))).toEqual([0, 0, 5, 5, 0, 0]);
    const taken = run(`signal c = pulse 0 V to 5 V, wide 10 us, every 100 us, first 50 us
      signal d = pulse 0 V to 5 V, wide 100 us, every 200 us, first 50 us
      bistable q c -> out data d, output 0 ohm
      resistor l out -> ground 1 kohm`).trace("out");
    expect([60, 160, 260, 360].map((us) => taken.at(us * 1e-6))).toEqual([0, 5, 0, 5]);
  });

  it("a switch by a difference turns where the difference does, with both of its levels", () => {
    const out = run(`signal in = path 0 V at 0 s, 5 V at 1 ms
      signal other = path 5 V at 0 s, 0 V at 1 ms
      supply five = 5 V
      resistor f five -> out 1 kohm
      switch s out -> ground closed while in below 1 V, open 2 V, minus other`).trace("out");
    // in − other = 10 V/ms · t − 5 V reaches 2 V at 0.7 ms.
    expect([0.1e-3, 0.6999e-3, 0.7001e-3].map((t) => out.at(t))).toEqual([0, 0, 5]);
  });
});
