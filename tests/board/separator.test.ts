// The sync separator that ships, behind the chroma filter that ships: every pulse of the camera comes out once, as late
// as the filter and the comparator make it, and the field sync at the same instant of both fields. All three systems,
// with and without interlace, dark and bright, weak and hot.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { halfDelay, passing, reach, run, type System, shared } from "./looking.js";

const board = (system: System, pattern: string, level: number, more = "") => `
  bring "shipped/chroma"
  bring "shipped/separator"
  supply plus5 = 5 V
  signal camera = video of ${system}, ${pattern}
  voltage drive clean -> ground 0 V, follows camera, gain ${level}
  use chroma_filter as filter joins clean, smooth
  use sync_separator as separator joins smooth, plus5, line_low, field_low
  check "sync" peak of line_low above 2.5 V
  ${more}`;

// The separator slices "at half of the sync's height"; held to between 40 and 60 % of it, with all hysteresis. A straight
// edge of duration T through RC (1 kohm, 330 pF) passes the share s of its height at
// τ (ln(1/(1 − s)) + ln(sinh x/x)), x = T/2τ, T = 250 ns at most (BT.1700: 200 ns from 10 to 90 %); at half of it a step
// is late by RC ln 2. Then the comparator's delay of 50 ns.
const tau = 330e-9;
const edge = (full: number) => tau * Math.log(Math.sinh(full / (2 * tau)) / (full / (2 * tau)));
const late = {
  least: -tau * Math.log(1 - 0.4) + edge(175e-9) + 50e-9,
  most: -tau * Math.log(1 - 0.6) + edge(250e-9) + 50e-9,
};

describe.each([
  // After how long it is to have found its level: at once where the levels are the standard's, which its capacitors
  // start from; with weak video its slicing level has to come down first.
  ["625/50", "bars", 1, 1],
  ["525/59.94", "bars", 1, 1],
  ["525/60", "bars", 1.413, 1],
  ["625/50", "black", 1, 1],
  ["525/59.94", "black", 1.413, 1],
  ["525/60", "black", 1, 1],
  ["625/50", "bars", 0.501, 10],
  ["625/50", "black", 1.413, 1],
  ["625/50", "black", 0.501, 32],
  ["625/50", "bars, progressive", 1, 1],
  ["525/59.94", "black, progressive", 1, 1],
] as const)("%s, %s, %f times the standard's level", (system, pattern, level, ready) => {
  const settled = ready * 1e-3;
  // Two fields after that, and a bit.
  const fields = ready > 20 ? 3 : 2;
  const done = run(board(system, pattern, level), {
    until: `${fields * 20 + 1} ms`,
  });
  const [line, field] = done.draw(["line_low", "field_low"]);

  it("every pulse comes out once, none is missing and none is extra", () => {
    const starts = done.periods("camera.pulses");
    const found = shared(starts, passing(line, 2.5, "falling"));
    const counts = found.filter((_, i) => starts[i] > settled).map((times) => times.length);
    expect(counts.length).toBeGreaterThan(400);
    expect(counts.filter((n) => n === 0).length).toBe(0);
    expect(counts.filter((n) => n > 1).length).toBe(0);
  });

  it("as late as filter and comparator make it", () => {
    const starts = done.periods("camera.pulses");
    const delays = shared(starts, passing(line, 2.5, "falling")).flatMap((times, i) =>
      starts[i] > settled ? [times[0] - starts[i]] : [],
    );
    expect(halfDelay(1e3, 330e-12)).toBeCloseTo(228.7e-9, 10);
    expect(delays.reduce((a, b) => Math.min(a, b))).toBeGreaterThan(late.least);
    expect(delays.reduce((a, b) => Math.max(a, b))).toBeLessThan(late.most);
  });

  it("the field sync comes in every field, at the same instant to within 50 ns", () => {
    const falls = passing(field, 2.5, "falling").filter((t) => t > settled);
    const starts = Array.from(done.periods("camera.fields")).filter((t) => t > settled);
    expect(starts.length).toBeGreaterThan(1);
    expect(falls.length).toBe(starts.length);
    const after = falls.map((t, i) => t - starts[i]);
    expect(Math.max(...after) - Math.min(...after)).toBeLessThan(50e-9);
    // Within the first of the broad pulses: the integrator of 27 µs is at 2.3 V of 5 V after 27 µs ln(5/2.7) = 16.6 µs
    // from empty; what the equalising pulses left in it makes it earlier, the delay of sync later.
    for (const t of after) {
      expect(t).toBeGreaterThan(14e-6);
      expect(t).toBeLessThan(17.5e-6);
    }
  });
});

describe("without video", () => {
  it("it rests where no sync is seen, and nothing comes out", () => {
    const done = run(board("625/50", "black, stops 3 ms", 1), { until: "60 ms" });
    const [line, field] = done.draw(["line_low", "field_low"]);
    expect(reach(line.between(3.1e-3, 60e-3)).low).toBe(5);
    expect(reach(field.between(3.1e-3, 60e-3)).low).toBe(5);
  });
});

describe("what the separator's values do", () => {
  it("an integrator that is too fast takes line sync for field sync", () => {
    const text = board("625/50", "black", 1).replace("field_low\n", "field_low with integrator 1 kohm\n");
    const done = simulate(compile(text), { until: "3 ms" });
    // 2.7 µs charge to 2.3 V in 1.7 µs: every pulse of 4.7 µs does it.
    expect(passing(done.trace("field_low"), 2.5, "falling").filter((t) => t > 1e-3).length).toBe(31);
  });
});
