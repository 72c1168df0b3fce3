// Saturated colour before the sync separator: without the chroma filter it reaches into the slicing level and makes
// false pulses and a field sync out of place, with it none (common practice, no source). The dips of 75 % bars below the
// slicing level are some 20 to 30 ns short: which separator notices them is a matter of its speed, and of its luck.
import { describe, expect, it } from "vitest";
import { passing, run, shared } from "./looking.js";

// The 100/0/75/0 bars of 625 lines, from memory of ITU-R BT.471-1: luminance and chroma, peak to peak, mV.
const bars = {
  white: [700, 0],
  yellow: [465, 470],
  cyan: [368, 664],
  green: [308, 620],
  magenta: [217, 620],
  red: [157, 664],
  blue: [60, 470],
  black: [0, 0],
} as const;
/** How long a cycle of the carrier spends below a level, as a share of it. */
const below = ([luminance, chroma]: readonly [number, number], level: number) => {
  const share = (luminance - level) / (chroma / 2);
  return chroma > 0 && share < 1 ? Math.acos(share) / Math.PI : 0;
};
const carrier = 4433618.75;

describe("a comparator at half the height of sync", () => {
  const counts = (system: string, slice: string, filter: boolean, H: number) => {
    const done = run(
      `bring "shipped/chroma"
       signal camera = video of ${system}, colour bars
       voltage drive clean -> ground 0 V, follows camera
       use chroma_filter as filter joins clean, smooth with series 620 ohm, shunt 510 pF
       comparator slicer ${filter ? "smooth" : "clean"} -> out delay 0 s, threshold ${slice}`,
      { until: `${52 * H} us`, record: { from: `${39.5 * H} us` } },
    );
    const starts = done.periods("camera.lines").filter((t) => t > 39.6 * H * 1e-6);
    return shared(starts, passing(done.trace("out"), 2.5, "falling")).map((times) => times.length);
  };

  it("625 lines: red and blue go below −150 mV once a cycle, all other bars stay above", () => {
    const reaching = Object.entries(bars).filter(([, bar]) => below(bar, -150) > 0);
    expect(reaching.map(([name]) => name)).toEqual(["red", "blue"]);
    // Two bars of 52 µs/8 are 57.6 cycles; the change from red to blue may hide one or two, the ends as many.
    const cycles = ((2 * 52e-6) / 8) * carrier;
    const found = counts("625/50", "-150 mV", false, 64);
    expect(found.length).toBe(12);
    for (const n of found) {
      expect(n - 1).toBeGreaterThan(cycles - 4);
      expect(n - 1).toBeLessThan(cycles + 2);
    }
  });
  it("with the filter there is one pulse a line", () => {
    expect(counts("625/50", "-150 mV", true, 64)).toEqual(Array(12).fill(1));
  });
  it("525 lines: the bars stand higher, −15.7 units at the lowest, and there is one pulse a line without it too", () => {
    // Luminance 28.2 and 15.4 units, chroma 87.7 and 62.1 (EIA RS-189-A with set-up 7.5, from memory); slicing at −20.
    expect(Math.min(28.2 - 87.7 / 2, 15.4 - 62.1 / 2)).toBeGreaterThan(-16);
    expect(counts("525/59.94", "-1 V / 7", false, 572 / 9)).toEqual(Array(12).fill(1));
  });
});

describe("the separator that ships, behind an ideal follower", () => {
  // The camera is plugged in some 12 lines of picture before the second field's broad pulses, which begin at 20 ms: into a
  // line of picture (19.216 ms are 300.25 lines), or into the middle of a line sync.
  const [inPicture, inSync] = ["19.216 ms", "19.204 ms"];
  // Before that there is no video, or the same bars without colour, on which it finds its level.
  const found = (filter: boolean, plugged: string, { delay = "50 ns", before = false } = {}) => {
    const done = run(
      `bring "shipped/chroma"
       bring "shipped/separator"
       supply plus5 = 5 V
       signal camera = video of 625/50, colour bars, starts ${plugged}
       signal plain = video of 625/50, colour bars, monochrome, stops ${before ? plugged : "0 s"}
       voltage first grey -> ground 0 V, follows plain
       voltage second clean -> grey 0 V, follows camera
       use chroma_filter as filter joins clean, smooth
       use sync_separator as separator joins ${filter ? "smooth" : "clean"}, plus5, line_low, field_low with delay ${delay}`,
      { until: "20.3 ms" },
    );
    const [line, field] = done.draw(["line_low", "field_low"]);
    const starts = done.periods("camera.pulses");
    const pulses = shared(starts, passing(line, 2.5, "falling")).map((times) => times.length);
    return {
      /** Pulses from that of each line of picture to the next. */
      lines: pulses.slice(0, 9),
      others: pulses.slice(9),
      field: passing(field, 2.5, "falling"),
    };
  };
  const right = ({ lines, others, field }: ReturnType<typeof found>) => {
    expect([...lines, ...others]).toEqual(Array(23).fill(1));
    // One field sync, in the first broad pulse.
    expect(field.length).toBe(1);
    expect(Math.abs(field[0] - 20e-3 - 15.6e-6)).toBeLessThan(0.5e-6);
  };
  const wrong = ({ lines, others, field }: ReturnType<typeof found>) => {
    // Each false pulse clamps colour to where the tips of sync should be, so that more of it comes below the slicing
    // level: within a line or two not red and blue alone, which are 58 cycles a line.
    for (const count of lines.slice(2, -1)) expect(count - 1).toBeGreaterThan(100);
    expect(others.slice(1)).not.toEqual(Array(others.length - 1).fill(1));
    // So much sync charges the integrator: "field" is said lines before the field, in the middle of the picture.
    expect(field.length).toBeGreaterThan(0);
    expect(20e-3 - field[0]).toBeGreaterThan(5 * 64e-6);
  };
  /** The longest dip of the bars below half the height of sync less half of the hysteresis of 20 mV, s. */
  const dip = Math.max(...Object.values(bars).map((bar) => below(bar, -160))) / carrier;

  it("with the filter: no false pulse, and the field sync in its place", () => {
    // Nine lines, and fifteen half lines of the field sync, the last of which ends after the run.
    right(found(true, inSync));
    right(found(true, inPicture));
  });
  it("without it: false pulses, and the field sync far from its place", () => {
    wrong(found(false, inSync));
    wrong(found(false, inPicture));
  });
  it("without it, where it has found its level before the colour comes, it takes no notice of dips of 26 ns", () => {
    expect(Math.abs(dip - 26e-9)).toBeLessThan(1e-9);
    expect(dip).toBeLessThan(50e-9);
    right(found(false, inPicture, { before: true }));
  });
  it("but with a comparator of 10 ns instead of 50 ns it does, and needs the filter then as well", () => {
    expect(dip).toBeGreaterThan(10e-9);
    wrong(found(false, inPicture, { before: true, delay: "10 ns" }));
    right(found(true, inPicture, { before: true, delay: "10 ns" }));
  });
});
