// The energy account where a time constant lies far below a tick. What is lost in a resistor while a capacitor is charged, a
// charge is shared or a coil runs down does not depend on the resistor: ½ C V², ½ C₁C₂/(C₁+C₂) ΔV², ½ L I² (C. K. Alexander &
// M. N. O. Sadiku, Fundamentals of Electric Circuits, ch. 6 and 7). A ring within a tick loses all that it held.
import { describe, expect, it } from "vitest";
import { balance, compile, type SimulateOptions, simulate } from "../../src/index.js";

function account(text: string, options: SimulateOptions) {
  const run = simulate(compile(text), options);
  expect(run.reason).toBe("");
  return balance(run);
}

const off = (got: number, expected: number) => Math.abs(got / expected - 1);

/** What rounding may seem to heat: the voltage across a resistor is known to some roundings of those at its ends. */
const rounding = (volts: number, ohms: number, seconds: number) =>
  ((16 * 2 ** -53 * volts) ** 2 * seconds) / ohms;

// Ohms, three decades apart; the longest time constant is 1 ms.
const sizes = [-18, -15, -12, -9, -6, -3, 0, 3];

describe.each(sizes)("1e%i ohm", (order) => {
  const ohms = `1e${order} ohm`;
  // Long beside every time constant, and no longer than 1e20 of them, beyond which two doubles no longer tell what goes on.
  const us = order < -12 ? 10 : 40e3;
  const until = `${us} us`;

  it("charges a capacitor: of C V² half is lost", () => {
    const found = account(`supply v = 5 V\nresistor r v -> a ${ohms}\ncapacitor c a -> ground 1 uF`, {
      until,
      start: "rest",
    });
    const heat = 0.5e-6 * 25;
    const doubt = rounding(5, 10 ** order, us * 1e-6);
    expect(doubt).toBeLessThan(1e-7 * heat);
    expect(Math.abs(found.delivered - 2 * heat)).toBeLessThan(1e-9 * heat + doubt);
    expect(Math.abs(found.dissipated - heat)).toBeLessThan(1e-9 * heat + doubt);
    expect(off(found.stored, 0.5e-6 * 25)).toBeLessThan(1e-12);
    expect(found.energy).toBeLessThan(1e-9 + doubt / heat);
  });

  it("shares the charge of two capacitors", () => {
    const found = account(
      `capacitor p a -> ground 1 uF, starts 3 V\nresistor r a -> b ${ohms}\ncapacitor q b -> ground 0.5 uF, starts -1 V`,
      { until, start: "rest" },
    );
    const heat = (0.5 * 1e-6 * 0.5e-6 * 16) / 1.5e-6;
    const doubt = rounding(3, 10 ** order, us * 1e-6);
    expect(Math.abs(found.dissipated - heat)).toBeLessThan(1e-9 * heat + doubt);
    expect(found.delivered).toBe(0);
    expect(found.energy).toBeLessThan(1e-9 + doubt / heat);
  });

  it("follows a ramp: R (C k)² T, once it does", () => {
    // From 0 V at rest a ramp of k V/s: ½ R (C k)² of T − 3τ/2 for T far above τ; delivered is that and ½ C V² more.
    const [R, C, k, T] = [10 ** order, 1e-6, 4e6 / us, us * 1e-6];
    const found = account(
      `signal s = path 0 V at 0 s, 4 V at ${until}\nresistor r s -> a ${ohms}\ncapacitor c a -> ground 1 uF`,
      { until, start: "rest" },
    );
    const heat = R * (C * k) ** 2 * (T - 1.5 * R * C);
    const v = k * (T - R * C);
    // The heat is none beside what is stored where R is small, and may be a rounding of that.
    const stored = 0.5 * C * v * v;
    expect(Math.abs(found.dissipated - heat)).toBeLessThan(1e-9 * heat + rounding(4, R, T) + 1e-14 * stored);
    expect(off(found.stored, stored)).toBeLessThan(1e-9);
    expect(found.energy).toBeLessThan(1e-9);
  });
});

it.each([1, 3, 6, 9, 12, 15, 18])("a coil runs down through 1e%i ohm: ½ L I²", (order) => {
  const found = account(`inductor l a -> ground 1 mH, starts 2 A\nresistor r a -> ground 1e${order} ohm`, {
    until: "10 ms",
    start: "rest",
  });
  expect(off(found.dissipated, 0.5e-3 * 4)).toBeLessThan(1e-9);
  expect(off(-found.stored, 0.5e-3 * 4)).toBeLessThan(1e-12);
});

it.each([-9, -12, -15, -18])("a ring of 1e%i H that dies away within a tick", (order) => {
  // Z = √(L/C) stays at 1 ohm, and a tenth of it damps the ring at R/2L.
  const found = account(
    `capacitor c a -> ground 1e${order} F, starts 10 V
     inductor l a -> b 1e${order} H
     resistor r b -> ground 0.1 ohm`,
    { until: "1 ms", start: "rest" },
  );
  expect(off(found.dissipated, 0.5 * 10 ** order * 100)).toBeLessThan(1e-9);
  expect(found.energy).toBeLessThan(1e-9);
});
