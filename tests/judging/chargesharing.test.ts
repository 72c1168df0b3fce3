// What the runs of a study share, counted: readings, equations, marches. No clock is asked.
import { afterEach, describe, expect, it, vi } from "vitest";
import { ratio } from "../../src/base/fraction.js";
import { revalued } from "../../src/design/revalue.js";
import { Outputs } from "../../src/equations/outputs.js";
import { compile, type Design, simulate, trials } from "../../src/index.js";
import type { CornerCycle } from "../../src/signals/cursor.js";
import { Player } from "../../src/signals/player.js";
import type { Wave } from "../../src/signals/wave.js";
import { March } from "../../src/stepping/march.js";
import { Settler } from "../../src/stepping/modes.js";

afterEach(() => {
  vi.restoreAllMocks();
});

const sweep = `
given timing = 15 nF +- 5 %
supply plus12 = 12 V
supply plus5  = 5 V
signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns
current   feed  plus12 -> ramp 1 mA +- 2 %, headroom 0.9 V, output 2 Mohm
capacitor hold  ramp -> ground timing
switch    reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
diode     guard ramp -> plus5  drop 0.6 V, on 10 ohm
run for 1 ms, from settled
check "fills" peak of ramp each gate is 3.95 V +- 10 %
`;

describe("runs of one study", () => {
  it("make the equations of a combination once for the search of the settled start and the run", () => {
    const made = vi.spyOn(Outputs.prototype, "complete");
    const marches = vi.spyOn(March.prototype, "going");
    const { statistics, status } = simulate(compile(sweep));
    expect(status).toBe("complete");
    // Only the gate switches, so a period is an affine map: one step of Newton, one shot that shows it, then the run.
    expect(marches).toHaveBeenCalledTimes(3);
    expect(made).toHaveBeenCalledTimes(statistics.combinations);
  });

  it("look for no other modes to start in, unless someone asks for the warnings", () => {
    const sought = vi.spyOn(Settler.prototype, "rivals");
    const design = compile(sweep.replace(", from settled", ""));
    trials(design, { trials: 3 });
    expect(sought).not.toHaveBeenCalled();
    const run = simulate(design);
    expect([run.warnings, run.warnings]).toEqual([[], []]);
    expect(sought).toHaveBeenCalledTimes(1);
  });

  it("play patterns that were worked out once, in whatever trial, at any scale of their own", () => {
    const design = compile(sweep);
    const tick = ratio(1n, 10n ** 10n);
    const waveOf = (one: Design) => one.parts.find((p) => p.name === "gate")!.wave!;
    const patternOf = (wave: Wave, per = tick) =>
      (new Player(wave, per) as unknown as { here: { pattern: CornerCycle } }).here.pattern;
    const wave = waveOf(design);
    const other = waveOf(revalued(design, new Map([["timing", ratio(16n, 10n ** 9n)]])));
    expect(other).toBe(wave);
    expect(patternOf(other)).toBe(patternOf(wave));
    // Gated it plays the same corners; scaled, or in other ticks, it has its own.
    expect(patternOf({ ...wave, stops: ratio(1n) })).toBe(patternOf(wave));
    expect(patternOf({ ...wave, scale: ratio(2n) }).value).toEqual(patternOf(wave).value.map((v) => 2 * v));
    expect(patternOf(wave, tick.mul(2)).whole).toEqual(patternOf(wave).whole.map((n) => n / 2));
  });
});
