// Times that run in a march, by their definitions: a time is set when its mode is entered, runs out at a tick, and is cleared when
// the mode is left before. A stand-in with three parts: the second has no times; of the others mode 1 lasts 3 ms and mode 2 lasts
// 5 ms, unless it is running already. A tick is 2^-k ms, so that all instants are whole.
import { describe, expect, it } from "vitest";
import { ratio } from "../../src/base/fraction.js";
import type { System } from "../../src/equations/system.js";
import type { Dwell } from "../../src/parts/contract.js";
import { Clock } from "../../src/stepping/clock.js";
import { Timers } from "../../src/stepping/timers.js";

const [three, five] = [ratio(3, 1000), ratio(5, 1000)];
const dwell = (mode: number): Dwell | undefined =>
  mode === 1 ? { lasts: three, to: 0 } : mode === 2 ? { lasts: five, to: 1, keeps: true } : undefined;
const part = { device: { dwell } };
const timers = (...members: object[]) => {
  const clock = new Clock(ratio(1), [ratio(1, 1000)]);
  const ms = clock.end / 1000;
  const made = new Timers({ members } as unknown as System, clock);
  return { made, ms };
};
const modes = (...of: number[]) => Uint8Array.from(of);
const set = () => {
  const { made, ms } = timers(part, { device: {} }, part);
  return { made, ms, due: () => made.next() / ms };
};
const never = Number.POSITIVE_INFINITY;

describe("a time", () => {
  it("runs in parts that have any, and not where a fault has put them out", () => {
    expect(set().made.size).toBe(2);
    expect(timers(part, { ...part, fault: "open" }).made.size).toBe(1);
    expect(timers({ device: {} }).made.size).toBe(0);
    expect(timers({ device: {} }).made.next()).toBe(never);
  });

  it("is set when its mode is entered, and cleared when it is left", () => {
    const { made, ms, due } = set();
    expect(due()).toBe(never);
    made.entered(modes(0, 0, 0), modes(0, 0, 1), 10 * ms);
    expect(due()).toBe(13);
    made.entered(modes(0, 0, 1), modes(1, 0, 1), 11 * ms);
    expect(due()).toBe(13);
    made.entered(modes(1, 0, 1), modes(1, 0, 0), 12 * ms);
    expect(due()).toBe(14);
    // What another part does sets nothing.
    made.entered(modes(1, 0, 0), modes(1, 1, 0), 13 * ms);
    expect(due()).toBe(14);
  });

  it("starts anew when it is set again, or goes on where its mode keeps it", () => {
    const anew = set();
    anew.made.entered(modes(0, 0, 0), modes(2, 0, 0), 0);
    expect(anew.due()).toBe(5);
    anew.made.entered(modes(2, 0, 0), modes(1, 0, 0), 4 * anew.ms);
    expect(anew.due()).toBe(7);
    anew.made.entered(modes(1, 0, 0), modes(2, 0, 0), 6 * anew.ms);
    expect(anew.due()).toBe(7);
  });

  it("runs out at its tick, not before, and puts its part alone into the mode that follows", () => {
    const { made, ms, due } = set();
    const now = modes(1, 1, 2);
    made.entered(modes(0, 0, 0), now, 0);
    expect(made.expire(now, 3 * ms - 1)).toEqual([]);
    expect([...now]).toEqual([1, 1, 2]);
    expect(made.expire(now, 3 * ms)).toEqual([0]);
    expect([...now]).toEqual([0, 1, 2]);
    // It does not run out twice.
    expect(made.expire(now, 3 * ms)).toEqual([]);
    expect(due()).toBe(5);
    expect(made.expire(now, 6 * ms)).toEqual([2]);
    expect([...now]).toEqual([0, 1, 1]);
    expect(due()).toBe(never);
  });

  it("runs out at the same tick as another: both parts are told", () => {
    const { made, ms } = set();
    const now = modes(1, 1, 2);
    made.entered(modes(0, 0, 0), modes(0, 0, 2), 0);
    made.entered(modes(0, 0, 2), modes(1, 0, 2), 2 * ms);
    expect(made.expire(now, 5 * ms)).toEqual([0, 2]);
    expect([...now]).toEqual([0, 1, 1]);
  });

  it("of a mode that the run begins in runs from 0 s", () => {
    const { made, due } = set();
    made.begin(modes(2, 1, 0));
    expect(due()).toBe(5);
    // The first mode of a part, or the last that a byte can count, may end by itself as any other.
    for (const mode of [0, 255]) {
      const own = { device: { dwell: (m: number) => (m === mode ? { lasts: three, to: 1 } : undefined) } };
      const { made: begun, ms } = timers(own);
      begun.begin(modes(mode));
      expect(begun.next()).toBe(3 * ms);
    }
  });

  it("is let run out of some of those that wait, where the run begins settled", () => {
    const { made } = set();
    const now = modes(1, 1, 2);
    expect(made.waiting(now)).toEqual([0, 2]);
    made.lapse(now, [0, 1]);
    expect([...now]).toEqual([0, 1, 2]);
    made.lapse(now, made.waiting(now));
    expect([...now]).toEqual([0, 1, 1]);
    made.lapse(now, [0, 2]);
    expect([...now]).toEqual([0, 1, 0]);
    expect(made.waiting(now)).toEqual([]);
  });

  it("is written as what it has to go, -1 where none runs", () => {
    const { made, ms } = set();
    made.entered(modes(0, 0, 0), modes(0, 0, 2), 10 * ms);
    const out = new Float64Array(4).fill(7);
    expect(made.write(12 * ms, out, 1)).toBe(3);
    expect([...out]).toEqual([7, -1, 3 * ms, 7]);
  });

  it("is put off", () => {
    const { made, ms, due } = set();
    made.entered(modes(0, 0, 0), modes(1, 0, 2), 0);
    made.shift(2 * ms);
    expect(due()).toBe(5);
    expect(made.expire(modes(1, 0, 2), 5 * ms)).toEqual([0]);
    expect(due()).toBe(7);
  });

  it("goes on in another run, in seconds by part, one tick at least", () => {
    const { made, ms } = set();
    made.entered(modes(0, 0, 0), modes(0, 0, 2), 10 * ms);
    const running = made.running(11 * ms);
    expect([...running.keys()]).toEqual([2]);
    expect(Math.abs(running.get(2)! - 4e-3)).toBeLessThan(1e-15);
    const next = set();
    next.made.resume(running);
    expect(next.due()).toBe(4);
    const short = set();
    short.made.resume(new Map([[0, 1e-30]]));
    expect(short.made.next()).toBe(1);
    const none = set();
    none.made.resume(new Map());
    expect(none.made.next()).toBe(never);
    // What is not told of stays as it is.
    none.made.begin(modes(2, 0, 0));
    none.made.resume(new Map([[2, 1]]));
    expect(none.due()).toBe(5);
  });
});
