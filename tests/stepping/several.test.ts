// Several comparators watch one ring, some at the same level, some just below its crests: each switches at every passage of its
// levels, in order, at the instant of the closed form. A step of 5 V into L, R and C in series (any text on circuits):
//     v = 5 − 5 e^(−αt) (cos ωt + α/ω sin ωt),  α = R/2L,  ω² = 1/LC − α²,
// monotone between its crests at ωt = nπ, where v = 5 − 5 (−1)^n e^(−αnπ/ω).
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { tries } from "../counts.js";
import { chance } from "../reading/stairs.js";

const step = 5;
const begins = 1e-6;

/** When a comparator of a ring switches, s, until the end. */
function passages(alpha: number, omega: number, levels: readonly [low: number, high: number], end: number) {
  const at = (t: number) =>
    step - step * Math.exp(-alpha * t) * (Math.cos(omega * t) + (alpha / omega) * Math.sin(omega * t));
  const found: { time: number; to: string }[] = [];
  let high = false;
  for (let n = 0; (n * Math.PI) / omega < end; n++) {
    const [from, to] = [n, n + 1].map((k) => (k * Math.PI) / omega);
    const rising = n % 2 === 0;
    const level: number = levels[high ? 0 : 1];
    if (rising === high || !(rising ? at(to) > level : at(to) < level)) continue;
    let [a, b] = [from, to];
    for (let turn = 0; turn < 80; turn++) {
      const middle = (a + b) / 2;
      if (at(middle) > level === rising) b = middle;
      else a = middle;
    }
    high = rising;
    if (b < end) found.push({ time: begins + b, to: high ? "high" : "low" });
  }
  return found;
}

describe("comparators that watch one ring", () => {
  it.each(Array.from({ length: tries(60, 12) }, (_, k) => k + 1))("by chance, %d", (seed) => {
    const next = chance(seed);
    const henries = 10 ** (-4 + 2 * next());
    const farads = 10 ** (-10 + 2 * next());
    const quality = 3 + 40 * next();
    const ohms = Math.sqrt(henries / farads) / quality;
    const alpha = ohms / (2 * henries);
    const omega = Math.sqrt(1 / (henries * farads) - alpha * alpha);
    const end = (2 * Math.PI * (3 + Math.floor(6 * next())) + 1) / omega;
    const crest = (n: number) =>
      step - step * (n % 2 === 0 ? 1 : -1) * Math.exp((-alpha * n * Math.PI) / omega);
    const near = [1e-2, 1e-4, 1e-6];
    const watchers = Array.from({ length: 2 + Math.floor(5 * next()) }, () => {
      const n = 1 + 2 * Math.floor(3 * next());
      const way = next() < 0.5 ? -1 : 1;
      const high =
        next() < 0.6 ? crest(n) + way * step * near[Math.floor(3 * next())] : step * (0.2 + 1.4 * next());
      return [high - (0.01 + 0.5 * next()), high] as const;
    });
    // One more at the same levels as the first.
    watchers.push(watchers[0]);
    const text = `voltage v in -> ground path 0 V at 0 s, 0 V at ${begins} s, ${step} V at ${begins} s
      inductor l in -> x ${henries} H
      resistor r x -> out ${ohms} ohm
      capacitor c out -> ground ${farads} F
      ${watchers
        .map(
          ([low, high], k) =>
            `comparator k${k} out -> q${k} threshold ${(low + high) / 2} V, hysteresis ${high - low} V`,
        )
        .join("\n")}`;
    const run = simulate(compile(text), { until: begins + end, start: "rest" });
    expect([run.status, run.warnings]).toEqual(["complete", []]);
    for (const [k, levels] of watchers.entries()) {
      const due = passages(alpha, omega, levels, end);
      const got = run.events.filter(({ part }) => part === `k${k}`);
      expect(got.map(({ to }) => to)).toEqual(due.map(({ to }) => to));
      // Just below a crest an instant is as sharp as the root of the voltage: 1e-12 of 5 V over 1e-6 of it.
      for (const [i, { time }] of got.entries())
        expect(Math.abs(time - due[i].time) * omega).toBeLessThan(1e-8);
    }
    const [first, last] = ["k0", `k${watchers.length - 1}`].map((name) =>
      run.events.filter(({ part }) => part === name).map(({ time, to }) => `${to} ${time}`),
    );
    expect(last).toEqual(first);
  });
});
