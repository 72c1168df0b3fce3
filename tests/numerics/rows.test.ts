// Circuits with exact answers. Closed forms are derived in the comments beside them; books are named where a
// formula is theirs. Tolerances are what each method must reach and are never to be loosened.
import { describe, expect, it } from "vitest";
import { type SimulateOptions, balance, compile, simulate } from "../../src/index.js";

const run = (text: string, options: SimulateOptions) => simulate(compile(text), options);
const last = (values: Float64Array) => values[values.length - 1]!;

describe("RC step, 1 kΩ, 1 µF, 5 V, after one time constant", () => {
  const text = `
    supply source = 5 V
    resistor feed source -> out 1 kohm
    capacitor hold out -> ground 1 uF`;
  // v = V (1 − e^(−t/RC)): Millman & Taub, Pulse, Digital, and Switching Waveforms (1965), ch. 2; 30 digits by bc.
  const exact = 3.16060279414278839;

  it("plain trapezoid at a tenth of the time constant gives its own closed form to 1e-13", () => {
    // One step multiplies the distance to 5 V by (1 − h/2τ)/(1 + h/2τ) = 0.95/1.05.
    const discrete = 3.16213728808565425;
    const out = run(text, { until: "1 ms", step: "100 us", method: "trapezoid", start: "rest" }).trace("out");
    expect(Math.abs(last(out.value) / discrete - 1)).toBeLessThan(1e-13);
  });

  it("TR-BDF2 throughout gives its own closed form to 1e-13", () => {
    const discrete = 3.16135388287661366;
    const out = run(text, { until: "1 ms", step: "100 us", method: "tr-bdf2", start: "rest" }).trace("out");
    expect(Math.abs(last(out.value) / discrete - 1)).toBeLessThan(1e-13);
  });

  it("default settings give the true value to 1e-6, and every sample to 1e-3 of the swing", () => {
    const out = run(text, { until: "1 ms", start: "rest" }).trace("out");
    expect(Math.abs(last(out.value) / exact - 1)).toBeLessThan(1e-6);
    out.time.forEach((t, i) => {
      expect(Math.abs(out.value[i]! - 5 * (1 - Math.exp(-t / 1e-3)))).toBeLessThan(5e-3);
    });
  });
});

describe("series RLC, 1 V step, 1 mH, 1 µF", () => {
  // The three cases of a second-order step (Sedra & Smith, Microelectronic Circuits; any network text).
  const text = (ohms: string) => `
    supply source = 1 V
    resistor loss source -> a ${ohms}
    inductor coil a -> out 1 mH
    capacitor hold out -> ground 1 uF`;
  it.each([
    ["10 ohm", 1.6045657890000152],
    ["63.2455532033675866 ohm", 0.823814034789972855],
    ["200 ohm", 0.385213379331602534],
  ])("%s: the voltage at 100 µs, to 1e-6 at 0.1 µs", (ohms, exact) => {
    const out = run(text(ohms), { until: "100 us", step: "0.1 us", start: "rest" }).trace("out");
    expect(Math.abs(last(out.value) / exact - 1)).toBeLessThan(1e-6);
  });

  it("10 ohm: the peak between samples and its instant", () => {
    const result = run(text("10 ohm"), { until: "120 us", step: "0.1 us", start: "rest" }).trace("out");
    let best = 0;
    let at = 0;
    for (let t = 100e-6; t < 101.5e-6; t += 1e-10) {
      const v = result.at(t);
      if (v > best) [best, at] = [v, t];
    }
    expect(Math.abs(best / 1.60467906569433834 - 1)).toBeLessThan(1e-6);
    // dv/dt is flat at the peak: an error ε of the wave moves it by about ε/(ω·V) — 1 ns here.
    expect(Math.abs(at - 100.611486325391647e-6)).toBeLessThan(1e-9);
  });

  it.each([
    ["10 ohm", 0.8678627879, 0.6346377459],
    ["63.2455532033675866 ohm", 0.4689547907, 0.986876134],
  ])("%s at default settings: 50 µs and 200 µs", (ohms, at50, at200) => {
    const out = run(text(ohms), { until: "200 us", start: "rest" }).trace("out");
    expect(Math.abs(out.at(50e-6) - at50)).toBeLessThan(1e-3);
    expect(Math.abs(out.at(200e-6) - at200)).toBeLessThan(1e-3);
  });
});

describe("1 mA into 1 µF, ideal reset at 1 V", () => {
  // dv/dt = I/C = 1 V/ms, so it resets at 1, 2, … N ms and loses C V²/2 = 0.5 µJ each time.
  const text = `
    current feed ground -> ramp 1 mA
    capacitor hold ramp -> ground 1 uF
    switch reset ramp -> ground closed while ramp above 1 V`;
  it("resets on each millisecond to 4 units in the last place and loses 0.5 µJ to 1e-12", () => {
    const { losses } = run(text, { until: "5.5 ms", start: "rest" });
    expect(losses.length).toBe(5);
    losses.forEach(({ time, energy }, k) => {
      const exact = (k + 1) * 1e-3;
      const ulp = 2 ** (Math.floor(Math.log2(exact)) - 52);
      expect(Math.abs(time - exact)).toBeLessThanOrEqual(4 * ulp);
      expect(Math.abs(energy / 0.5e-6 - 1)).toBeLessThan(1e-12);
    });
  });

  it("a sync pulse at 0.75 ms keeps the peak at 0.75 V", () => {
    // The microsecond for which the pulse holds the ramp down costs the next peak 1 V/ms · 1 µs.
    const r = run(
      `${text}
      signal sync = pulse 0 V to 1 V, wide 1 us, every 0.75 ms
      switch hasten ramp -> ground closed while sync above 0.5 V`,
      { until: "5 ms", start: "rest" },
    );
    expect(r.losses.length).toBe(6);
    for (const loss of r.losses) expect(Math.abs(Math.sqrt((2 * loss.energy) / 1e-6) - 0.749)).toBeLessThan(1e-12);
    const first = run(
      `${text}
      signal sync = pulse 0 V to 1 V, wide 1 us, first 0.75 ms
      switch hasten ramp -> ground closed while sync above 0.5 V`,
      { until: "1 ms", start: "rest" },
    );
    expect(first.losses.length).toBe(1);
    expect(first.losses[0]!.time).toBe(0.75e-3);
    expect(Math.abs(Math.sqrt((2 * first.losses[0]!.energy) / 1e-6) - 0.75)).toBeLessThan(1e-15);
  });

  it("resets once where the pulse and the level coincide at 1 ms", () => {
    const both = run(
      `${text}
      signal sync = pulse 0 V to 1 V, wide 1 us, first 1 ms
      switch hasten ramp -> ground closed while sync above 0.5 V`,
      { until: "1.5 ms", start: "rest" },
    );
    expect(both.losses.length).toBe(1);
    expect(Math.abs(both.losses[0]!.energy / 0.5e-6 - 1)).toBeLessThan(1e-12);
  });
});

describe("relaxation, 5 V, 10 kΩ up, 1 kΩ down, 10 nF, between 1 V and 4 V", () => {
  // Up: 10 kΩ from 1 V to 4 V towards 5 V: RC ln((5 − 1)/(5 − 4)) = 100 µs · ln 4. Down: the switch with 1 kΩ is an
  // ideal drop to 0 V through 1 kΩ: R C ln(4/1) = 10 µs · ln 4. Both together 110 µs · ln 4 = 152.492379723187968 µs.
  // The charging resistor must not conduct while discharging, hence the second switch.
  const text = `
    supply plus5 = 5 V
    switch up plus5 -> top closed while cap below 1 V, open 4 V
    resistor charge top -> cap 10 kohm
    capacitor hold cap -> ground 10 nF, starts 0.5 V
    switch down cap -> bottom closed while cap above 4 V, open 1 V
    resistor drain bottom -> ground 1 kohm`;
  const period = 110e-6 * Math.log(4);
  const error = (step: string | undefined) => {
    const r = run(text, { until: "1.3 ms", ...(step && { step }) });
    expect(r.reason).toBe("");
    const rises = r.trace("cap");
    // Minima of the saw-tooth: instants at which it turns at 1 V.
    const turns: number[] = [];
    for (let i = 1; i + 1 < rises.time.length; i++) {
      if (rises.slopeBefore![i]! < 0 && rises.slope![i]! > 0) turns.push(rises.time[i]!);
    }
    expect(turns.length).toBeGreaterThan(6);
    return (turns[6]! - turns[0]!) / 6 / period - 1;
  };
  it("the period is right to 1e-6 at 62.5 ns", () => {
    expect(Math.abs(error("62.5 ns"))).toBeLessThan(1e-6);
  });
  it("and at default settings", () => {
    expect(Math.abs(error(undefined))).toBeLessThan(1e-6);
  });
  it("converges with order 2.00 ± 0.02", () => {
    // Below 0.25 µs, where the step is a fortieth of the shorter time constant.
    const steps = ["0.25 us", "0.125 us", "62.5 ns", "31.25 ns", "15.625 ns"];
    const errors = steps.map((s) => Math.abs(error(s)));
    const order = Math.log2(errors[0]! / errors[4]!) / 4;
    expect(order).toBeGreaterThan(1.98);
    expect(order).toBeLessThan(2.02);
  });
});

describe("a capacitor across a source", () => {
  it("1 V/ms across 1 µF from rest: 1 mA at every step (a plain trapezoid with the current as memory gives 2, 0, 2, 0)", () => {
    const text = `
      signal slope = path 0 V at 0 s, 10 V at 10 ms
      capacitor load slope -> ground 1 uF`;
    for (const method of ["mixed", "trapezoid"] as const) {
      const i = run(text, { until: "8 ms", step: "0.5 ms", start: "rest", method }).trace("load.current");
      expect(i.value.length).toBeGreaterThan(15);
      for (const value of i.value) expect(Math.abs(value / 1e-3 - 1)).toBeLessThan(1e-12);
    }
  });

  it("10 cos(2π50t) V across 100 µF, started inconsistent: −CωV sin ωt to 3e-5 A", () => {
    const text = `
      signal mains = sine -10 V to 10 V, at 50 Hz, phase 90 deg
      capacitor load mains -> ground 100 uF`;
    const omega = 2 * Math.PI * 50;
    const worst = (step: string) => {
      const i = run(text, { until: "40 ms", step, start: "rest" }).trace("load.current");
      let most = 0;
      i.time.forEach((t, k) => {
        most = Math.max(most, Math.abs(i.value[k]! + 100e-6 * omega * 10 * Math.sin(omega * t)));
      });
      return most;
    };
    // The current of a capacitor that hangs on a source is taken from the source's own slope, so nothing of
    // the step is in it: far below the 3e-5 A that a second-order method reaches at this step.
    expect(worst("0.1 ms")).toBeLessThan(1e-12);
    expect(worst("0.05 ms")).toBeLessThan(1e-12);
  });
});

describe("1 kHz unit sine against 0.9999", () => {
  // sin(2πft) = 0.9999 at asin(0.9999)/2πf and mirrored about a quarter period.
  const crossings = [247.749190452595279e-6, 252.250809547404721e-6];
  const between = crossings[1]! - crossings[0]!;
  it.each(["0 s", "1.3 us", "3.7 us", "4.999 us", "7.77 us", "9.99 us"])(
    "both crossings are found at h = 10 µs with the grid shifted by %s",
    (shift) => {
      const text = `
        signal tone = sine -1 V to 1 V, at 1 kHz
        signal nudge = path 0 V at ${shift}, 1 V at 1 s
        supply plus5 = 5 V
        resistor load plus5 -> out 1 kohm
        resistor tie nudge -> ground 1 kohm
        switch watch out -> ground closed while tone above 0.9999 V, on 1 ohm`;
      const out = run(text, { until: "500 us", step: "10 us" }).trace("out");
      const jumps = out.time.filter((t, i) => out.time[i + 1] === t);
      expect(jumps.length).toBe(2);
      jumps.forEach((t, k) => expect(Math.abs(t - crossings[k]!)).toBeLessThan(2e-4 * between));
    },
  );

  it.each(["0 s", "1.3 us", "3.7 us", "7.77 us"])(
    "and when the threshold is watched through the circuit, not the source (grid shifted by %s)",
    (shift) => {
      // The same sine as the voltage of an LC tank: 1 V at the start on the capacitor is a cosine, a quarter
      // period ahead. L C = 1/ω², so its crossings lie a quarter period earlier or later.
      const text = `
        capacitor hold tone -> ground 1 uF, starts 1 V
        inductor coil tone -> ground 25.3302959105844428610 mH, starts 0 A
        signal nudge = path 0 V at ${shift}, 1 V at 1 s
        resistor tie nudge -> ground 1 kohm
        supply plus5 = 5 V
        resistor load plus5 -> out 1 kohm
        switch watch out -> ground closed while tone above 0.9999 V, on 1 ohm`;
      const out = run(text, { until: "1.2 ms", step: "10 us" }).trace("out");
      const jumps = out.time.filter((t, i) => out.time[i + 1] === t);
      // Starts closed, opens at 2.25 µs, closes again before and opens after one period (1 ms). The trapezoid
      // itself is late by (ωh)²/12 of the phase, 0.33 µs after a period at this step, so the instants are held
      // to its own frequency: tan(ω'h/2) = ωh/2.
      expect(jumps.length).toBe(3);
      const omega = 2 * Math.PI * 1e3;
      const slow = (2 * Math.atan((omega * 10e-6) / 2)) / 10e-6;
      const half = Math.acos(0.9999) / slow;
      const expected = [half, (2 * Math.PI) / slow - half, (2 * Math.PI) / slow + half];
      jumps.forEach((t, k) => expect(Math.abs(t - expected[k]!)).toBeLessThan(0.05 * between));
    },
  );
});

describe("laws of every passive circuit", () => {
  const text = `
    signal drive = pulse 0 V to 5 V, wide 20 us, every 50 us
    resistor r1 drive -> a 100 ohm
    inductor l1 a -> b 1 mH
    capacitor c1 b -> ground 47 nF
    resistor r2 b -> c 220 ohm
    capacitor c2 c -> ground 10 nF
    resistor r3 c -> ground 1 kohm`;
  it("on trapezoidal steps Σ v·i = 0, Σ h·ī = C·Δv and Σ h·v̄·ī = ΔE to 1e-12 of scale", () => {
    const r = run(text, { until: "200 us", step: "0.5 us", method: "trapezoid" });
    const account = balance(r);
    expect(account.currentLaw).toBeLessThan(1e-12);
    expect(account.trapezoid).toBeLessThan(1e-12);
    expect(account.energy).toBeLessThan(1e-12);
    // Tellegen at each sample.
    const names = ["drive", "r1", "l1", "c1", "r2", "c2", "r3"];
    const powers = names.map((n) => r.trace(`${n}.power`));
    for (let t = 1.25e-6; t < 200e-6; t += 2.5e-6) {
      const all = powers.map((p) => p.value[p.time.findIndex((x) => Math.abs(x - Math.round(t * 2e6) / 2e6) < 1e-12)]!);
      const scale = Math.max(...all.map(Math.abs));
      expect(Math.abs(all.reduce((a, b) => a + b, 0))).toBeLessThan(1e-12 * Math.max(scale, 1e-6));
    }
    // Charge of a capacitor, added up by the trapezoid over its current, is C times its change of voltage.
    const i = r.trace("c1.current");
    const v = r.trace("b");
    let charge = 0;
    for (let k = 1; k < i.time.length; k++) charge += ((i.time[k]! - i.time[k - 1]!) * (i.value[k]! + i.value[k - 1]!)) / 2;
    const change = 47e-9 * (last(v.value) - v.value[0]!);
    expect(Math.abs(charge - change)).toBeLessThan(1e-12 * 47e-9 * 5);
  });

  it("the energy account closes to 1e-4 at default settings and falls with the square of the step", () => {
    expect(balance(run(text, { until: "2 ms" })).energy).toBeLessThan(1e-4);
    const share = (step: string) => balance(run(text, { until: "200 us", step, method: "tr-bdf2" })).energy;
    const order = Math.log2(share("0.5 us") / share("0.0625 us")) / 3;
    expect(order).toBeGreaterThan(1.9);
  });
});

describe("manufactured solution", () => {
  // i = C v′ + v/R for v = sin ωt: the current source is a sine and a cosine together; order over five halvings.
  const omega = 2 * Math.PI * 1000;
  const text = `
    current one ground -> out sine -1 mA to 1 mA, at 1 kHz
    current two ground -> out sine -6.28318530717958647693 mA to 6.28318530717958647693 mA, at 1 kHz, phase 90 deg
    capacitor hold out -> ground 1 uF, starts 0 V
    resistor load out -> ground 1 kohm`;
  const error = (step: string, method: "mixed" | "trapezoid" | "tr-bdf2") => {
    const out = run(text, { until: "2 ms", step, start: "rest", method }).trace("out");
    let most = 0;
    out.time.forEach((t, i) => {
      most = Math.max(most, Math.abs(out.value[i]! - Math.sin(omega * t)));
    });
    return most;
  };
  const steps = ["40 us", "20 us", "10 us", "5 us", "2.5 us", "1.25 us"];
  it.each(["trapezoid", "tr-bdf2"] as const)("%s throughout: order 2.00 ± 0.02 in each of five halvings", (method) => {
    const errors = steps.map((s) => error(s, method));
    for (let k = 1; k < errors.length; k++) {
      const order = Math.log2(errors[k - 1]! / errors[k]!);
      expect(order).toBeGreaterThan(1.98);
      expect(order).toBeLessThan(2.02);
    }
  });
  it("mixed: the two steps after the start have another error constant, which a finer step forgets", () => {
    // Their share of the error falls with the cube of the step, so the order nears 2 from above.
    const order = Math.log2(error("2.5 us", "mixed") / error("1.25 us", "mixed"));
    expect(order).toBeGreaterThan(1.98);
    expect(order).toBeLessThan(2.02);
  });
});
