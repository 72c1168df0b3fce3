// A circuit that rings by itself, drawn over many turns: the curve against the closed form of a damped oscillation (C. K. Alexander &
// M. N. O. Sadiku, Fundamentals of Electric Circuits, ch. 8), and how much is worked out anew for it.
import { expect, it, vi } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { LeapMatrices } from "../../src/stepping/leapmatrices.js";

const [V, C, L] = [10, 1e-9, 1e-3];

/** The voltage of a capacitor that rings down through a coil and R. */
function ringing(R: number) {
  const a = R / 2 / L;
  const w = Math.sqrt(1 / L / C - a * a);
  return (t: number) => V * Math.exp(-a * t) * (Math.cos(w * t) + (a / w) * Math.sin(w * t));
}

const circuit = (R: number) => `capacitor c top -> ground ${C} F, starts ${V} V
inductor l top -> foot ${L} H, starts 0 A
resistor r foot -> ground ${R} ohm`;

/** Draws it to an instant; gives the trace, and how often something was carried to a look or for one. */
function drawn(R: number, until: number) {
  const run = simulate(compile(circuit(R)), { until });
  expect(run.status).toBe("complete");
  const carried = [
    vi.spyOn(LeapMatrices.prototype, "leapSome"),
    vi.spyOn(LeapMatrices.prototype, "pullOf"),
  ] as const;
  const trace = run.trace("top");
  const count = carried.reduce((sum, { mock }) => sum + mock.calls.length, 0);
  for (const spy of carried) spy.mockRestore();
  return { trace, count };
}

it.each([
  ["hardly damped, three thousand turns", 0.1, 20e-3],
  ["damped, so that it dies away within a hundred", 20, 2e-3],
  ["dying at once, and then nothing for long", 1000, 20e-3],
])("%s: within a millionth of its swing", (_, R, until) => {
  const { trace } = drawn(R, until);
  const exact = ringing(R);
  const { time, value } = trace;
  let worst = 0;
  for (let i = 1; i < time.length; i++) {
    worst = Math.max(worst, Math.abs(value[i] - exact(time[i])));
    for (const share of [0.29, 0.5, 0.83]) {
      const t = time[i - 1] + share * (time[i] - time[i - 1]);
      worst = Math.max(worst, Math.abs(trace.at(t) - exact(t)));
    }
  }
  expect(worst / (2 * V)).toBeLessThan(1.5e-6);
});

it("thousands of turns share their looks: less than one is worked out for each sample", () => {
  const { trace, count } = drawn(0.1, 20e-3);
  expect(trace.time.length).toBeGreaterThan(50_000);
  expect(count).toBeLessThan(trace.time.length);
});

it("what has died away takes no more samples than by itself", () => {
  const long = drawn(20, 20e-3).trace.time.length;
  const brief = drawn(20, 2e-3).trace.time.length;
  expect(long).toBeLessThan(1.05 * brief);
});

it("a sine that no state carries is drawn as well: 2 V sin ωt over two thousand periods", () => {
  const run = simulate(compile("signal s = sine -2 V to 2 V, at 100 kHz\nresistor r s -> ground 1 kohm"), {
    until: 20e-3,
  });
  const { time, value } = run.trace("s");
  const w = 2 * Math.PI * 1e5;
  expect(Math.max(...value.map((v, i) => Math.abs(v - 2 * Math.sin(w * time[i]))))).toBeLessThan(4e-6);
});
