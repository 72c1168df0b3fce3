// Where two bounds meet, other values may lift their meeting though each of them alone only lowers it. The lower of two straight bounds
// is highest where all axes but one are at an end (a linear program of two conditions). Any mean of both, highest at an end on each
// axis, is no lower (duality): the least of these maxima is sought among the means that stand still along some axis.

/** The slopes of two bounds along an axis, and the place on it where they meet. */
export interface BoundSlopes {
  readonly axis: number;
  readonly at: number;
  readonly rising: number;
  readonly falling: number;
}

/** The axis on which two straight bounds meet highest, and by how much each axis moves to get there; none if neither holds the other. */
export function highestMeeting(slopes: readonly BoundSlopes[]): {
  readonly inner?: number;
  readonly moves: ReadonlyMap<number, number>;
} {
  const toEnds = (share: number) =>
    slopes.map(({ at, rising, falling }) => {
      const mean = share * rising + (1 - share) * falling;
      return { mean, by: mean > 0 ? 1 - at : mean < 0 ? -at : 0 };
    });
  let [lowest, best] = [Number.POSITIVE_INFINITY, -1];
  slopes.forEach(({ rising, falling }, i) => {
    if (!(rising * falling < 0)) return;
    const most = toEnds(falling / (falling - rising)).reduce((sum, { mean, by }) => sum + mean * by, 0);
    if (most < lowest) [lowest, best] = [most, i];
  });
  if (best < 0) return { moves: new Map() };
  const one = slopes[best];
  const ends = toEnds(one.falling / (one.falling - one.rising));
  const apart = slopes.reduce(
    (sum, { rising, falling }, i) => (i === best ? sum : sum + (rising - falling) * ends[i].by),
    0,
  );
  const by = Math.min(1 - one.at, Math.max(-one.at, apart / (one.falling - one.rising)));
  return {
    inner: one.axis,
    moves: new Map(slopes.map(({ axis }, i) => [axis, i === best ? by : ends[i].by])),
  };
}
