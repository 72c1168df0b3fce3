// A trace asked for its curve at instants that follow one another: what holds for a whole stretch is found once.
import { expect, it, vi } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import { Inputs } from "../../src/stepping/inputs.js";

it("corners of a place that no state moves are found once a trace, however often it is asked", () => {
  const design = compile(`
    signal camera = video of 625/50, bars
    check "each" pulses of camera falling through -0.2 V each camera.pulses is 1`);
  const run = simulate(design, { until: "5 ms" });
  run.trace("camera");
  const found = vi.spyOn(Inputs.prototype, "cornersBetween");
  expect(verify(run)[0]).toMatchObject({ pass: true, periods: expect.any(Number) });
  // 78 lines of 64 us, each with a pulse that is sought on the curve.
  expect(verify(run)[0].periods).toBeGreaterThan(75);
  expect(found.mock.calls.length).toBeGreaterThan(0);
  expect(found.mock.calls.length).toBeLessThan(8);
});
