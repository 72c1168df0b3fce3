// Starts that are given beside what has no steady state with them: a tank whose capacitor starts charged, or whose coil starts with a
// current. What has no steady value beside them starts as it would without them, and the run says so. Against the closed forms
// of an undamped and a damped resonance (Horowitz & Hill, The Art of Electronics, 3rd ed., 2015, 1.7.14; from memory).
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { tries } from "../counts.js";

/** Values from a seed, spread over decades (multiplicative congruential generator of Park and Miller, 1988). */
function values(seed: number): { L: number; C: number; V: number; A: number } {
  let state = (seed * 48271) % 2147483647;
  const next = () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
  for (let k = 0; k < 5; k++) next();
  return { L: 10 ** (-9 + 8 * next()), C: 10 ** (-12 + 8 * next()), V: 1 + 9 * next(), A: 0.01 + next() };
}

const count = tries(60);
const seeds = Array.from({ length: count }, (_, i) => i + 1);
const told = /nothing stops .* beside what other parts start with: it starts at/;

describe("a tank", () => {
  it(`${count} of them: a capacitor that starts charged rings with its coil`, () => {
    for (const seed of seeds) {
      const { L, C, V } = values(seed);
      const w = 1 / Math.sqrt(L * C);
      const until = 20 / w;
      const run = simulate(
        compile(`capacitor c a -> ground ${C} F, starts ${V} V\ninductor l a -> ground ${L} H`),
        { until },
      );
      expect(run.status).toBe("complete");
      expect(run.warnings).toEqual([expect.stringMatching(told)]);
      const [v, i] = [run.trace("a"), run.trace("l.current")];
      for (let k = 0; k <= 40; k++) {
        const t = (k / 40) * run.reached;
        expect(Math.abs(v.at(t) - V * Math.cos(w * t))).toBeLessThan(2e-6 * V);
        expect(Math.abs(i.at(t) - V * w * C * Math.sin(w * t))).toBeLessThan(2e-6 * V * w * C);
      }
    }
  });

  it(`${count} of them: a coil that starts with a current rings with its capacitor`, () => {
    for (const seed of seeds) {
      const { L, C, A } = values(seed);
      const w = 1 / Math.sqrt(L * C);
      const run = simulate(
        compile(
          `capacitor c a -> ground ${C} F\ninductor l a -> b ${L / 2} H, starts ${A} A\ninductor m b -> ground ${L / 2} H`,
        ),
        { until: 20 / w },
      );
      expect(run.status).toBe("complete");
      expect(run.warnings).toContainEqual(expect.stringMatching(told));
      const v = run.trace("a");
      for (let k = 0; k <= 40; k++) {
        const t = (k / 40) * run.reached;
        const exact = -A * w * L * Math.sin(w * t);
        expect(Math.abs(v.at(t) - exact)).toBeLessThan(2e-6 * A * w * L);
      }
    }
  });

  it(`${count} of them on a supply: the coil starts with the current that the supply drives`, () => {
    for (const seed of seeds) {
      const { L, C, V } = values(seed);
      // Damped by a fifth of critical.
      const R = 2.5 * Math.sqrt(L / C);
      const P = 12;
      const run = simulate(
        compile(
          `supply p = ${P} V\nresistor r p -> a ${R} ohm\ncapacitor c a -> ground ${C} F, starts ${V} V\ninductor l a -> ground ${L} H`,
        ),
        { until: 10 * Math.sqrt(L * C) },
      );
      expect(run.status).toBe("complete");
      expect(run.trace("l.current").at(0)).toBeCloseTo(P / R, 9 - Math.ceil(Math.log10(1 + P / R)));
      // v'' + v'/(RC) + v/(LC) = 0 with v(0) = V and v'(0) = -V/(RC).
      const alpha = 1 / (2 * R * C);
      const w = Math.sqrt(1 / (L * C) - alpha * alpha);
      const v = run.trace("a");
      for (let k = 0; k <= 40; k++) {
        const t = (k / 40) * run.reached;
        const exact = V * Math.exp(-alpha * t) * (Math.cos(w * t) - (alpha / w) * Math.sin(w * t));
        expect(Math.abs(v.at(t) - exact)).toBeLessThan(2e-6 * V);
      }
    }
  });
});

describe("a coil that starts with a current", () => {
  it(`${count} of them: it finds its diode, and all of its energy goes into a capacitor`, () => {
    for (const seed of seeds) {
      const { L, C, V, A } = values(seed);
      const run = simulate(
        compile(
          `inductor l ground -> a ${L} H, starts ${A} A\ndiode d a -> b drop 0 V\ncapacitor c b -> ground ${C} F, starts ${V} V\nresistor r b -> ground 1e12 ohm`,
        ),
        { until: 4 * Math.sqrt(L * C) },
      );
      expect([run.status, run.warnings]).toEqual(["complete", []]);
      // L i²/2 + C v²/2 is kept; the leak has an hour at the least.
      const all = Math.sqrt(V * V + (L / C) * A * A);
      expect(Math.abs(run.trace("b").at(run.reached) / all - 1)).toBeLessThan(1e-6);
    }
  });

  it("against its diode it cannot have it, which is told", () => {
    const run = simulate(
      compile(
        "inductor l a -> ground 1 mH, starts 1 A\ndiode d a -> b drop 0 V\ncapacitor c b -> ground 1 uF, starts 2 V",
      ),
      { until: "100 us" },
    );
    expect(run.status).toBe("complete");
    expect(run.warnings.join()).toContain("'l' is given 1 A at the start but begins with 0 A");
    expect(run.trace("b").at(1e-4)).toBe(2);
  });

  it("a capacitor above the rail that a diode ties it to starts where the diode holds it, which is told", () => {
    const text =
      "supply p = 5 V\ncapacitor c a -> ground 1 uF, starts 9 V\ndiode d a -> p drop 0.5 V\nresistor r a -> ground 1 kohm";
    const run = simulate(compile(text), { until: "100 us" });
    expect(run.status).toBe("complete");
    expect(run.warnings.join()).toContain("'c' is given 9 V at the start but begins with 5.5 V");
    // From there on it falls through the resistor.
    expect(run.trace("a").at(1e-4)).toBeCloseTo(5.5 * Math.exp(-0.1), 6);
  });
});

it("what follows a state that is given does so in any order of the parts", () => {
  const starts = (parts: readonly string[], name: string) =>
    simulate(compile(`${parts.join("\n")}\nresistor r a -> ground 1 Mohm`), { until: "1 us" })
      .trace(name)
      .at(0);
  const capacitors = ["capacitor d a -> ground 1 uF", "capacitor c a -> ground 1 uF, starts 5 V"];
  const coils = [
    "inductor m a -> b 1 mH",
    "inductor l b -> ground 2 mH, starts 3 A",
    "capacitor e a -> ground 1 nF, starts 1 V",
  ];
  for (const turned of [(list: string[]) => list, (list: string[]) => list.reverse()]) {
    expect(starts(turned(capacitors.slice()), "a")).toBe(5);
    expect(starts(turned(coils.slice()), "m.current")).toBe(3);
  }
});

it("what an ideal source drives is refused all the same", () => {
  const run = simulate(compile("supply p = 5 V\ninductor l p -> ground 1 mH\ncapacitor c p -> ground 1 uF"), {
    until: "1 ms",
  });
  expect([run.status, run.status === "stopped" && run.code]).toEqual(["stopped", "no-steady-state"]);
});
