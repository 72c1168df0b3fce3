// What nothing in a circuit can change, a steady start leaves as it was: the charge of islands that only capacitors tie to the
// rest, and the flux of loops of coils. Coils in parallel share a current as (L2 − M) to (L1 − M), that is, as they would had
// they been switched on from rest (F. W. Grover, Inductance Calculations, 1946, from memory); charges in series are equal.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

const steady = (text: string) => {
  const run = simulate(compile(text), { until: "1 us" });
  expect([run.status, run.warnings]).toEqual(["complete", []]);
  return (name: string) => run.trace(name).value[0];
};
const expectClose = (got: number, due: number, scale = Math.abs(due)) =>
  expect(Math.abs(got - due)).toBeLessThanOrEqual(1e-9 * scale);

describe("coils in parallel behind 1 kohm at 5 V", () => {
  const [one, two] = [1e-3, 4e-3];
  const ways = ["a -> ground", "ground -> a"];
  const cases = ways.flatMap((first) =>
    ways.flatMap((second) => [0, 0.3, 0.45].map((k) => [first, second, k] as const)),
  );
  it.each(cases)("%s beside %s, %d of the flux in common", (first, second, k) => {
    const at = steady(`supply p = 5 V
      resistor feed p -> a 1 kohm
      inductor l1 ${first} 1 mH
      inductor l2 ${second} 4 mH
      ${k > 0 ? `coupling core l1 -> l2 ${k}` : ""}`);
    const [s1, s2] = [first, second].map((way) => (way === ways[0] ? 1 : -1));
    const mutual = s1 * s2 * k * Math.sqrt(one * two);
    const total = one + two - 2 * mutual;
    expectClose(at("l1.current"), (s1 * 5e-3 * (two - mutual)) / total);
    expectClose(at("l2.current"), (s2 * 5e-3 * (one - mutual)) / total);
  });

  it("keeps a current that is given, and the other takes the rest", () => {
    const at = steady(`supply p = 5 V
      resistor feed p -> a 1 kohm
      inductor l1 a -> ground 1 mH, starts 2 mA
      inductor l2 ground -> a 4 mH`);
    expectClose(at("l1.current"), 2e-3);
    expectClose(at("l2.current"), -3e-3);
  });

  it("three in a chain of two loops, the middle one turned", () => {
    const at = steady(`supply p = 5 V
      resistor feed p -> a 1 kohm
      inductor l1 a -> ground 1 mH
      inductor l2 ground -> a 2 mH
      inductor l3 a -> ground 4 mH`);
    // As conductances would: 1/L1 : 1/L2 : 1/L3 = 4 : 2 : 1.
    expectClose(at("l1.current"), (5e-3 * 4) / 7);
    expectClose(at("l2.current"), (-5e-3 * 2) / 7);
    expectClose(at("l3.current"), (5e-3 * 1) / 7);
  });
});

describe("islands tied by capacitors alone", () => {
  it("a chain across 6 V shares it inversely to the capacitances, with a resistor inside an island", () => {
    const at = steady(`supply p = 6 V
      capacitor c1 p -> a 1 uF
      resistor r a -> b 1 kohm
      capacitor c2 b -> c 2 uF
      capacitor c3 ground -> c 3 uF`);
    const charge = 6 / (1 / 1e-6 + 1 / 2e-6 + 1 / 3e-6);
    expectClose(at("c1.voltage"), charge / 1e-6);
    expectClose(at("c2.voltage"), charge / 2e-6);
    expectClose(at("c3.voltage"), -charge / 3e-6);
  });

  it("a loop of three that an open switch alone ties to the rest stands at nothing", () => {
    const run = simulate(
      compile(`supply p = 6 V
        supply gate = 0 V
        switch s p -> a closed while gate above 2.5 V
        capacitor c1 a -> b 1 uF
        capacitor c2 b -> c 2 uF
        capacitor c3 c -> a 3 uF
        resistor r1 a -> x 1 kohm
        capacitor c4 x -> c 1 uF`),
      { until: "1 us" },
    );
    expect(run.status).toBe("complete");
    for (const name of ["c1", "c2", "c3", "c4"])
      expect(Math.abs(run.trace(`${name}.voltage`).value[0])).toBe(0);
  });

  it("one that is given is kept, and its neighbours take its charge", () => {
    const at = steady(`capacitor c1 ground -> a 1 uF, starts -4 V
      resistor r a -> b 1 kohm
      capacitor c2 b -> ground 1 uF`);
    expectClose(at("c1.voltage"), -4);
    expectClose(at("c2.voltage"), 4);
  });
});
