// Video without a carrier against shared/video-timing.json: every pulse of every field of a colour sequence, edges,
// blanking of lines and fields, levels, shares and means. Sources stand beside the figures in that file.
import { describe, expect, test } from "vitest";
import { Fraction, ratio, toNumber } from "../../src/base/fraction.js";
import { periodStarts } from "../../src/signals/periodstarts.js";
import { Schedule } from "../../src/signals/schedule.js";
import { rates, syncPulses, systems } from "../../src/signals/sync.js";
import { video } from "../../src/signals/video.js";
import { gated, levelRange, ShapeError, scaled } from "../../src/signals/wave.js";
import { book, number, Scope } from "./scope.js";

const startsOf = (...of: Parameters<typeof periodStarts>) => periodStarts(...of).all();

describe.each(systems)("%s", (system) => {
  const said = book.systems[system];
  const mV = (f: { value: string }) => number(f as never) / 1000;
  const { sync, slice, white, black } = said.levels_mV;
  const white0 = video({ system, pattern: { kind: "white" } });
  const scope = new Scope(white0);
  const us = (ticks: number) => ticks * scope.seconds * 1e6;
  const ticks = (t: Fraction) => toNumber(t.div(scope.tick));
  const line = ticks(new Fraction(said.line.value).div(1e6));
  const lines = Number(said.linesAFrame.value);
  // As many frames as a colour sequence has.
  const frames = Number(said.fieldsInColour?.value ?? 2) / 2;
  // Read from the porch before the first edge to the same place after the last frame.
  const start = -ticks(ratio(1, 1_000_000));
  const end = start + frames * lines * line;

  test("levels", () => {
    const { low, high } = levelRange(white0);
    expect(low).toBeCloseTo(mV(sync), 15);
    expect(high).toBeCloseTo(mV(white), 15);
    expect(high - low).toBeCloseTo(1, 15);
    const dark = new Scope(video({ system, pattern: { kind: "black" } }));
    const middle = new Fraction(said.line.value).mul(ratio(1005, 10)).div(1e6);
    expect(dark.at(middle)).toBeCloseTo(mV(black), 15);
    // Blanking is zero: in the porches, before and after a sync pulse of its line.
    const H = new Fraction(said.line.value).div(1e6).mul(100);
    expect([dark.at(H.sub(ratio(1, 1e6))), dark.at(H.add(ratio(7, 1e6)))]).toEqual([0, 0]);
    // Without setup black lies on blanking.
    const none = new Scope(video({ system, setup: "0", pattern: { kind: "black" } }));
    expect(none.at(middle)).toBe(0);
  });

  test.each([true, false])("sync pulses at half height are the standard's, interlaced %s", (interlaced) => {
    const { pulses, period } = syncPulses(system, "composite", interlaced);
    const seen = new Scope(video({ system, interlaced, pattern: { kind: "white" } }));
    const length = ticks(period);
    const to = start + frames * length;
    const cuts = seen.crossings(mV(slice), start, to);
    expect(cuts.length).toBe(2 * frames * pulses.length);
    let worst = 0;
    cuts.forEach(({ at, up }, i) => {
      const k = i >> 1;
      const pulse = pulses[k % pulses.length];
      const begins = Math.floor(k / pulses.length) * length + ticks(pulse.at);
      expect(up).toBe(i % 2 === 1);
      worst = Math.max(worst, Math.abs(at - (up ? begins + ticks(pulse.width) : begins)));
    });
    // Ticks of 10 or 62 ps; what is left is the rounding of the cut.
    expect(worst).toBeLessThan(1e-5);
  });

  test("sync edges, 10 to 90 %", () => {
    const depth = mV(sync);
    const tenth = scope.crossings(depth * 0.1, start, end);
    const most = scope.crossings(depth * 0.9, start, end);
    expect(tenth.length).toBe(most.length);
    for (let i = 0; i < most.length; i++) {
      expect(us(Math.abs(most[i].at - tenth[i].at))).toBeCloseTo(number(said.edge), 6);
    }
  });

  // The picture as blanking leaves it: stretches at which white shows, cut at half its height.
  const shown = (() => {
    const cuts = scope.crossings(mV(white) / 2, start, end);
    return cuts.flatMap(({ at, up }, i) => (up ? [{ from: at, to: cuts[i + 1].at }] : []));
  })();

  test("line blanking: end after 0H, begin before the next", () => {
    const whole = shown.filter(({ from, to }) => to - from > 0.6 * line);
    expect(whole.length).toBe(2 * frames * Number(said.wholeLinesOfPicture.value));
    for (const { from, to } of whole) {
      expect(us(from % line)).toBeCloseTo(number(said.blankingEnd), 6);
      expect(us(line - (to % line))).toBeCloseTo(number(said.frontPorch), 6);
    }
  });

  test("blanking edges, 10 to 90 %", () => {
    const height = mV(white);
    const low = scope.crossings(height * 0.1, start, end);
    const high = scope.crossings(height * 0.9, start, end);
    for (let i = 0; i < high.length; i++) {
      expect(us(Math.abs(high[i].at - low[i].at))).toBeCloseTo(number(said.blankingEdge), 6);
    }
  });

  test("field blanking, half lines of picture, first whole lines", () => {
    const gaps = shown.slice(1).map(({ from }, i) => us(from - shown[i].to));
    const long = gaps.filter((gap) => gap > 200);
    // The gap across the end of the stretch read is not among them where it falls there.
    expect(long.length).toBeGreaterThanOrEqual(2 * frames - 1);
    for (const gap of long) expect(gap).toBeCloseTo(number(said.fieldBlanking), 3);
    // One field begins with a half line of picture, the other ends with one.
    const halves = shown.filter(({ from, to }) => to - from < 0.6 * line);
    expect(halves.length).toBe(2 * frames);
    expect(halves.filter(({ from }) => us(from % line) > 30).length).toBe(frames);
    const first = said.firstWholeLines.value.split(" ").map(Number);
    for (const n of first) {
      const at = (n - 1) * line;
      const before = shown.filter(
        ({ from, to }) => to < at && to - from > 0.6 * line && from > at - 10 * line,
      );
      expect(before).toEqual([]);
      expect(shown.some(({ from, to }) => from > at && to < at + line && to - from > 0.6 * line)).toBe(true);
    }
  });

  // No table gives shares and means for the monochrome rate.
  if (said.share)
    test("shares at sync level, and the mean of a blank line", () => {
      const blank = new Scope(video({ system, setup: "0", pattern: { kind: "black" } }));
      const depth = mV(sync);
      const share = (from: number, length: number) => blank.mean(from, from + length) / depth;
      const near = (x: number, f: { value: string }) => {
        const digits = f.value.split(".")[1].length;
        expect(Math.abs(x - Number(f.value))).toBeLessThanOrEqual(0.5001 * 10 ** -digits);
      };
      const broad = line * Number(said.firstBroadPulse_lines.value);
      const group = (Number(said.group.value) * line) / 2;
      // Between the middles of edges; what one edge lacks the other has too much.
      const shift = -line / 100;
      near(share(100 * line + shift, line), said.share.line);
      near(share(broad + group + shift, group), said.share.equalising);
      near(share(broad + shift, group), said.share.broad);
      const step = new Fraction(said.meanOfBlankLine.step_mV).valueOf() / 1000;
      near(blank.mean(100 * line + shift, 101 * line + shift) / step, said.meanOfBlankLine);
    });

  test("a separator that slices at half of sync sees the pulses on whole ticks", () => {
    const level = new Fraction(slice.value).div(1000);
    const tick = scope.tick.mul(10);
    const switched = new Schedule(white0, tick, level, level, true);
    expect(switched.worst).toBe(0);
    const { pulses } = syncPulses(system, "composite");
    let n = -1;
    for (const { at, width } of pulses) {
      n = switched.next(n);
      expect(n).toBe(toNumber(at.div(tick)));
      n = switched.next(n);
      expect(n).toBe(toNumber(at.add(width).div(tick)));
    }
  });

  test("the signal's periods are lines, whatever the picture", () => {
    const { line: H } = rates(system);
    const found = startsOf(video({ system, pattern: { kind: "crosshatch" } }), H.mul(1300));
    expect(Array.from(found)).toEqual(Array.from({ length: 1301 }, (_, i) => toNumber(H.mul(i))));
  });

  test("lines begin only while the signal is there", () => {
    const { line: H } = rates(system);
    const plugged = gated(white0, { starts: H.mul(ratio(21, 2)), stops: H.mul(700) });
    // From line 11 to the one before it is pulled out; what begins at that very instant is not there any more.
    const found = Array.from(startsOf(plugged, H.mul(1300)));
    expect(found).toEqual(Array.from({ length: 689 }, (_, i) => toNumber(H.mul(i + 11))));
    expect(startsOf(gated(white0, { stops: ratio(-1) }), H.mul(9))).toHaveLength(0);
    expect(startsOf(gated(white0, { starts: H.mul(5) }), H.mul(9))).toHaveLength(5);
  });

  test("without interlace all fields are alike and have whole lines", () => {
    const wave = video({ system, interlaced: false, pattern: { kind: "white" } });
    if (wave.shape.kind !== "packed") throw new Error("not packed");
    // 262 or 312 lines (common practice, no source).
    expect(wave.shape.period.div(rates(system).line).valueOf()).toBe(Math.floor(lines / 2));
    const { pulses, period } = syncPulses(system, "composite", false);
    expect(period.equals(wave.shape.period)).toBe(true);
    // Three groups of half lines as in the first field, and a pulse at the beginning of every other line: in 525
    // lines 9 lines of groups; in 625 lines 5 lines after and half a line more than 2 before, which begins mid-line.
    const group = Number(said.group.value);
    const others = lines === 525 ? 262 - 9 : 312 - 7;
    expect(pulses.length).toBe(3 * group + others);
    expect(pulses.filter((p) => p.width.equals(rates(system).sync)).length).toBe(others);
    expect(pulses.filter((p) => p.width.equals(rates(system).broad)).length).toBe(group);
  });

  test("twice the volts without the terminating resistor", () => {
    const wave = video({ system, pattern: { kind: "white" }, volts: ratio(2) });
    expect(levelRange(wave)).toEqual(levelRange(scaled(white0, ratio(2))));
  });
});

test("refusals", () => {
  const code = (make: () => unknown) => {
    try {
      make();
    } catch (error) {
      return (error as ShapeError).code;
    }
    return undefined;
  };
  const pattern = { kind: "black" } as const;
  expect(code(() => video({ system: "625/50", setup: "7.5", pattern }))).toBe("no-setup");
  expect(code(() => video({ system: "525/60", colour: true, pattern }))).toBe("no-carrier");
  expect(code(() => video({ system: "625/50", pattern: { kind: "bounce", frames: 9000 } }))).toBe(
    "too-many-corners",
  );
  expect(new ShapeError("no-setup", "x")).toBeInstanceOf(RangeError);
});
