// A streamed run keeps nothing: a million steps take no more memory than the first hundred thousand, and the samples
// handed on are those that a recorded run keeps. A hundred million steps run with `npm run verify:long`.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { tries } from "../counts.js";
import { flow } from "../verify/flow.js";

describe("streaming", () => {
  const many = tries(1_000_000, 4);
  it(`${many} steps: memory is flat, every ramp is right`, () => {
    const { samples, steps, memory, worst } = flow(many);
    expect(steps).toBe(many);
    expect(samples).toBeGreaterThan(steps);
    expect(memory.length).toBe(10);
    const [first, ...rest] = memory;
    for (const { heap, buffers } of rest) {
      expect(buffers).toBeLessThanOrEqual(first.buffers + 100_000);
      expect(heap).toBeLessThan(first.heap + 2_000_000);
    }
    expect(worst).toBeLessThan(1e-7);
  });

  it.each([1, 7, 100, 8192])("blocks of %i hold what a recorded run holds", (size) => {
    const design = compile(`
      supply plus5 = 5 V
      signal gate = pulse 0 V to 5 V, wide 5 us, every 50 us
      resistor charge plus5 -> cap 10 kohm
      capacitor hold cap -> ground 10 nF
      switch reset cap -> ground closed while gate above 2.5 V, on 100 ohm`);
    const seen: [number, number, number][] = [];
    simulate(design, {
      until: "230 us",
      stream: {
        traces: ["cap", "reset.current"],
        size,
        block: ({ time, values: [cap, current] }) => {
          expect(time.length).toBeLessThanOrEqual(size);
          time.forEach((t, i) => {
            seen.push([t, cap[i], current[i]]);
          });
        },
      },
    });
    const run = simulate(design, { until: "230 us" });
    const [cap, current] = [run.trace("cap"), run.trace("reset.current")];
    // A trace and a stream take samples where each needs them: of the same curve, and both where a leap ends.
    for (const [trace, column] of [
      [cap, 1],
      [current, 2],
    ] as const) {
      const swing = Math.max(...trace.value) - Math.min(...trace.value);
      const within = (t: number) =>
        !trace.time.includes(t) || trace.time.indexOf(t) === trace.time.lastIndexOf(t);
      for (const sample of seen)
        if (within(sample[0]))
          expect(Math.abs(sample[column] - trace.at(sample[0])) / swing).toBeLessThan(1e-6);
      const streamed = new Set(seen.map((sample) => `${sample[0]} ${sample[column]}`));
      let jumps = 0;
      trace.time.forEach((t, i) => {
        if (t !== trace.time[i - 1] && t !== trace.time[i + 1]) return;
        jumps++;
        expect(streamed.has(`${t} ${trace.value[i]}`)).toBe(true);
      });
      // The switch turns twice a period, and only its current jumps there.
      expect(jumps).toBe(column === 1 ? 0 : 2 * 9);
    }
    const instants = new Set(seen.map(([t]) => t));
    for (const [t, n] of [0, 5, 50, 55, 100, 105, 150, 155, 200, 205].map((us) => [us / 1e6, us] as const))
      expect(`${n} ${instants.has(t) && cap.time.includes(t)}`).toBe(`${n} true`);
  });
});
