// Capacitors that start `settled`: at what a linear circuit makes of the means of its signals, which is the mean of their
// voltage in the periodic state (superposition; what a capacitor carries has no mean). Dividers and shares of time by hand.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

const begun = (text: string, part = "c") => {
  const run = simulate(compile(text), { until: "1 ms" });
  expect(run.reason).toBe("");
  return { volts: run.trace(`${part}.voltage`).at(0), warnings: run.warnings };
};
const close = (volts: number, exact: number) => expect(Math.abs(volts - exact)).toBeLessThan(1e-12);

describe("starts on the mean", () => {
  // 5 V for 2 of 10 µs is 1 V on the mean.
  const gate = "signal a = pulse 0 V to 5 V, wide 2 us, every 10 us\n";
  it("of its signal", () => {
    close(begun(`${gate}capacitor c a -> b 1 uF, settled\nresistor r b -> ground 1 kohm`).volts, 1);
  });
  it("divided, less what stands on its other side", () => {
    const { volts } = begun(`${gate}supply rail = 12 V
      resistor s a -> in 1 kohm
      resistor t in -> ground 3 kohm
      capacitor c in -> b 1 uF, settled
      resistor u rail -> b 10 kohm
      resistor v b -> ground 20 kohm`);
    close(volts, 0.75 - 8);
  });
  it("however slow: 1 mF behind 1 Gohm", () => {
    close(begun(`${gate}capacitor c a -> b 1 mF, settled\nresistor r b -> ground 1 Gohm`).volts, 1);
  });
  it("of a gated signal, as it is at time zero", () => {
    const late = gate.replace("every 10 us", "every 10 us, starts 0.5 ms");
    close(begun(`${late}capacitor c a -> b 1 uF, settled\nresistor r b -> ground 1 kohm`).volts, 0);
  });
  it("and nothing of it in a capacitor that does not say so: 2.5 V, half way up the edge at time zero", () => {
    const edged = gate.replace("every 10 us", "every 10 us, edges 200 ns");
    close(begun(`${edged}capacitor c a -> b 1 uF\nresistor r b -> ground 1 kohm`).volts, 2.5);
  });
});

it("a voltage of its own is kept, and a start from rest is one", () => {
  const text = (words: string) =>
    `signal a = pulse 0 V to 5 V, wide 2 us, every 10 us\ncapacitor c a -> b 1 uF, ${words}settled\nresistor r b -> ground 1 kohm`;
  close(begun(text("starts 3 V, ")).volts, 3);
  close(begun(text("starts 0 V, ")).volts, 1);
  const rest = simulate(compile(text("")), { until: "1 ms", start: "rest" });
  close(rest.trace("c.voltage").at(0), 0);
});

it("the periodic state has the same mean", () => {
  const text = `signal a = video of 625/50, bars
    resistor s a -> in 75 ohm
    resistor t in -> ground 75 ohm
    capacitor c in -> b 10 uF, settled
    resistor u b -> ground 75 kohm
    check "mean" mean of c.voltage from 0 s to 40 ms below 1 V`;
  const settled = simulate(compile(text), { until: "40 ms", start: "settled" });
  const { time, value } = settled.trace("c.voltage");
  let sum = 0;
  for (let i = 1; i < time.length; i++) sum += ((value[i] + value[i - 1]) / 2) * (time[i] - time[i - 1]);
  // The curve between samples departs from a straight line by a share of the ripple, 0.2 mV.
  expect(Math.abs(begun(text).volts - sum / 40e-3)).toBeLessThan(1e-8);
});

it("where the means hold the circuit in no state, that is said, and it starts as the signals at time zero ask", () => {
  // On the mean 1 V drives 1 mA into what nothing discharges; at time zero nothing flows.
  const run = simulate(
    compile(`signal a = pulse 0 V to 5 V, wide 2 us, every 10 us, first 5 us
      capacitor c a -> b 1 uF, settled
      resistor r b -> ground 1 kohm
      current i ground -> d 0 A, follows a, gain 1 mA/V
      capacitor e d -> ground 1 uF`),
    { until: "1 us" },
  );
  expect(run.status).toBe("complete");
  expect(run.trace("c.voltage").at(0)).toBe(0);
  expect(run.warnings.join()).toMatch(/'c' could not start settled.*nothing stops 'e'/);
});

describe("a coupling that balances at zero", () => {
  // Between equal resistors from equal rails nothing flows (Kirchhoff); what rounding makes of that is no runaway.
  it.each(["1 kohm", "150 kohm", "47 Mohm"])("two times %s, before a fast amplifier", (ohms) => {
    const run = simulate(
      compile(`bring "shipped/link"
        bring "shipped/gain"
        supply high = 5 V
        supply low = -5 V
        signal camera = video of 625/50, bars
        use camera_link as cable joins camera, a with plugged 0.5 ms
        resistor load a -> ground 75 ohm
        capacitor c a -> b 10 uF
        resistor u high -> b ${ohms}
        resistor v b -> low ${ohms}
        use follower as buffer joins b, high, low, out`),
      { until: "0.1 ms" },
    );
    expect(run.reason).toBe("");
    expect(Math.abs(run.trace("b").at(0))).toBeLessThan(1e-15);
  });
  it("and what it is found to be is kept to the bit, whatever stands behind it", () => {
    const run = simulate(
      compile(`bring "shipped/link"
        bring "shipped/input"
        bring "shipped/gain"
        bring "shipped/chroma"
        bring "shipped/separator"
        supply high = 5 V
        supply low = -5 V
        signal camera = video of 625/50, colour bars
        use camera_link as cable joins camera, jack with plugged 0.5 ms
        use video_input as entry joins jack, high, low, coupled
        use follower as buffer joins coupled, high, low, clean
        use chroma_filter as filter joins clean, smooth
        use sync_separator as separator joins smooth, high, line_low, field_low`),
      { until: "0.1 ms" },
    );
    expect(run.reason).toBe("");
    expect(run.warnings).toEqual([]);
  });
  it("but a charge that nothing takes away still has no steady state", () => {
    const run = simulate(
      compile(
        "current i ground -> a 1 pA\ncapacitor c a -> ground 1 uF\nresistor r b -> ground 1 kohm\ncurrent j ground -> b 1 A",
      ),
      { until: "1 ms" },
    );
    expect(run.reason).toMatch(/nothing stops 'c'/);
  });
});
