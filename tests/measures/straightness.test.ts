// The straightness of a parabola, v = a + t + b t², whose three errors have closed forms (definitions: Millman & Taub 1965): its
// slopes at 0 and 1 are 1 and 1 + 2b, its chord has the slope 1 + b, it strays from that by |b|/4 in the middle. So the sweep error
// is 2|b|, the displacement error |b|/4 over 1 + b, the transmission error |b|. And where a sweep is, by the words that define it.
import { describe, expect, it } from "vitest";
import { findSweep, mirror } from "../../src/measures/sweep.js";
import type { Trace } from "../../src/waveforms/trace.js";
import { make } from "../waveforms/making.js";
import { off, take } from "./taking.js";

const due = (b: number) => ({
  "sweep error": 2 * Math.abs(b),
  "displacement error": Math.abs(b) / 4 / (1 + b),
  "transmission error": Math.abs(b),
});

function expectErrors(trace: Trace, b: number, bound = 1e-9, more = {}): void {
  for (const [words, share] of Object.entries(due(b)))
    expect([words, Math.abs(take(words, trace, more) - share) < bound]).toEqual([words, true]);
}

/** The parabola at some instants, moved by so much, drawn out in time and in height. */
function parabola(
  b: number,
  at: readonly number[],
  { up = 0, later = 0, longer = 1, higher = 1, slopes = true } = {},
): Trace {
  return make(
    at.map((t) => later + longer * t),
    at.map((t) => up + higher * (t + b * t * t)),
    slopes ? at.map((t) => (higher / longer) * (1 + 2 * b * t)) : undefined,
  );
}

const uneven = [0, 0.1, 0.15, 0.4, 0.85, 0.9, 1];

describe.each([0, -0.1, 0.1, -0.3])("a parabola that bends by %d", (b) => {
  it.each([
    ["in one piece", [0, 1]],
    ["in uneven pieces", uneven],
    ["in many", Array.from({ length: 101 }, (_, k) => k / 100)],
  ])("%s", (_, at) => {
    expectErrors(parabola(b, at), b);
  });

  it.each([
    ["standing on something", { up: 5 }],
    ["below zero", { up: -7 }],
    ["later", { later: 3 }],
    ["slower", { longer: 64 }],
    ["higher", { higher: 16 }],
    ["falling", { higher: -4 }],
    ["falling, above zero", { higher: -4, up: 20 }],
  ])("%s is as straight", (_, more) => {
    expectErrors(parabola(b, uneven, more), b);
  });

  it("without slopes: the end slopes are those of the parabola through three samples, evenly spaced or not", () => {
    for (const at of [
      [0, 0.3, 1],
      [0, 0.1, 0.5, 0.9, 1],
    ])
      expect(
        Math.abs(take("sweep error", parabola(b, at, { slopes: false })) - 2 * Math.abs(b)),
      ).toBeLessThan(1e-12);
  });

  it("as part of a longer one: a window's ends are the sweep's", () => {
    // From 1/4 to 3/4: v = .. + (1 + b/2) x + b x² over half the time.
    const trace = parabola(b, uneven);
    const first = 1 + b / 2;
    const own = (b / first) * 0.5;
    expectErrors(trace, own, 1e-9, { from: 0.25, to: 0.75 });
  });

  // A stage behind the ramp comes up to speed late and rounds the top off: for less than 2 % of the length that is no part of the
  // sweep, which is then as straight as the parabola that it would have been.
  const v = (t: number) => t + b * t * t;
  const spoilt = (start: number, end: number, steepness: number) => {
    const at = [0, start, 0.2, 0.4, 0.5, 0.7, 0.8, 1 - end, 1];
    const value = at.map(v);
    const slope = at.map((t) => 1 + 2 * b * t);
    const before = [...slope];
    if (start > 0) {
      slope[0] = steepness;
      before[1] = steepness;
      value[0] = value[1] - steepness * start;
    }
    if (end > 0) {
      slope[7] = steepness;
      before[8] = steepness;
      value[8] = value[7] + steepness * end;
    }
    const keep = at.map((_, k) => (k !== 1 || start > 0) && (k !== 7 || end > 0));
    const pick = (of: number[]) => of.filter((_, k) => keep[k]);
    return make(pick(at), pick(value), pick(slope), pick(before));
  };
  const slower = ({ time, value, slope, slopeBefore }: Trace) =>
    make(
      [...time].map((t) => 64 * t),
      [...value],
      [...slope!].map((x) => x / 64),
      [...slopeBefore!].map((x) => x / 64),
    );
  // At the foot, only steeper: what rises less than half as fast is not taken for the sweep.
  it.each([
    ["a steep start", 0.01, 0, 3],
    ["a steep start, nearly as long as may be", 0.019, 0, 2],
    ["a flat end", 0, 0.01, 0.25],
    ["a steep end", 0, 0.015, 2],
    ["both ends steep", 0.01, 0.01, 2],
  ])("with %s: as the rest foretells it", (_, start, end, steepness) => {
    const trace = spoilt(start, end, steepness);
    for (const one of [trace, mirror(trace), slower(trace)]) expectErrors(one, b);
    // Sampled without slopes: right to the square of the step.
    const at = Array.from({ length: 4001 }, (_, k) => k / 4000);
    const plain = make(
      at,
      at.map((t) => trace.at(t)),
    );
    expectErrors(plain, b, 1e-6);
    expectErrors(mirror(plain), b, 1e-6);
  });

  it.each([
    ["start", 0.1, 0, 3, 3, 1 + 2 * b],
    ["end", 0, 0.1, 0.25, 1, 0.25],
    ["end, of 3 %", 0, 0.03, 0.25, 1, 0.25],
  ])("with a longer %s that differs: the sweep's own", (_, start, end, steepness, first, last) => {
    const found = take("sweep error", spoilt(start, end, steepness));
    expect(Math.abs(found - Math.abs(first - last) / first)).toBeLessThan(1e-9);
  });
});

it("what a bend outside the window does is not the window's", () => {
  // v = t + d/2 with d = t (1/2 - t) (6/5 - t), on one stretch from 0 to 1: from 0 to 1/2 it strays from its chord by d/2, most
  // where d' = 3 t² - 3.4 t + 0.6 is zero; beyond 1/2 it strays farther.
  const d = (t: number) => t * (0.5 - t) * (1.2 - t);
  const trace = make([0, 1], [0, 1 + d(1) / 2], [1.3, 1 + (3 - 3.4 + 0.6) / 2]);
  const top = (3.4 - Math.sqrt(3.4 ** 2 - 4 * 3 * 0.6)) / 6;
  expect(Math.abs(take("displacement error", trace, { to: 0.5 }) - d(top))).toBeLessThan(1e-12);
});

it("a share of a first slope that is none is none", () => {
  const trace = make([0, 1], [0, 1], [0, 2]);
  expect(take("sweep error", trace)).toBeNaN();
  expect(take("transmission error", trace)).toBeNaN();
});

// A straight sweep whose slope at its start lacks so much, node after node of 1 % of its length, and is whole from 4 % on.
function slowStart(lacks: readonly number[]): Trace {
  const slope = Array.from({ length: 101 }, (_, k) => 1 - (lacks[k] ?? 0));
  const value = [0];
  for (let k = 1; k <= 100; k++) value.push(value[k - 1] + (slope[k - 1] + slope[k]) / 200);
  const time = slope.map((_, k) => k / 100);
  return make(time, value, slope);
}

it("a start that comes back otherwise than by one pole is the sweep's own", () => {
  // From one node to the next 0.41 and then 0.29 of it is left, in the mean about each: no exponential. So the first slope counts as it is.
  const trace = slowStart([0.5, 0.2, 0.1, 0.01]);
  expect(off(take("sweep error", trace), 1)).toBeLessThan(1e-9);
});

it("a start as short as its next sample is far is not mended where slopes are not known", () => {
  // Half as steep for 0.02001 s. The slope at 0 of the parabola through the first three samples, by divided differences.
  const [h, k] = [0.02001, 0.04];
  const rest = Array.from({ length: 25 }, (_, n) => h + k * n).filter((t) => t < 1);
  const trace = make([0, ...rest, 1], [0, ...rest.map((t) => t - h / 2), 1 - h / 2]);
  const first = 0.5 - (h * 0.5) / (h + k);
  expect(off(take("sweep error", trace), 1 / first - 1)).toBeLessThan(1e-9);
});

it("strays as far as a jump on its way leads it, behind the jump as well as before", () => {
  // The chord has 1 V/s; behind the jump it stands 0.2 V above, of 2 V.
  expect(off(take("displacement error", make([0, 1, 1, 2], [0, 1, 1.2, 2])), 0.1)).toBeLessThan(1e-12);
});

describe("where the sweep is", () => {
  const sweep = (trace: Trace, from = trace.from, to = trace.to) => {
    const found = findSweep({ trace, from, to });
    return found && [found.from, found.to, found.falling];
  };
  // 0.4 and 0.6 of the slope that it has where it goes through 1 % of its swing.
  const kinked = (share: number) => make([0, 0.01, 1.01], [0, share * 0.01, 1 + share * 0.01]);

  it.each<[string, Trace, readonly unknown[] | undefined]>([
    ["a rise from end to end", make([0, 4], [0, 8]), [0, 4, false]],
    ["a fall from end to end", make([0, 4], [8, 0]), [0, 4, true]],
    ["nothing on a level", make([0, 4], [8, 8]), undefined],
    ["after a flat floor, from where it leaves it", make([0, 1, 3], [0, 0, 1]), [1, 3, false]],
    ["after a reset", make([0, 1, 2, 9], [5, 0, 0, 5]), [2, 9, false]],
    ["until a reset", make([0, 7, 8], [0, 5, 0]), [0, 7, false]],
    ["a slow fall after a quick rise", make([0, 1, 9], [0, 5, 0]), [1, 9, true]],
    ["a slow fall before a quick rise", make([0, 8, 9], [5, 0, 5]), [0, 8, true]],
    ["a slow fall before a rise that does not come up", make([0, 8, 10], [10, 0, 5]), [0, 8, true]],
    ["a quick fall before a slow rise that does not come up", make([0, 2, 10], [10, 0, 5]), [2, 10, false]],
    ["of both as slow, the rise", make([0, 2, 4], [0, 5, 0]), [0, 2, false]],
    ["as long as it stands at its top", make([0, 2, 3], [0, 5, 5]), [0, 3, false]],
    ["and until the reset", make([0, 2, 3, 4], [0, 5, 5, 0]), [0, 3, false]],
    ["or sags until then", make([0, 2, 3, 4], [0, 5, 4.9, 0]), [0, 3, false]],
    ["to a top between samples", make([0, 1, 2], [0, 4, 4], [4, 4, -4]), [0, 1.5, false]],
    // The cubic's slope is 1.2 s² − 0.2 s: half of the sweep's where s = (0.2 + √2.44)/2.4, however little it rises before.
    [
      "from a foot within a stretch that is slower on the whole",
      make([0, 0.01, 1.01], [0, 0.003, 1.003], [0, 1, 1]),
      [expect.closeTo(0.01 * ((0.2 + Math.sqrt(2.44)) / 2.4), 12), 1.01, false],
    ],
    ["from a foot before which it rose less than half as fast", kinked(0.4), [0.01, 1.01, false]],
    ["not from where it rose more than half as fast", kinked(0.6), [0, 1.01, false]],
    [
      "up to a jump, and not up to what comes lower behind it",
      make([0, 1, 1, 2, 3], [0, 1, 5, 0.5, 4]),
      [0, 1, false],
    ],
    [
      "from a jump upward, however steep it is before",
      make([0, 0.005, 0.005, 1], [0, 0.005, 0.02, 1]),
      [0.005, 1, false],
    ],
    ["not down to a spike below", make([0, 1, 1.1, 1.2, 5], [9, 0, -1, 0, 9]), [1.1, 5, false]],
  ])("%s", (_, trace, due) => {
    expect(sweep(trace)).toEqual(due);
  });

  it("from where it is half as steep as at 1 % of its swing, between samples too", () => {
    // v = 1.1 t² − 0.4 t³ up to 1 s and straight on at 1 V/s, to 100 V: half as steep where 2.2 t − 1.2 t² is a half.
    const [from, to] = sweep(make([0, 1, 100.3], [0, 0.7, 100], [0, 1, 1])) ?? [];
    expect(off(from as number, (2.2 - Math.sqrt(2.44)) / 2.4)).toBeLessThan(1e-12);
    expect(to).toBe(100.3);
  });

  it("within a window", () => {
    const saw = make([0, 4, 5, 9], [0, 8, 0, 8]);
    expect(sweep(saw, 1, 4.5)).toEqual([1, 4, false]);
    expect(sweep(saw, 3, 8)).toEqual([5, 8, false]);
    expect(sweep(saw, 2, 2)).toBeUndefined();
    expect(sweep(saw, 2, 12)).toBeUndefined();
  });

  it("a mirrored trace is the same upside down, slopes too", () => {
    const trace = make([0, 1, 2], [1, 2, 4], [1, 3, 2], [1, 1, 2]);
    const found = mirror(trace);
    for (const t of [0, 0.3, 1, 1.7, 2]) expect(found.at(t)).toBe(-trace.at(t));
    expect(found.time).toEqual(trace.time);
    expect([found.name, found.unit]).toEqual([trace.name, trace.unit]);
    expect(mirror(make([0, 1], [1, 2])).slope).toBeUndefined();
  });
});
