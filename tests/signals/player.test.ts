// The player against the naive evaluation, at corners, between them, far out, and where the tick does not divide.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { commonDivisor, type Fraction, one, ratio, toNumber } from "../../src/base/fraction.js";
import { Player, tickInstants } from "../../src/signals/player.js";
import {
  constant,
  gated,
  levelRange,
  pathWave,
  pulse,
  scaled,
  sine,
  type Wave,
} from "../../src/signals/wave.js";
import { levelAt, waves } from "./naive.js";

const tickOf = (w: Wave, extra = one) => tickInstants(w).reduce(commonDivisor, extra);
const v = (w: Wave, t: Fraction, side: 0 | 1) => toNumber(levelAt(w, t, side));

describe("against the definition", () => {
  test("levels on both sides, jumps, slopes and the next corner", () => {
    fc.assert(
      fc.property(waves, fc.array(fc.integer({ min: -8, max: 400 }), { maxLength: 12 }), (w, jumps) => {
        const tick = tickOf(w).div(2);
        const player = new Player(w, tick);
        if (player.worst !== 0) return false;
        const forward = Array.from({ length: 60 }, (_, i) => i - 8);
        // Forward step by step, then hither and thither with the same player.
        for (const n of [...forward, ...jumps]) {
          const t = tick.mul(n);
          const [before, after] = [v(w, t, 0), v(w, t, 1)];
          expect(player.value(n, 0)).toBeCloseTo(before, 13);
          expect(player.value(n, 1)).toBeCloseTo(after, 13);
          expect(player.jumpAt(n)).toBe(before !== after);
          const next = player.next(n);
          expect(next).toBeGreaterThan(n);
          // On from here the wave is straight up to the next corner: value and slope say where it goes.
          const far = Math.min(next, n + 40);
          const end = v(w, tick.mul(far), 0);
          expect(player.value(far, 0)).toBeCloseTo(end, 12);
          expect(player.slope(n, 1) * toNumber(tick) * (far - n)).toBeCloseTo(end - after, 12);
          expect(player.bend(n, 1)).toBe(0);
        }
        return true;
      }),
      { numRuns: 300, seed: 1 },
    );
  });

  test("no corner is passed over: between n and next(n) the slope is one", () => {
    fc.assert(
      fc.property(waves, (w) => {
        const tick = tickOf(w).div(2);
        const player = new Player(w, tick);
        for (let n = -4; n < 40; n++) {
          const next = Math.min(player.next(n), n + 20);
          const middle = v(w, tick.mul(ratio(n + next, 2)), 1);
          expect((v(w, tick.mul(n), 1) + v(w, tick.mul(next), 0)) / 2).toBeCloseTo(middle, 12);
        }
      }),
      { numRuns: 200, seed: 2 },
    );
  });
});

describe("far out", () => {
  const width = ratio(47, 10_000_000);
  const w = pulse({
    low: ratio(0),
    high: ratio(5),
    width,
    period: ratio(64, 1_000_000),
    edges: ratio(2, 10_000_000),
  });

  // Independent: corners of pulse k at k·P, in big integers of the tick, here 25 ns / 5.
  test.each([2 ** 31, 2 ** 40 + 7, 2 ** 51 + 12_345, 2 ** 52, 2 ** 53 - 200_000])("tick %d", (start) => {
    const tick = tickOf(w);
    const inTicks = (t: Fraction) => t.div(tick).n;
    const period = inTicks(ratio(64, 1_000_000));
    // A 200 ns edge is 250 ns long, 125 ns either side of the half-height point.
    const half = inTicks(ratio(125, 1_000_000_000));
    const corners = [-half, half, inTicks(width) - half, inTicks(width) + half];
    const player = new Player(w, tick);
    const wanted: number[] = [];
    for (let k = BigInt(start) / period; wanted.length < 12; k++) {
      for (const c of corners) if (k * period + c > BigInt(start)) wanted.push(Number(k * period + c));
    }
    let n = start;
    const got = wanted.map(() => {
      n = player.next(n);
      return n;
    });
    expect(got.slice(0, 12)).toEqual(wanted.slice(0, 12));
    expect([0, 5]).toContain(player.value(n, 1));
  });

  test("a tick that does not divide the period: every edge of every period within half a tick, no drift", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1000, max: 99_991 }),
        fc.integer({ min: 7, max: 97 }),
        fc.bigInt({ min: 0n, max: 2n ** 36n }),
        (parts, denominator, cycle) => {
          const period = ratio(parts, denominator);
          const wave = pulse({
            low: ratio(0),
            high: ratio(1),
            width: period.div(3),
            period,
            first: period.div(7),
          });
          const player = new Player(wave, one);
          expect(player.worst).toBeLessThanOrEqual(0.5);
          const exact = period.mul(ratio(cycle)).add(period.div(7));
          const n = player.next(toNumber(exact.floor()) - 2);
          expect(Math.abs(toNumber(ratio(n).sub(exact)))).toBeLessThanOrEqual(player.worst + 1e-9);
          const fall = player.next(n);
          expect(Math.abs(toNumber(ratio(fall).sub(exact.add(period.div(3)))))).toBeLessThanOrEqual(
            player.worst + 1e-9,
          );
          // Coming from afar or step by step, an edge is on the same tick.
          expect(new Player(wave, one).next(n - 1)).toBe(n);
        },
      ),
      { numRuns: 300, seed: 3 },
    );
  });

  test("a tick that divides nothing: corners in order, by whichever way one asks, and no level out of bounds", () => {
    fc.assert(
      fc.property(waves, fc.integer({ min: 5, max: 3000 }), (w, size) => {
        const player = new Player(w, ratio(size, 1009));
        const { low, high } = levelRange(w);
        let n = player.next(-20);
        for (let i = 0; i < 30 && n < Number.POSITIVE_INFINITY; i++) {
          const other = new Player(w, ratio(size, 1009));
          for (const side of [0, 1] as const) {
            expect(player.value(n, side)).toBe(other.value(n, side));
            expect(player.value(n, side)).toBeGreaterThanOrEqual(low);
            expect(player.value(n, side)).toBeLessThanOrEqual(high);
          }
          expect(other.next(n - 1)).toBe(n);
          const next = player.next(n);
          expect(next).toBeGreaterThan(n);
          n = next;
        }
      }),
      { numRuns: 300, seed: 6 },
    );
  });

  test("a tick longer than an edge makes it a jump", () => {
    const wave = pulse({
      low: ratio(0),
      high: ratio(1),
      width: ratio(5),
      period: ratio(20),
      edges: ratio(2, 10),
    });
    const player = new Player(gated(wave, { stops: ratio(47) }), ratio(2));
    expect(player.next(-1)).toBe(0);
    expect(player.jumpAt(0)).toBe(true);
    expect(player.value(0, 0)).toBe(0);
    expect(player.value(0, 1)).toBe(1);
    expect(player.worst).toBe(1);
  });
});

describe("corners and gates", () => {
  test("a corner's level is exact whatever the segment before it", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -9999, max: 9999 }), { minLength: 2, maxLength: 9 }), (list) => {
        const points = list.map((x, i) => ({ time: ratio(i * i + i, 7), value: ratio(x, 977) }));
        const w = pathWave({ points });
        const tick = tickOf(w);
        const player = new Player(w, tick);
        points.forEach(({ time, value }) => {
          const n = toNumber(time.div(tick));
          expect(player.value(n, 0)).toBe(toNumber(value));
          expect(player.value(n, 1)).toBe(toNumber(value));
        });
      }),
      { seed: 4 },
    );
  });

  test("a run may begin in the middle of an edge", () => {
    const w = pulse({
      low: ratio(0),
      high: ratio(5),
      width: ratio(5),
      period: ratio(20),
      edges: ratio(8, 10),
    });
    const player = new Player(w, ratio(1, 2));
    expect([player.value(0, 1), player.slope(0, 1), player.next(0)]).toEqual([2.5, 5, 1]);
  });

  test("a gate does not shift the phase, and rests at the idle level", () => {
    const w = gated(pulse({ low: ratio(1), high: ratio(5), width: ratio(4), period: ratio(10) }), {
      starts: ratio(12),
      stops: ratio(33),
    });
    const player = new Player(w, one);
    const seen: number[] = [];
    for (let n = player.next(-5); n < 100; n = player.next(n)) seen.push(n);
    expect(seen).toEqual([12, 14, 20, 24, 30, 33]);
    expect(seen.filter((n) => player.jumpAt(n))).toEqual(seen);
    expect([player.value(40, 1), player.slope(40, 1)]).toEqual([1, 0]);
  });

  test("a supply that stops rests at zero", () => {
    const player = new Player(gated(constant(ratio(12)), { stops: ratio(3) }), one);
    expect([player.value(3, 0), player.next(0), player.jumpAt(3)]).toEqual([12, 3, true]);
    expect([player.value(3, 1), player.next(3)]).toEqual([0, Number.POSITIVE_INFINITY]);
  });

  test("a gate that never opens", () => {
    const player = new Player(gated(constant(ratio(12)), { starts: ratio(5), stops: ratio(3) }), one);
    expect([player.value(4, 1), player.next(-9), player.jumpAt(3)]).toEqual([
      0,
      Number.POSITIVE_INFINITY,
      false,
    ]);
  });

  test("a sine jumps at its gate unless it is at its middle there", () => {
    const tone = sine({ low: ratio(-1), high: ratio(3), frequency: ratio(1, 12) });
    const player = new Player(gated(tone, { starts: ratio(18), stops: ratio(25) }), one);
    expect([player.next(0), player.next(18), player.next(25)]).toEqual([18, 25, Number.POSITIVE_INFINITY]);
    expect([player.jumpAt(18), player.jumpAt(20), player.jumpAt(25)]).toEqual([false, false, true]);
    expect(player.value(0, 1)).toBe(1);
    expect(player.smooth).toBe(12);
  });

  test("scaling by a power of two scales every bit", () => {
    fc.assert(
      fc.property(waves, fc.integer({ min: -30, max: 30 }), (w, k) => {
        const tick = tickOf(w).div(3);
        const tone = sine({ low: ratio(-1, 3), high: ratio(2), frequency: ratio(1, 77), phase: ratio(1, 9) });
        const factor = k < 0 ? ratio(1, 2n ** BigInt(-k)) : ratio(2n ** BigInt(k));
        for (const wave of [w, tone]) {
          const [one, other] = [new Player(wave, tick), new Player(scaled(wave, factor), tick)];
          for (let n = 0; n < 50; n++) {
            expect(other.value(n, 1)).toBe(one.value(n, 1) * 2 ** k);
            expect(other.slope(n, 1)).toBe(one.slope(n, 1) * 2 ** k);
          }
        }
      }),
      { numRuns: 60, seed: 5 },
    );
  });
});
