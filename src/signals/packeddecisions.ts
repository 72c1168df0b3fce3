// When a packed wave closes and opens a switch: by the same rule as in `decisions.ts` and as exact, but doubles are compared where
// they are far enough from a threshold, so that a whole frame costs little. A threshold that a carrier swings through is refused:
// such crossings are irrational and come by the hundred thousand, and the march finds them where they matter. A carrier that
// only touches a threshold commands nothing.
import { type Fraction, ratio } from "../base/fraction.js";
import type { PackedShape } from "./packed.js";
import {
  commandBySigns,
  commandOf,
  type Decision,
  type Decisions,
  levelAt,
  ThresholdSlicer,
  type Thresholds,
} from "./threshold.js";
import { ShapeError, type Wave, wrapped } from "./wave.js";

/** Every decision of a packed wave without its gate. Throws ShapeError `carrier-threshold`. */
export function packedDecisions(shape: PackedShape, scale: Fraction, levels: Thresholds): Decisions {
  const close = new ThresholdSlicer(shape, scale, levels.closeAbove);
  const open = new ThresholdSlicer(shape, scale, levels.openBelow);
  refuse(close);
  refuse(open);
  const all: Decision[] = [];
  let last: boolean | undefined;
  const note = (time: Fraction, closed: boolean) => {
    all.push({ time, closed });
    last = closed;
  };
  const { times, values, unit } = shape;
  const count = times.length;
  const turned = scale.n === 0n ? 0 : Number(scale.s);
  let over = close.side(0);
  let under = open.side(0);
  for (let i = 0; i < count; i++) {
    const j = (i + 1) % count;
    const [nextOver, nextUnder] = [close.side(j), open.side(j)];
    const command = commandBySigns(over, under, turned * Math.sign(values[j] - values[i]));
    // A command that held just before the corner need not be repeated; one that follows none must be noted.
    const held = command === last && (command ? over > 0 : under < 0);
    if (command !== undefined && !held) note(unit.mul(ratio(times[i])), command);
    if (over < 0 && nextOver > 0) note(close.cut(i), true);
    if (under > 0 && nextUnder < 0) note(open.cut(i), false);
    over = nextOver;
    under = nextUnder;
  }
  // The closing segment may run past the end of the length.
  const period = unit.mul(ratio(shape.length));
  const moved = all.map((d) => (d.time.lt(period) ? d : { time: wrapped(d.time, period), closed: d.closed }));
  return { all: moved.sort((a, b) => a.time.compare(b.time)), period };
}

/** What a packed wave commands just after an instant. */
export function packedCommandAt(
  shape: PackedShape,
  scale: Fraction,
  time: Fraction,
  levels: Thresholds,
): boolean | undefined {
  const place = wrapped(time.div(shape.unit), ratio(shape.length));
  const { times, length } = shape;
  let i = times.length - 1;
  while (i >= 0 && place.lt(ratio(times[i]))) i--;
  const a = i < 0 ? times.length - 1 : i;
  const from = i < 0 ? times[a] - length : times[a];
  const b = (a + 1) % times.length;
  const to = i === times.length - 1 ? times[b] + length : times[b];
  const start = levelAt(shape, scale, a);
  const change = levelAt(shape, scale, b).sub(start);
  const share = place.sub(ratio(from)).div(ratio(to - from));
  return commandOf(start.add(change.mul(share)), change, levels);
}

/** Whether a schedule can be made of a wave against the thresholds: not where a carrier swings through one. */
export function decidable({ shape, scale }: Wave, closeAbove: Fraction, openBelow: Fraction): boolean {
  if (shape.kind !== "packed") return true;
  return [closeAbove, openBelow].every((t) => new ThresholdSlicer(shape, scale, t).clear());
}

function refuse(slicer: ThresholdSlicer): void {
  if (slicer.clear()) return;
  throw new ShapeError(
    "carrier-threshold",
    "a carrier of the signal swings through the level at which a switch follows it",
    "take a level that the carrier does not reach, or put a filter before the switch",
  );
}
