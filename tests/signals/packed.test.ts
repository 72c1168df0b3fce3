// Packed waves against the same corners as rationals, whose laws are tested apart; and the carrier against its
// definition, evaluated with the engine's sine.
import fc from "fast-check";
import { expect, test } from "vitest";
import { type Fraction, fromNumber, one, ratio, toNumber } from "../../src/base/fraction.js";
import { Corners, mostCorners, packedWave } from "../../src/signals/corners.js";
import { decidable } from "../../src/signals/packeddecisions.js";
import { periodStarts } from "../../src/signals/periodstarts.js";
import { Player, tickInstants } from "../../src/signals/player.js";
import { Schedule, scheduleInstants } from "../../src/signals/schedule.js";
import { gated, levelRange, pathWave, ShapeError, scaled, type Wave } from "../../src/signals/wave.js";

const startsOf = (...of: Parameters<typeof periodStarts>) => periodStarts(...of).all();

const unit = ratio(3, 7);

/** The same wave twice: packed, and as a path of rationals. */
const twins = fc
  .record({
    waits: fc.array(fc.integer({ min: 1, max: 5 }), { minLength: 1, maxLength: 8 }),
    first: fc.integer({ min: 0, max: 4 }),
    rest: fc.integer({ min: 0, max: 4 }),
    levels: fc.array(fc.integer({ min: -3, max: 3 }), { minLength: 8, maxLength: 8 }),
    factor: fc.constantFrom(ratio(1), ratio(-1), ratio(2, 3), ratio(0)),
    starts: fc.option(fc.integer({ min: -30, max: 60 }), { nil: undefined }),
    stops: fc.option(fc.integer({ min: -30, max: 90 }), { nil: undefined }),
  })
  .map(({ waits, first, rest, levels, factor, starts, stops }): [Wave, Wave] => {
    let t = first - waits[0];
    const times = waits.map((wait) => {
      t += wait;
      return t;
    });
    const length = t + 1 + rest;
    const values = levels.slice(0, times.length);
    const gate = {
      ...(starts !== undefined && { starts: unit.mul(ratio(starts, 2)) }),
      ...(stops !== undefined && { stops: unit.mul(ratio(stops, 2)) }),
    };
    const shape = { unit, times: Float64Array.from(times), values: Float64Array.from(values), length };
    const points = times.map((time, i) => ({ time: unit.mul(time), value: ratio(values[i]) }));
    // A path rests at its first level, a packed wave at zero.
    const straight = pathWave({ points, period: unit.mul(length) });
    const idle = { ...straight, shape: { ...straight.shape, idle: ratio(0) } } as Wave;
    return [gated(packedWave(shape, factor), gate), scaled(gated(idle, gate), factor)];
  });

test("a packed wave plays as the same path of rationals does", () => {
  const ticks = fc.constantFrom(unit, unit.div(6), ratio(5, 11));
  fc.assert(
    fc.property(twins, ticks, fc.array(fc.integer({ min: -99, max: 9999 })), ([w, same], tick, places) => {
      const [a, b] = [new Player(w, tick), new Player(same, tick)];
      expect(a.worst).toBe(b.worst);
      expect(levelRange(w)).toEqual(levelRange(same));
      for (const n of [...Array(40).keys(), ...places]) {
        for (const side of [0, 1] as const) {
          expect([a.value(n, side), a.slope(n, side), a.bend(n, side)]).toEqual([
            b.value(n, side),
            b.slope(n, side),
            b.bend(n, side),
          ]);
        }
        expect(a.next(n)).toBe(b.next(n));
        expect(a.jumpAt(n)).toBe(b.jumpAt(n));
      }
    }),
    { numRuns: 200, seed: 11 },
  );
});

test("a switch follows a packed wave as it follows the same path of rationals", () => {
  const level = fc.integer({ min: -7, max: 7 }).map((x) => ratio(x, 2));
  fc.assert(
    fc.property(twins, level, level, ([w, same], x, y) => {
      const [open, close] = x.lt(y) ? [x, y] : [y, x];
      const tick = unit.div(60);
      const [a, b] = [new Schedule(w, tick, close, open), new Schedule(same, tick, close, open)];
      expect(a.worst).toBeCloseTo(b.worst, 14);
      for (let n = -20; n < 1500; n += 7) {
        expect(a.state(n)).toBe(b.state(n));
        expect(a.next(n)).toBe(b.next(n));
      }
      expect(Array.from(startsOf(w, ratio(20)))).toEqual(Array.from(startsOf(same, ratio(20))));
    }),
    { numRuns: 200, seed: 12 },
  );
});

test("the tick of a packed wave is its unit, however many corners it has", () => {
  const times = Float64Array.from({ length: 1000 }, (_, i) => i);
  const values = times.map((t) => (t * 37) % 11);
  const w = packedWave({ unit, times, values, length: 1000 });
  expect(tickInstants(w)).toEqual([unit]);
  // Cut at halves and elevenths of segments: still a tick; cut at a seventeenth of a thousandth: none.
  expect(scheduleInstants(w, ratio(1, 2), ratio(1, 2))).toHaveLength(1);
  expect(scheduleInstants(w, ratio(1, 17_001), ratio(1, 17_001))).toEqual([]);
});

const frequency = ratio(17, 5);
const carried = (scale: Fraction = one) => {
  const times = Float64Array.of(1, 4, 9, 12);
  const carrier = { frequency, sine: Float64Array.of(0, 2, -1, 0), cosine: Float64Array.of(0, 1, 3, 0) };
  return packedWave({ unit, times, values: Float64Array.of(0, 5, 4, 0), length: 20, carrier }, scale);
};

/** Level, and the carrier's two components, at a time in units within the length. */
function parts(t: number): [number, number, number] {
  const mix = (of: readonly number[]) => {
    const times = [1, 4, 9, 12];
    const i = times.findLastIndex((at) => at <= t);
    if (i < 0 || i === 3) return 0;
    return of[i] + ((of[i + 1] - of[i]) * (t - times[i])) / (times[i + 1] - times[i]);
  };
  return [mix([0, 5, 4, 0]), mix([0, 2, -1, 0]), mix([0, 1, 3, 0])];
}

test("a carrier is its two straight components times sine and cosine of an exact phase", () => {
  const tick = unit.div(10);
  const player = new Player(carried(), tick);
  for (const n of [...Array(400).keys(), 123_457, 20_000_003]) {
    const [level, sine, cosine] = parts((n / 10) % 20);
    const turns = toNumber(frequency.mul(tick).mul(n).mod(1)) * 2 * Math.PI;
    expect(player.value(n, 1)).toBeCloseTo(level + sine * Math.sin(turns) + cosine * Math.cos(turns), 11);
    expect(player.period(n, 1)).toBe((n / 10) % 20 >= 1 && (n / 10) % 20 < 12 ? 5 / 17 : undefined);
    expect(player.jumpAt(n)).toBe(false);
  }
  expect(player.smooth).toBe(5 / 17);
});

test("slope and bend of a carrier are the differences of its values", () => {
  const tick = unit.div(1000);
  const seconds = toNumber(tick);
  const player = new Player(carried(), tick);
  for (let n = 1137; n < 11_900; n += 211) {
    const at = [-2, -1, 0, 1, 2].map((d) => player.value(n + d, 1));
    // Central differences of fourth order (any handbook of numerical analysis).
    const slope = (at[0] - 8 * at[1] + 8 * at[3] - at[4]) / (12 * seconds);
    const bend = (-at[0] + 16 * at[1] - 30 * at[2] + 16 * at[3] - at[4]) / (12 * seconds ** 2);
    expect(player.slope(n, 1)).toBeCloseTo(slope, 5);
    expect(Math.abs(player.bend(n, 1) - bend)).toBeLessThan(1e-4);
  }
});

test("a carrier cut off by a gate jumps; a stretch without one does not", () => {
  const tick = unit.div(10);
  const at = (stops: number) => new Player(gated(carried(), { stops: tick.mul(stops) }), tick).jumpAt(stops);
  expect([at(57), at(150)]).toEqual([true, false]);
});

test("the period of a carried wave is whole in both", () => {
  const { shape } = carried();
  if (shape.kind !== "packed") throw new Error("not packed");
  expect(shape.period.mul(frequency).d).toBe(1n);
  expect(shape.period.div(unit.mul(20)).d).toBe(1n);
});

test("a threshold that the carrier swings through is refused, one that it touches is not", () => {
  const touching = (amplitude: number) => {
    const carrier = {
      frequency,
      sine: Float64Array.of(0, 3 * amplitude, 3 * amplitude, 0),
      cosine: Float64Array.of(0, 4 * amplitude, 4 * amplitude, 0),
    };
    return packedWave({
      unit,
      times: Float64Array.of(1, 4, 9, 12),
      values: new Float64Array(4),
      length: 20,
      carrier,
    });
  };
  const slice = ratio(-5);
  expect(decidable(touching(1), slice, slice)).toBe(true);
  expect(new Schedule(touching(1), unit, slice, slice).next(0)).toBe(Number.POSITIVE_INFINITY);
  const more = touching(fromNumber(1 + 2 ** -52).valueOf());
  expect(decidable(more, slice, slice)).toBe(false);
  expect(() => new Schedule(more, unit, slice, slice)).toThrow(ShapeError);
  expect(() => scheduleInstants(more, slice, slice)).toThrow("swings through");
});

test("corners beyond the limit are refused before memory is taken", () => {
  expect(() => new Corners("this wave", mostCorners + 1, true)).toThrow(ShapeError);
});
