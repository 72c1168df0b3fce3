// The oracle of the signal tests: the definition of a wave, evaluated with rationals and no cleverness at all.
// Corners are laid out period after period around the instant asked for, and the segment is looked for by reading
// on. The switch is the rule applied just after every tick, from far in the past: 1/1009 tick on, nearer than any
// crossing of these waves can be (their slopes have denominators up to 8).
import fc from "fast-check";
import { Fraction, ratio } from "../../src/base/fraction.js";
import { type Corner, gated, pathWave, pulse, scaled, type Wave } from "../../src/signals/wave.js";

/** The level of a wave made of segments just before (side 0) or just after (side 1) an instant. */
export function levelAt(w: Wave, t: Fraction, side: 0 | 1): Fraction {
  const { shape, scale } = w;
  if (shape.kind !== "segments") throw new Error("only segments");
  const isOn = side === 1 ? !w.starts?.gt(t) && !w.stops?.lte(t) : !w.starts?.gte(t) && !w.stops?.lt(t);
  if (!isOn) return shape.idle.mul(scale);
  const corners: Corner[] = [];
  if (shape.period) {
    const k = Math.floor(t.div(shape.period).valueOf());
    for (let cycle = k - 2; cycle <= k + 2; cycle++) {
      const shift = shape.period.mul(cycle);
      for (const c of shape.corners) corners.push({ time: c.time.add(shift), value: c.value });
    }
  } else {
    const far = ratio(1_000_000);
    corners.push({ time: far.neg(), value: shape.corners[0].value }, ...shape.corners);
    corners.push({ time: far, value: shape.corners.at(-1)!.value });
  }
  for (let i = 0; i + 1 < corners.length; i++) {
    const [a, b] = [corners[i], corners[i + 1]];
    if (a.time.equals(b.time)) continue;
    if (side === 1 ? a.time.lte(t) && b.time.gt(t) : a.time.lt(t) && b.time.gte(t)) {
      const share = t.sub(a.time).div(b.time.sub(a.time));
      return a.value.add(b.value.sub(a.value).mul(share)).mul(scale);
    }
  }
  throw new Error("no segment");
}

/** The commanded state just after ticks `from`..`to`, the past before `from` unknown (open). */
export function states(w: Wave, tick: Fraction, close: Fraction, open: Fraction, from: number, to: number) {
  const out = new Map<number, boolean>();
  let state = false;
  for (let n = from; n <= to; n++) {
    const level = levelAt(w, tick.mul(ratio(1009 * n + 1, 1009)), 1);
    if (level.gt(close)) state = true;
    else if (level.lt(open)) state = false;
    out.set(n, state);
  }
  return out;
}

const small = fc.integer({ min: -2, max: 2 });

/** Paths and pulses on small whole numbers, so that touches, plateaus and jumps all occur; gated and scaled. */
export const waves: fc.Arbitrary<Wave> = fc
  .record({
    steps: fc.array(fc.record({ wait: fc.integer({ min: 0, max: 2 }), value: small }), {
      minLength: 1,
      maxLength: 6,
    }),
    first: fc.integer({ min: 0, max: 5 }),
    slack: fc.option(fc.integer({ min: 0, max: 3 })),
    box: fc.option(fc.record({ low: small, high: small, edge: fc.integer({ min: 0, max: 1 }) })),
    starts: fc.option(fc.integer({ min: -3, max: 9 })),
    stops: fc.option(fc.integer({ min: -3, max: 16 })),
    factor: fc.constantFrom(1, -1, 2, 0),
  })
  .map(({ steps, first, slack, box, starts, stops, factor }) => {
    let time = first;
    let jumped = false;
    const points = steps.map(({ wait, value }) => {
      // A jump has one level before and one after it: no more than two points of one time.
      const waited = wait === 0 && jumped ? 1 : wait;
      jumped = waited === 0;
      time += waited;
      return { time: ratio(time), value: ratio(value) };
    });
    // The end of a period is the beginning of the next, where the same holds.
    const [last, beginning] = [points.at(-1)!, points[0]].map((end) =>
      points.filter((p) => p.time.equals(end.time)),
    );
    const least = last.length > 1 || beginning.length > 1 ? 1 : 0;
    const span = Math.max(1, time - first + Math.max(least, slack ?? 0));
    const period = slack === null ? undefined : ratio(span);
    const wave = box
      ? pulse({
          low: ratio(box.low),
          high: ratio(box.high),
          width: ratio(2),
          // A full straight edge of one second.
          edges: ratio(4 * box.edge, 5),
          first: ratio(first),
          period: period?.add(3),
        })
      : pathWave({ points, period });
    const gate = {
      ...(starts !== null && { starts: ratio(starts) }),
      ...(stops !== null && { stops: ratio(stops) }),
    };
    return scaled(gated(wave, gate), new Fraction(factor));
  });
