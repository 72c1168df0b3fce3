// Closed forms of circuits in their periodic state, through the whole tool: each is run until nothing of its start
// is left. Figures and sources are those of shared/closed-forms.json.
import { describe, expect, it } from "vitest";
import { figures, measured, off, run, turn } from "./running.js";

describe("AC-coupled square wave: tilt 200 tanh(T/4RC) % of half the swing (Millman & Taub, ch. 2)", () => {
  it.each<{ periodOverTimeConstant: number; percent: number }>(figures.tilt.rows)(
    "T/RC = $periodOverTimeConstant: $percent %",
    ({ periodOverTimeConstant: x, percent }) => {
      expect(off(200 * Math.tanh(x / 4), percent)).toBeLessThan(1e-6);
      // What is left of the start after n periods is exp(−n T/RC): 20 time constants make 2e-9.
      const n = Math.round(20 / x);
      const done = run(
        `given line = 64 us
         signal square = pulse -1 V to 1 V, wide line / 2, every line
         capacitor couple square -> out 10 nF
         resistor leak out -> ground line / (${x} * 10 nF)
         check "tilt" tilt of out from ${n} * line to ${n} * line + line / 2 below 100 %`,
        { until: `${(n + 2) * 64} us` },
      );
      expect(Math.abs(measured(done, "tilt").measured - percent / 100)).toBeLessThan(3e-8);
    },
  );
});

describe("RC low-pass, 620 Ω, 510 pF (Horowitz & Hill, ch. 1)", () => {
  const { lowPass } = figures;
  it.each<{ megahertz: string; decibels: number }>(lowPass.rows)(
    "$megahertz MHz: $decibels dB",
    ({ megahertz, decibels }) => {
      const done = run(
        `signal tone = sine -1 V to 1 V, at ${megahertz} MHz
       resistor series tone -> out 620 ohm
       capacitor shunt out -> ground 510 pF
       check "swing" swing of out after 10 us below 2 V`,
        { until: "20 us" },
      );
      const { measured: swing } = measured(done, "swing");
      expect(Math.abs(swing / 2 - 10 ** (decibels / 20))).toBeLessThan(2e-6);
      // The same in decibels, given to four digits behind the point.
      expect(Math.abs(20 * Math.log10(swing / 2) - decibels)).toBeLessThan(1e-4);
    },
  );
  it("passes half of a step after R C ln 2 = 219.173 ns", () => {
    const done = run(
      `signal step = path 0 V at 1 us, 1 V at 1 us
       resistor series step -> out 620 ohm
       capacitor shunt out -> ground 510 pF
       check "delay" crossing of out rising through 0.5 V after 1 us below 1 us`,
      { until: "20 us" },
    );
    expect(off(measured(done, "delay").measured, lowPass.halfLevelDelay)).toBeLessThan(3e-6);
  });
});

describe("half-wave rectifier, 50 Hz, 10 kΩ, 100 µF, ideal diode", () => {
  // While the diode conducts v = V cos ωt; it lets go where the sine falls faster than the discharge,
  // tan ωt = 1/ωRC; then v fades with RC = 1 s until the next rise meets it. The lowest voltage is where they meet.
  const w = 2 * Math.PI * 50;
  const share = (): number => {
    const free = Math.atan(1 / w);
    const behind = (a: number) => Math.cos(a) - Math.cos(free) * Math.exp(-(a - free) / w);
    return 1 - Math.cos(turn(1.5 * Math.PI, 2 * Math.PI, (a) => behind(a) >= 0));
  };
  it("ripple over peak: 0.0191840334", () => {
    expect(off(share(), figures.rectifier.share)).toBeLessThan(1e-8);
    const done = run(
      `signal mains = sine -10 V to 10 V, at 50 Hz
       diode charge mains -> bulk drop 0 V
       capacitor store bulk -> ground 100 uF
       resistor load bulk -> ground 10 kohm
       check "ripple" swing of bulk from 60 ms to 80 ms below 1 V
       check "peak"   peak of bulk from 60 ms to 80 ms below 11 V`,
      { until: "80 ms" },
    );
    expect(off(measured(done, "peak").measured, 10)).toBeLessThan(1e-8);
    expect(off(measured(done, "ripple").measured / 10, share())).toBeLessThan(1e-6);
  });
});
