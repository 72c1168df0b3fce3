// A time that runs out changes what is seen at its own instant, also where nothing around it remembers anything: the output of
// a delayed part is as late as its delay says, by definition of the delay.
import { expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { passing } from "../board/looking.js";

const text = `supply plus5 = 5 V
  signal a = pulse 0 V to 5 V, wide 4 us, every 64 us, first 10 us
  inverter first a -> b delay 240 ns, rail plus5
  inverter plain a -> c rail plus5
  inverter second c -> d delay 300 ns, rail plus5
  oneshot timer d -> e lasts 1 us, rail plus5
  switch late a -> f closed from 12 us to 13 us
  resistor load f -> ground 1 kohm
`;

it.each(["leaps", "mixed"] as const)("with no capacitor anywhere, by %s", (method) => {
  const run = simulate(compile(text), { until: "60 us", method });
  const at = (name: string, way: "rising" | "falling") => passing(run.trace(name), 2.5, way);
  for (const [found, exact] of [
    [at("b", "falling"), 10.24e-6],
    [at("b", "rising"), 14.24e-6],
    [at("d", "rising"), 10.3e-6],
    [at("d", "falling"), 14.3e-6],
    [at("e", "rising"), 10.3e-6],
    [at("e", "falling"), 11.3e-6],
    [at("f", "rising"), 12e-6],
    [at("f", "falling"), 13e-6],
  ] as const) {
    expect(found.length).toBe(1);
    expect(Math.abs(found[0] - exact)).toBeLessThan(1e-15);
  }
});
