// The picture's way: five times by the gain stage that ships, and what coupling does to it when the picture turns bright.
// Rails of ±5 V that the output keeps 1.5 V away from, as it ships.
import { describe, expect, it } from "vitest";
import { clippings, inspect } from "../../src/index.js";
import { passing, rails, reach, run } from "./looking.js";

const blocks = `bring "shipped/input"\nbring "shipped/gain"\n${rails}`;
const stage = (more = "") => `use gain_stage as gain joins clean, plus5, minus5, bright${more}\n`;
const follower = "use follower as buffer joins coupled, plus5, minus5, clean\n";
const entry = (more = "") => `use video_input as entry joins camera, plus5, minus5, coupled${more}\n`;

// Shares of a frame of 40 ms in 625 lines (ITU-R BT.1700, tables 2 and 3): the pulses 0.3 V below blanking, and the
// picture: 574 whole lines of 52 µs and, field blanking being 25 H + 12 µs, two halves of 20 µs.
const tips = (0.3 * (610 * 4.7 + 20 * 2.35 + 10 * 27.3)) / 40e3;
const light = (0.7 * (574 * 52 + 2 * 20)) / 40e3;
/** Mean of the video of an even grey, V. */
const mean = (level: number) => light * level - tips;

describe("five times", () => {
  it("makes 5 V from the standard's 1 V peak to peak", () => {
    // Common practice, no source; 1 + 4 kohm/1 kohm (Horowitz & Hill, 3rd ed., § 4.2.2). Up to the loop's gain at the
    // edges: 50 MHz/5 leaves 16 ns, which a bar has long forgotten.
    const done = run(
      `${blocks}signal camera = video of 625/50, bars
       ${entry(" with average 76 mV")}${follower}${stage()}run for 3 ms`,
    );
    const [coupled, bright] = done.draw(["coupled", "bright"]).map(reach);
    expect(Math.abs(coupled.high - coupled.low - 1)).toBeLessThan(1e-3);
    expect(Math.abs(bright.high - bright.low - 5)).toBeLessThan(5e-3);
    expect(clippings(done)).toEqual([]);
  });
  it("rises in 2.2 time constants of its loop, 10 MHz", () => {
    // Gain-bandwidth product over gain (Horowitz & Hill, 3rd ed., § 4.4.2); 10-90 % in 2.197 τ (RC charge).
    const done = run(
      `${blocks}signal clean = pulse 0 V to 100 mV, wide 2 us, every 10 us, first 1 us\n${stage()}run for 4 us`,
    );
    const bright = done.trace("bright");
    const [low] = passing(bright, 0.05, "rising");
    const [high] = passing(bright, 0.45, "rising");
    const tau = 5 / (2 * Math.PI * 50e6);
    expect(Math.abs(high - low - 2.197224577 * tau)).toBeLessThan(0.02 * tau);
  });
});

describe("an even grey, coupled and settled", () => {
  // What a capacitor carries has no mean, so the tips stand 0.3 V + mean below the middle. Five times that is the
  // limit of −3.5 V where the mean is 0.4 V.
  const limit = (0.4 + tips) / light;
  const clips = (level: number) => {
    const done = run(
      `${blocks}signal camera = video of 625/50, flat, level ${level}
       ${entry(" with coupling 100 uF")}${follower}${stage()}run for 40 ms, from settled`,
    );
    return clippings(done);
  };
  it("begins to clip at the lower limit at the level that arithmetic names: 81.05 %", () => {
    expect(Math.abs(limit - 0.8105)).toBeLessThan(5e-5);
    let [free, clipped] = [0.806, 0.816];
    expect(clips(free)).toEqual([]);
    for (let turn = 0; turn < 4; turn++) {
      const middle = (free + clipped) / 2;
      if (clips(middle).length > 0) clipped = middle;
      else free = middle;
    }
    // Over a frame 7.5 s of coupling give way by 0.4 V · 1.6 ms/7.5 s = 85 µV: 0.016 % of white; the search itself
    // ends at 0.06 %.
    expect(clipped - free).toBeLessThan(7e-4);
    expect(Math.abs((clipped + free) / 2 - limit)).toBeLessThan(5e-4);
    const [row, ...more] = clips(clipped);
    expect(more).toEqual([]);
    expect(row).toMatchObject({ part: "gain.stage", output: "bright", limit: "lower" });
    expect(row.level).toBeCloseTo(-3.5, 6);
    // The report names the picture level.
    expect(Math.abs(row.picture! - limit)).toBeLessThan(1e-3);
  });
});

describe("from black to white", () => {
  const ohms = 75e3;
  const text = (pattern: string) =>
    `${blocks}signal camera = video of 625/50, ${pattern}
     ${entry(` with coupling 1 uF, average ${-1000 * tips} mV`)}${follower}${stage()}`;
  const tau = ohms * 1e-6;

  it("a fade: the coupled signal wanders after its mean, and the frame in which it begins to clip is named", () => {
    // The mean that is gone from the coupled video follows the frame's with RC = 75 ms; in steps of a twentieth a frame.
    let behind = -tips;
    let begins = Number.NaN;
    for (let frame = 0; frame < 20 && Number.isNaN(begins); frame++) {
      const aims = mean(frame / 20);
      const next = aims + (behind - aims) * Math.exp(-40e-3 / tau);
      if (next > 0.4) begins = frame / 20;
      behind = next;
    }
    // Well within a frame: the ripple over one is 0.4 V · 1.6 ms/75 ms = 9 mV at most, a step of the mean 19 mV.
    const done = run(`${text("fade, frames 20")}run for 880 ms`);
    const rows = clippings(done);
    expect(rows.map(({ part, limit }) => [part, limit])).toEqual([["gain.stage", "lower"]]);
    expect(rows[0].picture).toBeCloseTo(begins, 12);
    expect(rows[0].begins).toBeGreaterThan(begins * 20 * 40e-3);
    expect(rows[0].begins).toBeLessThan((begins * 20 + 1) * 40e-3);
    expect(rows[0].level).toBeCloseTo(-3.5, 6);
  });

  it("at one stroke: first too high, and too low after τ ln(step of the mean/what is left of it)", () => {
    // White from the fifth frame on: its top stands 0.7 V above blanking, which is still 24 mV above the middle; then the
    // mean follows, and where it passes 0.4 V the tips meet the lower limit.
    const done = run(`${text("bounce, frames 4")}run for 300 ms`);
    const rows = clippings(done);
    expect(rows.map(({ part, limit, picture }) => [part, limit, picture])).toEqual([
      ["gain.stage", "upper", 1],
      ["gain.stage", "lower", 1],
    ]);
    const [upper, lower] = rows;
    // The first line of white: 42.5 µs after 0H of line 23 of the fifth frame.
    expect(Math.abs(upper.begins - (160e-3 + 22 * 64e-6 + 42.5e-6))).toBeLessThan(0.3e-6);
    const meets = 160e-3 + tau * Math.log((mean(1) - mean(0)) / (mean(1) - 0.4));
    // The mean of a frame is not gathered evenly: 1.6 ms of each 20 ms pass without picture.
    expect(Math.abs(lower.begins - meets)).toBeLessThan(3.2e-3);
  });
});

describe("what hangs free", () => {
  const told = (text: string) => inspect(`${blocks}${text}`).diagnostics.map(({ message }) => message);
  it("a follower without a load drives its output, as a stage with feedback does", () => {
    expect(told(`signal coupled = sine -1 V to 1 V, at 1 kHz\n${follower}`)).toEqual([]);
    expect(told(`signal clean = sine -1 V to 1 V, at 1 kHz\n${stage()}`)).toEqual([]);
  });
  it("but nothing drives what it should follow", () => {
    expect(told(follower)).toEqual([expect.stringMatching(/coupled/)]);
    const both =
      "amplifier f a -> out minus b, high plus5, low minus5, bandwidth 1 MHz\nresistor r out -> a 1 kohm";
    expect(told(both)).toEqual([expect.stringMatching(/nothing drives place 'b'/)]);
  });
});
