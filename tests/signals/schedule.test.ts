// The schedule of a switch against the rule applied tick by tick, and against closed forms for a sine.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { commonDivisor, type Fraction, one, ratio, toNumber, zero } from "../../src/base/fraction.js";
import { mostPeriods, periodStarts } from "../../src/signals/periodstarts.js";
import { tickInstants } from "../../src/signals/player.js";
import { Schedule, scheduleInstants } from "../../src/signals/schedule.js";
import { sync } from "../../src/signals/sync.js";
import { constant, gated, pathWave, pulse, scaled, sine, type Wave } from "../../src/signals/wave.js";
import { states, waves } from "./naive.js";

const startsOf = (...of: Parameters<typeof periodStarts>) => periodStarts(...of).all();

const tickOf = (w: Wave, close: Fraction, open: Fraction) =>
  [...tickInstants(w), ...scheduleInstants(w, close, open)].reduce(commonDivisor, one);
const changesOf = (s: Schedule, until: number, from = -1) => {
  const list: number[] = [];
  for (let n = s.next(from); n <= until; n = s.next(n)) {
    if (list.length > 0 && n <= list.at(-1)!) throw new Error(`${n} comes again after ${list.at(-1)}`);
    list.push(n);
  }
  return list;
};
const points = (...list: [number, number][]) => list.map(([t, x]) => ({ time: ratio(t), value: ratio(x) }));
const micro = (n: number, d = 1) => ratio(n, d * 1_000_000);

describe("against the rule, tick by tick", () => {
  const thresholds = fc.tuple(fc.integer({ min: -2, max: 2 }), fc.integer({ min: 0, max: 2 }));

  test("state and next, forward and hither and thither", () => {
    fc.assert(
      fc.property(waves, thresholds, fc.boolean(), (w, [close, band], inverted) => {
        const [c, o] = [ratio(close), ratio(close - band)];
        const tick = tickOf(w, c, o);
        const perSecond = toNumber(tick.inverse());
        // Three periods of past, none longer than 16 s, decide what can be decided.
        const [from, to] = [-52 * perSecond, 20 * perSecond];
        const truth = states(w, tick, c, o, from, to);
        const schedule = new Schedule(w, tick, c, o, inverted);
        expect(schedule.worst).toBe(0);
        const wanted: number[] = [];
        for (let n = 0; n <= to; n++) {
          if (truth.get(n) !== truth.get(n - 1)) wanted.push(n);
          if (schedule.state(n) !== (truth.get(n) !== inverted)) {
            throw new Error(`state at ${n} of ${perSecond} a second is not ${truth.get(n)}`);
          }
        }
        expect(changesOf(schedule, to)).toEqual(wanted);
        for (let n = to; n >= 0; n -= 5) {
          const next = wanted.find((x) => x > n);
          if (next !== undefined) expect(schedule.next(n)).toBe(next);
        }
      }),
      { numRuns: 250, seed: 7 },
    );
  });
});

test("a tick that divides nothing: changes come in order, near their instants, by whichever way one asks", () => {
  fc.assert(
    fc.property(
      waves,
      fc.integer({ min: 5, max: 199 }),
      fc.integer({ min: -2, max: 2 }),
      (w, size, level) => {
        // Between 0.005 and 0.2 s against events at least 1/8 s apart.
        const tick = ratio(size, 1009);
        const c = ratio(level);
        const fine = tickOf(w, c, c);
        const exact = new Schedule(w, fine, c, c);
        const rough = new Schedule(w, tick, c, c);
        const wanted = changesOf(exact, 20 / toNumber(fine), -2 / toNumber(fine)).map(
          (n) => n * toNumber(fine),
        );
        const step = toNumber(tick);
        const found = changesOf(rough, 19 / step, -Math.round(1 / step));
        for (const n of found) {
          // Half a tick, or one and a half where an opening waits for its closing.
          expect(Math.min(...wanted.map((t) => Math.abs(t - n * step)))).toBeLessThanOrEqual(1.5001 * step);
          expect(new Schedule(w, tick, c, c).next(n - 1)).toBe(n);
          expect(rough.state(n)).not.toBe(rough.state(n - 1));
        }
        if (step < 1 / 16) {
          const inside = wanted.filter((t) => t > -0.9 && t < 18.9);
          for (const t of inside) {
            expect(Math.min(...found.map((n) => Math.abs(t - n * step)))).toBeLessThanOrEqual(0.5001 * step);
          }
        }
      },
    ),
    { numRuns: 200, seed: 8 },
  );
});

describe("the rule's cases", () => {
  const switched = (w: Wave, close: number, open: number, until: number) =>
    changesOf(new Schedule(w, ratio(1, 4), ratio(close), ratio(open)), until * 4).map((n) => n / 4);

  test("a touch does not switch", () => {
    expect(switched(pathWave({ points: points([0, 0], [2, 2], [4, 0]) }), 2, 1, 9)).toEqual([]);
    expect(switched(pathWave({ points: points([0, 3], [2, 1], [4, 3]) }), 2, 1, 9)).toEqual([]);
  });

  test("a plateau on the level keeps the state; its end decides", () => {
    const w = pathWave({ points: points([0, 0], [2, 2], [4, 2], [5, 3], [6, 2], [8, 2], [10, 0]) });
    expect(switched(w, 2, 2, 20)).toEqual([4, 8]);
  });

  test("rising through the level counts at that instant", () => {
    const w = pathWave({ points: points([0, 0], [4, 4], [8, 0]), period: ratio(8) });
    expect(switched(w, 2, 1, 16)).toEqual([2, 7, 10, 15]);
  });

  test("a short pulse is found, however short", () => {
    const w = pulse({ low: zero, high: one, width: ratio(1, 1_000_000), first: ratio(3) });
    const tick = tickOf(w, ratio(1, 2), ratio(1, 2));
    const found = changesOf(new Schedule(w, tick, ratio(1, 2), ratio(1, 2)), 1e9);
    expect(found.map((n) => toNumber(tick.mul(ratio(n))))).toEqual([3, 3.000001]);
    // Shorter than a tick: both, one tick apart.
    expect(changesOf(new Schedule(w, one, ratio(1, 2), ratio(1, 2)), 100)).toEqual([3, 4]);
  });

  test("a pulse shorter than a tick across the end of its period is found in every period", () => {
    const w = pulse({ low: zero, high: one, width: ratio(1, 10), first: ratio(199, 20), period: ratio(10) });
    expect(changesOf(new Schedule(w, one, ratio(1, 2), ratio(1, 2)), 25)).toEqual([0, 1, 10, 11, 20, 21]);
  });

  test("a wave that never leaves the band leaves the switch open, or closed when inverted", () => {
    const w = pathWave({ points: points([0, 1], [2, 2]), period: ratio(4) });
    const plain = new Schedule(w, one, ratio(2), one);
    const turned = new Schedule(w, one, ratio(2), one, true);
    expect([plain.state(7), plain.next(0), turned.state(7)]).toEqual([false, Number.POSITIVE_INFINITY, true]);
  });

  test("the past decides inside the band", () => {
    // At time zero the level is in the band; the last word was spoken above, at 3 before the period's end.
    const w = pathWave({ points: points([0, 3], [4, 3], [6, 9], [10, 0], [12, 3]), period: ratio(12) });
    expect(new Schedule(w, one, ratio(6), ratio(-1)).state(0)).toBe(true);
    expect(new Schedule(w, one, ratio(6), ratio(1)).state(0)).toBe(false);
  });

  test("half-way up a 200 ns edge, to the tick, a million lines on", () => {
    const w = sync("625/50", "line", { low: zero, high: ratio(5), edges: micro(2, 10) });
    const [c, o] = [ratio(5, 2), ratio(5, 2)];
    const tick = tickOf(w, c, o);
    const schedule = new Schedule(w, tick, c, o);
    const line = toNumber(micro(64).div(tick));
    const width = toNumber(micro(47, 10).div(tick));
    expect(schedule.next(-1)).toBe(0);
    for (const k of [0, 1, 2, 999_999, 1_000_000]) {
      expect(schedule.next(k * line - 1)).toBe(k * line);
      expect(schedule.next(k * line)).toBe(k * line + width);
    }
  });
});

describe("a sine", () => {
  // Unit sine of 1 kHz, threshold 0.9999: closed form asin(0.9999)/(2π·1 kHz), and half a period less that.
  const rises = 247.7491904525953e-6;
  const falls = 252.2508095474047e-6;
  const tone = (shift: Fraction) =>
    sine({ low: ratio(-1), high: one, frequency: ratio(1000), phase: shift.mul(-1000) });
  const level = ratio(9999, 10_000);

  test("both crossings near the peak, wherever the grid lies", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1800 }),
        fc.integer({ min: 0, max: 999_983 }),
        fc.integer({ min: 0, max: 1_000_000 }),
        (size, shift, cycle) => {
          const tick = ratio(size, 1_000_000_000_000);
          const late = ratio(shift, 999_983_000);
          const schedule = new Schedule(tone(late), tick, level, level);
          const start = late.add(ratio(cycle, 1000));
          const from = Math.floor(toNumber(start.div(tick)));
          const up = schedule.next(from);
          const down = schedule.next(up);
          const since = (n: number) => toNumber(tick.mul(ratio(n)).sub(start));
          // Half a tick of at most 1.8 ns, that is 2e-4 of the 4.5 µs between them.
          expect(Math.abs(since(up) - rises)).toBeLessThan(0.51 * toNumber(tick));
          expect(Math.abs(since(down) - falls)).toBeLessThan(0.51 * toNumber(tick));
          expect([schedule.state(up), schedule.state(down)]).toEqual([true, false]);
          expect(schedule.next(down) - up).toBeCloseTo(0.001 / toNumber(tick), -1);
        },
      ),
      { numRuns: 300, seed: 11 },
    );
  });

  test("to the attosecond", () => {
    const tick = ratio(1n, 10n ** 18n);
    const schedule = new Schedule(tone(zero), tick, level, level);
    expect(Math.abs(schedule.next(0) - 247749190452595)).toBeLessThanOrEqual(1);
    expect(Math.abs(schedule.next(248e12) - 252250809547405)).toBeLessThanOrEqual(1);
  });

  test("both are found on a grid far coarser than they are apart", () => {
    const schedule = new Schedule(tone(zero), micro(10), level, level);
    expect(changesOf(schedule, 250)).toEqual([25, 26, 125, 126, 225, 226]);
  });

  test("levels touched, never reached, always exceeded", () => {
    const fixed = (close: number, open: number) => {
      const s = new Schedule(tone(zero), micro(1), ratio(close), ratio(open));
      return [s.state(0), s.next(-1)];
    };
    expect(fixed(1, 0)).toEqual([false, Number.POSITIVE_INFINITY]);
    expect(fixed(2, 1)).toEqual([false, Number.POSITIVE_INFINITY]);
    expect(fixed(-1, -1)).toEqual([true, Number.POSITIVE_INFINITY]);
    expect(fixed(0, -1)).toEqual([true, Number.POSITIVE_INFINITY]);
  });

  test("two thresholds, turned over, gated in the band", () => {
    // 12 ticks a period: sin 30° = 1/2 at tick 1; through -1/2 falling at tick 7.
    const wave = sine({ low: ratio(-1), high: one, frequency: ratio(1, 12) });
    const run = (w: Wave) => changesOf(new Schedule(w, one, ratio(1, 2), ratio(-1, 2)), 30);
    expect(run(wave)).toEqual([1, 7, 13, 19, 25]);
    expect(run(scaled(wave, ratio(-1)))).toEqual(
      [1, 7, 13, 19, 25]
        .map((n) => n + 6)
        .filter((n) => n <= 30)
        .toSpliced(0, 0, 1),
    );
    // Starts at tick 6, in the band on its way down: open until it rises through 1/2 at tick 13.
    expect(run(gated(wave, { starts: ratio(6), stops: ratio(16) }))).toEqual([13]);
  });
});

describe("risings", () => {
  test("one at zero, one at the end, each once", () => {
    const gate = pulse({
      low: zero,
      high: ratio(5),
      width: micro(47, 10),
      period: micro(64),
      edges: micro(2, 10),
    });
    expect([...startsOf(gate, micro(192))]).toEqual([0, 64e-6, 128e-6, 192e-6]);
    expect([...startsOf(gate, zero)]).toEqual([0]);
    expect([...startsOf(scaled(gate, ratio(-1)), micro(70))]).toEqual([4.7e-6, 68.7e-6]);
  });

  test("a sine crosses its middle", () => {
    const hum = sine({ low: one, high: ratio(3), frequency: ratio(50), phase: ratio(1, 4) });
    expect([...startsOf(hum, ratio(1, 10))]).toEqual([0.015, 0.035, 0.055, 0.075, 0.095]);
  });

  test("fields of 625 lines", () => {
    const wave = sync("625/50", "field", { low: zero, high: one });
    expect([...startsOf(wave, ratio(60, 1000))]).toEqual([0, 0.02, 0.04, 0.06]);
  });

  test("a supply switched on, and waves that have none", () => {
    expect([...startsOf(gated(constant(ratio(12)), { starts: micro(5) }), one)]).toEqual([5e-6]);
    expect([...startsOf(constant(ratio(12)), one)]).toEqual([]);
    expect([
      ...startsOf(pathWave({ points: points([0, 0], [1, 2], [2, 0], [3, 1], [4, 0]) }), ratio(9)),
    ]).toEqual([0.5]);
    expect([...startsOf(sync("625/50", "line", { low: one, high: one }), one)]).toEqual([]);
  });

  test("too many are refused before memory is taken", () => {
    const fast = sine({ low: zero, high: one, frequency: ratio(mostPeriods) });
    expect(() => startsOf(fast, ratio(10))).toThrow(expect.objectContaining({ code: "too-many-periods" }));
  });
});
