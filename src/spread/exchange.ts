// The corners to which the signs of single effects point, for designs with too many axes to run every corner. What an axis alone
// does may turn round where the others stand elsewhere: in a balanced bridge each resistor unbalances it either way. Where a
// corner measures something else than its effects add up to, the axes weak enough to have turned are tried at their other ends,
// and those that gain are moved, until none does. What this ends at is the worst among its neighbours; only all corners prove more.
import type { Measured } from "./experiment.js";
import type { Axis, AxisPlaces } from "./tolerances.js";
import type { AxisAlone, CheckExtremes } from "./worstcheck.js";

/** Rounds of exchanges; the relative gain that counts. */
const rounds = 8;
const gain = 1e-9;

/** The share of all effects by which a corner may differ from their sum and they still add up: beyond, weak axes are tried. */
export const adds = 1e-3;

/** The share beyond which all axes are tried, those too that do nothing alone. */
const unlike = 0.5;

/** What is known before any corner was run. */
export interface Singles {
  readonly axes: readonly Axis[];
  /** By check. */
  readonly alone: readonly (readonly AxisAlone[])[];
  /** What each check measures as designed. */
  readonly middles: readonly number[];
}

/**
 * Searches by signs: gives batches of corners, takes what they measured, and lets the extremes meet all of it.
 * @returns how many corners were run
 */
export function* searchSigns(
  singles: Singles,
  found: readonly CheckExtremes[],
): Generator<readonly AxisPlaces[], number, readonly Measured[]> {
  let runs = 0;
  function* run(batch: readonly AxisPlaces[]) {
    const measured: readonly Measured[] = yield batch;
    runs += batch.length;
    batch.forEach((places, i) => {
      for (const one of found) one.meet(places, measured[i]);
    });
    return measured;
  }
  const corners = singles.alone.flatMap((_, k) =>
    ([1, -1] as const).map((way) => ({ k, way, places: signed(singles, k, way) })),
  );
  const list = new Map(corners.map(({ places }) => [places.join(), places]));
  const measured = yield* run([...list.values()]);
  const seen = new Map([...list.keys()].map((key, i) => [key, measured[i]]));
  for (const { k, way, places } of corners) {
    const turned = mayTurn(singles, k, way, seen.get(places.join())!.values[k]);
    if (turned.length === 0) continue;
    for (let round = 0; round < rounds; round++) {
      const { places: from, value } = found[k].farthest(way)!;
      const moves = turned.flatMap((axis) =>
        [0, 1].filter((end) => end !== from[axis]).map((end) => ({ axis, end })),
      );
      const each = yield* run(moves.map(({ axis, end }) => from.map((p, i) => (i === axis ? end : p))));
      const better = moves.filter((_, i) => way * (each[i].values[k] - value) > gain * Math.abs(value));
      if (better.length === 0) break;
      if (better.length > 1)
        yield* run([from.map((p, i) => better.find(({ axis }) => axis === i)?.end ?? p)]);
    }
  }
  return runs;
}

// The axes whose effect may have turned round: no larger than what the corner differs from the sum of effects, on either side.
function mayTurn({ alone, middles }: Singles, k: number, way: 1 | -1, value: number): number[] {
  const own = alone[k].filter(({ warm }) => Number.isNaN(warm));
  const moved = own.map(({ low, high }) =>
    Math.max(0, way * (low - middles[k]) || 0, way * (high - middles[k]) || 0),
  );
  const sum = moved.reduce((a, b) => a + b, 0);
  const apart = Math.abs(way * (value - middles[k]) - sum);
  if (!(apart > adds * sum)) return [];
  const weak = ({ low, high }: AxisAlone) =>
    Math.abs(high - low) < 2 * apart && (low !== middles[k] || high !== middles[k]);
  return own.filter((one) => apart > unlike * sum || weak(one)).map(({ axis }) => axis);
}

// The corner where every axis takes a check farther one way.
function signed({ axes, alone, middles }: Singles, k: number, way: 1 | -1): AxisPlaces {
  const heat = axes.findIndex((axis) => axis.what === "temperature");
  const end = (axis: number, warm: number) => {
    const one = alone[k].find((e) => e.axis === axis && (Number.isNaN(e.warm) || e.warm === warm));
    if (!one || one.high === one.low || Number.isNaN(one.high - one.low)) return Number.NaN;
    const up = (one.high - one.low) * way > 0;
    // Where both ends lead the other way, the axis stays as designed. A drift has its own middle, at its temperature.
    const further = (up ? one.high : one.low) - middles[k];
    return Number.isNaN(one.warm) && further * way <= 0 ? Number.NaN : Number(up);
  };
  // Where the temperature itself does nothing, the drifts still may: take its high end.
  const own = heat < 0 ? Number.NaN : end(heat, Number.NaN);
  const warm = heat >= 0 && Number.isNaN(own) ? 1 : own;
  return axes.map((_, i) => (i === heat ? warm : end(i, warm)));
}
