// Leaps that begin alike are drawn from one plan: the trace is as true as where each was looked into. Heights come again or lie a
// little beside those that were met, and lengths are longer or shorter by some ticks. Against the convolution of a pole with a
// source of straight pieces, piece by piece (Oppenheim & Willsky, Signals and Systems, 2nd ed., 1997, 2.2 and 9; from memory).
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { tries } from "../counts.js";
import { type Complex, chance, later, over, stair, times } from "./stairs.js";

describe("stairs into what forgets them slowly, at once, or ringing", () => {
  it.each(Array.from({ length: tries(40) }, (_, i) => i + 1))("values by chance, %d", (seed) => {
    const next = chance(seed);
    const edge = 10 ** (-8 + 2 * next());
    const points = stair(next, 120, edge);
    const last = points[points.length - 1][0];
    const tau = edge * 10 ** (-1 + 2.5 * next());
    const Q = seed % 2 === 0 ? 0 : 0.6 + 20 * next() * next();
    const R = 1000;
    const path = points.map(([t, v]) => `${v} V at ${t} s`).join(", ");
    const parts =
      Q > 0
        ? [
            `inductor l m -> o ${Q * R * tau} H`,
            `resistor r a -> m ${R} ohm`,
            `capacitor c o -> ground ${tau / (R * Q)} F`,
          ]
        : [`resistor r a -> o ${R} ohm`, `capacitor c o -> ground ${tau / R} F`];
    const text = [`voltage v a -> ground path ${path}`, ...parts].join("\n");
    const run = simulate(compile(text), { until: last, start: "rest" });
    expect(run.status).toBe("complete");
    const trace = run.trace("o");
    const swing = Math.max(...trace.value) - Math.min(...trace.value);
    // One pole -1/tau and u/tau; or a pair, of which v is twice the real part of w² y / (p - p*).
    const w = 1 / tau;
    const pole: Complex = Q > 0 ? [-w / (2 * Q), w * Math.sqrt(1 - 1 / (4 * Q * Q))] : [-w, 0];
    const share: Complex = Q > 0 ? over([2 * w * w, 0], [0, 2 * pole[1]]) : [w, 0];
    let y: Complex = [0, 0];
    let worst = 0;
    for (let k = 0; k + 1 < points.length; k++) {
      const [[from, level], [to, end]] = [points[k], points[k + 1]];
      const rise = (end - level) / (to - from);
      for (let n = 0; n < 40; n++) {
        const t = (to - from) * next();
        const seen = trace.at(from + t);
        worst = Math.max(worst, Math.abs(seen - times(share, later(pole, y, level, rise, t))[0]));
      }
      y = later(pole, y, level, rise, to - from);
    }
    expect(worst / swing).toBeLessThan(6e-7);
  });
});

// No outside source: what was drawn before is no reason for a trace to be another.
describe("what a picture has drawn", () => {
  const text = `supply plus = 12 V
signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns
current feed plus -> ramp 1 mA
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm`;
  const run = () => simulate(compile(text), { until: 12 * 64e-6 });

  it("changes no bit of what is measured after it", () => {
    const [alone, drawn] = [run(), run()];
    drawn.sketch(["ramp"], 0, drawn.reached);
    const stretch = [3 * 64e-6, 9 * 64e-6] as const;
    expect(drawn.stretch(["ramp"], ...stretch)[0].value).toEqual(
      alone.stretch(["ramp"], ...stretch)[0].value,
    );
    expect(drawn.trace("ramp").value).toEqual(alone.trace("ramp").value);
  });

  // While the switch is closed, 1 mA goes through 5 ohm: 5 mV, to 1e-6 of what the stretch swings by (closed form).
  it("leaves a stretch with little swing as true as that", () => {
    const drawn = run();
    drawn.sketch(["ramp"], 0, drawn.reached);
    drawn.stretch(["ramp"], 0, drawn.reached);
    const [from, to] = [5 * 64e-6 + 1.5e-6, 5 * 64e-6 + 4.4e-6];
    const [trace] = drawn.stretch(["ramp"], from, to);
    const swing = Math.max(...trace.value) - Math.min(...trace.value);
    // It discharges towards 5 mV by exp(-t / RC); what it began with is taken from its own start.
    const begin = trace.at(from) - 5e-3;
    for (let k = 0; k <= 50; k++) {
      const t = (k / 50) * (to - from);
      expect(Math.abs(trace.at(from + t) - 5e-3 - begin * Math.exp(-t / 75e-9))).toBeLessThan(2e-6 * swing);
    }
  });
});
