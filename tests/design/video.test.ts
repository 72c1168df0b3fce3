// Composite video as a signal of the language, compiled and simulated: levels, every sync pulse of a frame, the beats
// that checks may ask for, and what the words of the waveform and of the cases do to it.
// Sources: SMPTE 170M-2004 (tables 2 and 3, figure 7, § 12), ITU-R BT.1700 (2005) and BT.470-6, 47 CFR 73.682, as in
// shared/video-timing.json. 525/60 has the levels and widths of the colour standard: common practice.
import { describe, expect, it } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import { book, lineOf, number, passing, reach, run, type System, systems } from "../board/looking.js";

const camera = (words: string) => `signal camera = ${words}\nresistor load camera -> ground 75 ohm\n`;
const video = (system: System, more: string) => camera(`video of ${system}, ${more}`);
const levels = (system: System) => {
  const { sync, black, white, slice } = book.systems[system].levels_mV;
  const volts = (f: { value: string }) => number(f) / 1000;
  return { sync: volts(sync), black: volts(black), white: volts(white), slice: volts(slice) };
};

/** Sync pulses of a frame by half lines, written down from the figures of the standards. */
function pulsesOf(system: System, interlaced: boolean): { half: number; width: number }[] {
  const { syncWidth, equalising, broad, line, linesAFrame } = book.systems[system];
  const widths = {
    line: number(syncWidth),
    equalising: number(equalising),
    // H/2 − 4.7 µs in every 525-line system (SMPTE 170M table 3).
    broad: broad ? number(broad) : number(line) / 2 - 4.7,
  };
  const frame = interlaced ? 2 * Number(linesAFrame.value) : Number(linesAFrame.value) - 1;
  const found = new Map<number, keyof typeof widths>();
  const put = (from: number, count: number, kind: keyof typeof widths) => {
    for (let k = 0; k < count; k++) found.set((from + k + frame) % frame, kind);
  };
  for (let half = 0; half < frame; half += 2) found.set(half, "line");
  // SMPTE 170M figure 7: 6 + 6 + 6 from the start of line 1 and, in the second field, from the middle of line 263.
  // BT.1700 figures 3 to 5: 5 + 5 + 5, the broad pulses from the start of line 1 and from the middle of line 313.
  const [group, lead] = system === "625/50" ? [5, 5] : [6, 0];
  for (const field of interlaced ? [0, frame / 2] : [0]) {
    put(field - lead, group, "equalising");
    put(field - lead + group, group, "broad");
    put(field - lead + 2 * group, group, "equalising");
  }
  return [...found].sort(([a], [b]) => a - b).map(([half, kind]) => ({ half, width: widths[kind] * 1e-6 }));
}

describe.each(systems)("video of %s", (system) => {
  const line = lineOf(system);
  const level = levels(system);
  const lines = Number(book.systems[system].linesAFrame.value);
  const framed = run(
    `${video(system, "white")}
    check "whole fields" value of camera at 1 us each camera.fields below 0 V
    check "pulses of a field" pulses of camera falling through ${level.slice * 1000} mV each camera.fields from ${line * 0.25 * 1e6} us to ${line * (lines / 2 - 0.25) * 1e6} us above 1
    `,
    { until: `${line * (lines * 2 + 1)} s` },
  );
  const trace = framed.trace("camera");

  it("tip, blanking, black and white", () => {
    const { low, high } = reach(trace);
    expect(Math.abs(low - level.sync)).toBeLessThan(1e-15);
    expect(Math.abs(high - level.white)).toBeLessThan(1e-15);
    const black = run(video(system, "black"), { until: `${line * 110} s` }).trace("camera");
    // Line 101: the front porch before it, the back porch behind the place of a burst, the middle of the picture.
    expect(black.at(100 * line - 0.7e-6)).toBe(0);
    expect(black.at(100 * line + 8.5e-6)).toBe(0);
    expect(Math.abs(black.at(100 * line + 30e-6) - level.black)).toBeLessThan(1e-15);
  });

  it.each(["interlaced", "progressive"])(
    "every sync pulse of a frame, %s: 0H and width at half height",
    (kind) => {
      const interlaced = kind === "interlaced";
      const seen = interlaced
        ? trace
        : run(video(system, "white, progressive"), { until: `${line * (lines + 1)} s` }).trace("camera");
      const expected = pulsesOf(system, interlaced);
      const frame = interlaced ? lines : (lines - 1) / 2;
      const falls = passing(seen, level.slice, "falling");
      const rises = passing(seen, level.slice, "rising");
      // The run begins in the middle of the first edge: its pulse is seen half, so start with the second.
      let worst = 0;
      for (let k = 1; k < 2 * expected.length; k++) {
        const { half, width } = expected[k % expected.length];
        const begins = (Math.floor(k / expected.length) * frame + half / 2) * line;
        worst = Math.max(worst, Math.abs(falls[k - 1] - begins), Math.abs(rises[k] - begins - width));
      }
      // Ticks of the wave are below 70 ps; the rest is doubles of 40 ms.
      expect(worst).toBeLessThan(2e-15);
      const count = (of: number) => expected.filter(({ width }) => Math.abs(width - of * 1e-6) < 1e-9).length;
      const group = system === "625/50" ? 5 : 6;
      const fields = interlaced ? 2 : 1;
      expect(count(number(book.systems[system].equalising))).toBe(2 * group * fields);
    },
  );

  it("its fields are exactly half of the lines apart, its frames all of them", () => {
    // 262.5 or 312.5 lines between like pulses of successive fields (SMPTE 170M figure 7, BT.1700 figures 3 to 5).
    const first = Number(book.systems[system].firstBroadPulse_lines.value);
    const [above, below = 1] = book.systems[system].line.value.split("/").map(Number);
    const instant = (half: number) => ((half / 2) * above) / (below * 1e6);
    const all = (step: number, from: number, count: number) =>
      Array.from({ length: count }, (_, k) => instant(from + k * step));
    const near = (name: string, expected: number[]) => {
      const found = Array.from(framed.periods(name)).slice(0, expected.length);
      expect(found.length).toBe(expected.length);
      found.forEach((t, k) => {
        // One rounding of the double that shows it.
        expect(Math.abs(t - expected[k])).toBeLessThanOrEqual(expected[k] * 2.3e-16);
      });
    };
    near("camera.fields", all(lines, 2 * first, 4));
    near("camera.frames", all(2 * lines, 2 * first, 2));
    near("camera.lines", all(2, 0, 2 * lines));
    near("camera", all(2, 0, 2 * lines));
    near(
      "camera.pulses",
      pulsesOf(system, true).map(({ half }) => instant(half)),
    );
  });

  it("checks can be asked of each field", () => {
    const results = new Map(verify(framed).map((r) => [r.name, r]));
    // Two frames and a line: the fields of 625 lines begin with the first line, those of 525 with the fourth.
    const whole = system === "625/50" ? 4 : 3;
    expect(results.get("whole fields")).toMatchObject({ periods: whole, pass: true });
    expect(Math.abs(results.get("whole fields")!.measured - level.sync)).toBeLessThan(1e-15);
    // From a quarter line after one field's first broad pulse to a quarter line before the next one's.
    const pulses = pulsesOf(system, true);
    const broad = system === "625/50" ? 0 : 6;
    const inField = (from: number) =>
      pulses.filter(({ half }) => (half - from + 2 * lines - 1) % (2 * lines) < lines - 1).length;
    const fewest = Math.min(inField(broad), inField(broad + lines));
    // The check says the one closest to its limit, which is the lowest.
    expect(results.get("pulses of a field")!.measured).toBe(fewest);
  });

  it("progressive: fields of whole lines, all alike", () => {
    const done = run(video(system, "white, progressive"), { until: `${line * (lines + 10)} s` });
    const fields = done.periods("camera.fields");
    // 262 or 312 lines: common practice, no source.
    expect(Math.abs(fields[1] - fields[0] - ((lines - 1) / 2) * line)).toBeLessThan(1e-17);
    expect(Array.from(done.periods("camera.frames"))).toEqual(Array.from(fields));
  });

  it("scaled: all levels by the factor", () => {
    const half = run(video(system, "white, scaled 0.501"), { until: "1 ms" }).trace("camera");
    half.time.forEach((t, i) => {
      if (i > 0 && t < 1e-3) expect(Math.abs(half.value[i] - 0.501 * trace.at(t))).toBeLessThan(1e-9);
    });
  });

  it("starts and stops: nothing before and after, the same wave between", () => {
    const done = run(video(system, `white, starts ${100.5 * line} s, stops ${200.5 * line} s`), {
      until: `${300 * line} s`,
    });
    const gated = done.trace("camera");
    for (const n of [0.1, 50.5, 100.4, 200.6, 299]) expect(gated.at(n * line)).toBe(0);
    for (const n of [101.01, 120.4, 150.5, 199.9])
      expect(Math.abs(gated.at(n * line) - trace.at(n * line))).toBeLessThan(1e-12);
    const begun = done.periods("camera.lines");
    expect(begun.length).toBe(100);
    expect(Math.abs(begun[0] - 101 * line)).toBeLessThan(1e-17);
  });
});

describe("the set-up of 525 lines", () => {
  // 7.5 IRE units, none in Japan (SMPTE 170M-2004, § 12); a unit is 1/140 V.
  it.each([
    ["", 7.5],
    [", setup 7.5 %", 7.5],
    [", setup 0 %", 0],
  ])("'%s' puts black at %f units", (words, units) => {
    for (const system of ["525/59.94", "525/60"] as const) {
      const line = lineOf(system);
      const at = (pattern: string) =>
        run(video(system, `${pattern}${words}`), { until: `${101 * line} s` })
          .trace("camera")
          .at(100 * line + 30e-6);
      expect(Math.abs(at("black") - units / 140)).toBeLessThan(1e-15);
      expect(Math.abs(at("white") - 100 / 140)).toBeLessThan(1e-15);
      // A grey half way lies half way between black and white, not between blanking and white.
      expect(Math.abs(at("flat, level 50 %") - (units + 100) / 280)).toBeLessThan(1e-15);
    }
  });
});

describe("patterns", () => {
  // 625 lines: 52 µs of picture from 10.5 µs after 0H (BT.1700 table 2).
  const shows = (words: string, until = "7 ms") => run(video("625/50", words), { until }).trace("camera");
  const at = (n: number, share: number) => 64e-6 * n + 10.5e-6 + 52e-6 * share;
  it("a ramp, bars, a crosshatch", () => {
    const ramp = shows("ramp");
    for (const s of [0.1, 0.25, 0.5, 0.9])
      expect(Math.abs(ramp.at(at(100, s)) - 0.7 * s)).toBeLessThan(1e-12);
    const bars = shows("bars, count 5");
    for (let k = 0; k < 5; k++)
      expect(Math.abs(bars.at(at(100, (k + 0.5) / 5)) - 0.7 * (1 - k / 4))).toBeLessThan(1e-12);
    // So many upright lines on a line between two level ones.
    const hatch = shows("crosshatch, across 9, down 3");
    const cuts = passing(hatch.between(at(49.9, 0), at(50, 1) + 1e-6), 0.35, "rising");
    expect(cuts.filter((t) => t > 50 * 64e-6).length).toBe(9);
  });

  it("bounce and fade change from frame to frame", () => {
    const film = shows("bounce, low 20 %, high 80 %, frames 2", "165 ms");
    const level = (trace: typeof film, frame: number) => trace.at(frame * 40e-3 + at(100, 0.5)) / 0.7;
    const near = (trace: typeof film, levels: readonly number[]) => {
      for (const [frame, wanted] of levels.entries())
        expect(Math.abs(level(trace, frame) - wanted)).toBeLessThan(1e-12);
    };
    near(film, [0.2, 0.2, 0.8, 0.8]);
    const fade = shows("fade, frames 4", "250 ms");
    near(fade, [0, 0.25, 0.5, 0.75, 1, 0.75]);
  });

  it("a picture handed in, row by row over both fields", () => {
    const pictures = (name: string) =>
      name === "robin" ? { width: 2, height: 2, data: Float64Array.of(0, 1, 0.5, 0.25) } : undefined;
    const design = compile(video("625/50", 'picture "robin"'), { pictures });
    const trace = simulate(design, { until: "40 ms" }).trace("camera");
    // Lines 40 and 352 are near the top, 300 and 612 near the bottom (first lines of picture 24 and 336).
    for (const n of [39, 351]) {
      expect(trace.at(at(n, 0.25))).toBe(0);
      expect(Math.abs(trace.at(at(n, 0.75)) - 0.7)).toBeLessThan(1e-12);
    }
    for (const n of [299, 611]) {
      expect(Math.abs(trace.at(at(n, 0.25)) - 0.35)).toBeLessThan(1e-12);
      expect(Math.abs(trace.at(at(n, 0.75)) - 0.175)).toBeLessThan(1e-12);
    }
  });
});

describe("colour", () => {
  // BT.1700: burst of 300 mV peak to peak from 5.6 µs for 10 cycles, then 75 % bars. SMPTE 170M: 40 units, 9 cycles from
  // 19 cycles after 0H.
  it.each([
    ["625/50", 0.15, 5.6e-6, 10, 4433618.75],
    ["525/59.94", 20 / 140, (19 * 88e-6) / 315, 9, 315e6 / 88],
  ] as const)(
    "the burst of %s: size, place, cycles; none in monochrome",
    (system, size, from, cycles, carrier) => {
      const H = lineOf(system);
      const seen = run(video(system, "colour bars"), {
        until: `${102 * H} s`,
        record: { from: `${99 * H} s` },
      });
      const burst = seen.trace("camera").between(100 * H + 5e-6, 100 * H + 9e-6);
      const { low, high } = reach(burst);
      // Straight steps of a carrier: a sample within 1/48 cycle of the crest.
      expect(Math.abs(high - size)).toBeLessThan(size * 0.01);
      expect(Math.abs(low + size)).toBeLessThan(size * 0.01);
      const ups = passing(burst, size / 2, "rising");
      expect(Math.abs(ups.length - cycles)).toBeLessThanOrEqual(1);
      expect(Math.abs(ups[0] - 100 * H - from)).toBeLessThan(1 / carrier + 0.2e-6);
      const mean = (ups.at(-2)! - ups[1]) / (ups.length - 3);
      expect(Math.abs(mean * carrier - 1)).toBeLessThan(2e-3);
      const grey = run(video(system, "colour bars, monochrome"), { until: `${102 * H} s` }).trace("camera");
      expect(reach(grey.between(100 * H + 5.1e-6, 100 * H + 9e-6))).toEqual({ low: 0, high: 0 });
    },
  );
});

describe("cases", () => {
  const text = `${video("625/50", "white")}
    run for 1100 us
    case "dark" camera is video of 625/50, black
    run for 8 ms
    check "dark" peak of camera after 2 ms below 1 uV
    case "bars, weak" camera scaled 0.5, camera is video of 625/50, bars
    check "half" peak of camera is 350 mV +- 1 uV
    case "525" camera is video of 525/59.94, white, setup 0 %
    check "lines" period of camera falling through -140 mV after 600 us is 572 us / 9 +- 1 ns
    case "gone" camera stops at 2 ms
    run for 4 ms
    check "nothing" swing of camera after 2 ms below 1 uV
    case "gate" camera is pulse 0 V to 1 V, wide 4.7 us, every 64 us
    check "pulse" peak of camera is 1 V +- 1 uV`;

  it("change the waveform, alone or with other changes, and the length of the run", () => {
    const design = compile(text);
    const lengths = Object.fromEntries(design.cases.map((c) => [c.caseName, simulate(c).until]));
    expect(lengths).toEqual({ dark: 8e-3, "bars, weak": 1.1e-3, "525": 1.1e-3, gone: 4e-3, gate: 1.1e-3 });
    for (const c of design.cases) {
      const results = verify(simulate(c));
      for (const r of results) {
        // White is there only from line 24 on; in the first millisecond bars show nothing.
        if (r.name === "half") expect(r).toMatchObject({ pass: false, measured: 0 });
        else expect(r).toMatchObject({ pass: true });
      }
    }
  });

  it("leave the design as drawn alone", () => {
    const done = run(text, { until: "3 ms" });
    expect(reach(done.trace("camera")).high).toBeCloseTo(0.7, 12);
  });
});
