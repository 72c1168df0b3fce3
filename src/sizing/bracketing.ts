// Where a function of one number passes through zero, for functions that cost a whole simulation: every passage between some
// points of its range, and the point of least absolute value where there may be none. A root stays between two points of opposite
// sign, so it cannot be lost; a place where the function does not exist (NaN) ends the search there instead of misleading it.

/** A point of a function. */
export interface Point {
  readonly x: number;
  /** NaN where the function has no value. */
  readonly y: number;
}

/** The function, and when a root is good enough. */
export interface Search {
  readonly at: (x: number) => number;
  /** A bracket of twice this share of its place is narrow enough. */
  readonly accuracy: number;
  /** A value of this size counts as zero. */
  readonly small: number;
}

/** Two points of opposite sign, between which a function passes through zero or jumps over it. */
export interface Bracket {
  readonly low: Point;
  readonly high: Point;
}

/** Most calls for one bracket: fifty halvings alone narrow it by 10^15. */
const most = 50;

/**
 * Narrows a bracket down to an end that is zero, or to its last two ends: interpolate, truncate, project (I. F. D. Oliveira & R.
 * H. C. Takahashi, ACM Trans. Math. Softw. 47(1), 2020), which takes at most one call more than halving, and a handful on smooth
 * functions.
 * @param a,b points of opposite sign, neither NaN
 */
export function narrowed(sought: Search, a: Point, b: Point): Bracket {
  let [low, high] = a.x < b.x ? [a, b] : [b, a];
  const goal = sought.accuracy * Math.max(Math.abs(low.x), Math.abs(high.x));
  const k1 = 0.2 / (high.x - low.x);
  // The width that halving would have reached, with one halving to spare at the start.
  let lag = 2 * goal;
  while (lag < high.x - low.x) lag *= 2;
  for (let calls = 0; calls < most && high.x - low.x > 2 * goal; calls++) {
    const width = high.x - low.x;
    const middle = (low.x + high.x) / 2;
    const straight = (high.y * low.x - low.y * high.x) / (high.y - low.y);
    const toward = Math.sign(middle - straight);
    const nudge = k1 * width * width;
    const nudged = nudge <= Math.abs(middle - straight) ? straight + toward * nudge : middle;
    const reach = Math.max(0, lag - width / 2);
    let x = Math.abs(nudged - middle) <= reach ? nudged : middle - toward * reach;
    if (!(x > low.x && x < high.x)) x = middle;
    if (!(x > low.x && x < high.x)) break;
    lag /= 2;
    const y = sought.at(x);
    if (Number.isNaN(y)) break;
    if (Math.abs(y) <= sought.small) return { low: { x, y }, high: { x, y } };
    if (y > 0 === high.y > 0) high = { x, y };
    else low = { x, y };
  }
  return { low, high };
}

/** The end of a bracket with the smaller absolute value. */
export function nearer({ low, high }: Bracket): Point {
  return Math.abs(low.y) <= Math.abs(high.y) ? low : high;
}

/**
 * Predicts where a function passes a level, from points in rising order of x: a rational function of the value through the
 * nearest of them, as many as agree with the bracket (inverse interpolation by Thiele's continued fraction: Abramowitz & Stegun
 * 25.2.50; F. M. Larkin, Math. Comp. 35, 1980, on roots by rational functions). Exact for straight lines and hyperbolas such as V
 * = I t / C.
 * @returns undefined where they predict nothing inside the bracket
 */
export function foretold(points: readonly Point[], level = 0, most = 5): number | undefined {
  const near = [...points].sort((a, b) => Math.abs(a.y - level) - Math.abs(b.y - level)).slice(0, most);
  const i = points.findIndex((p, k) => k > 0 && (p.y - level) * (points[k - 1].y - level) <= 0);
  const [low, high] =
    i > 0 ? [points[i - 1].x, points[i].x] : [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  for (let n = near.length; n >= 2; n--) {
    const x = continued(near.slice(0, n), level);
    if (x > low && x < high) return x;
  }
  return undefined;
}

function continued(points: readonly Point[], level: number): number {
  // Inverse differences of x by y, in place: row k is final after k points.
  const rows = points.map((p) => p.x);
  for (let k = 1; k < rows.length; k++)
    for (let i = k; i < rows.length; i++) rows[i] = (points[i].y - points[k - 1].y) / (rows[i] - rows[k - 1]);
  let x = rows.at(-1)!;
  for (let k = rows.length - 2; k >= 0; k--) x = rows[k] + (level - points[k].y) / x;
  return x;
}

/**
 * The roots between points in rising order of x: each bracket narrowed, and points that are zero; of neighbouring zeros only the
 * smallest. Both ends of a zero are the same point.
 */
export function brackets(sought: Search, points: readonly Point[]): Bracket[] {
  const zero = (p: Point | undefined) => p !== undefined && Math.abs(p.y) <= sought.small;
  const found: Bracket[] = [];
  points.forEach((p, i) => {
    const next = points[i + 1];
    const alone = { low: p, high: p };
    if (zero(p) && zero(points[i - 1])) {
      if (Math.abs(p.y) < Math.abs(found.at(-1)!.low.y)) found[found.length - 1] = alone;
    } else if (zero(p)) found.push(alone);
    else if (next && !zero(next) && p.y * next.y < 0) found.push(narrowed(sought, p, next));
  });
  return found;
}

/** The same, but only the end of each with the smaller absolute value. */
export function roots(sought: Search, points: readonly Point[]): Point[] {
  return brackets(sought, points).map(nearer);
}

/**
 * Looks on towards the places where a function ceases to exist: between a point that has a value and a neighbour that has none, by
 * halving, until its sign changes.
 * @param points in rising order of x
 * @param calls the most for each
 * @returns every point found that has a value
 */
export function verges(sought: Search, points: readonly Point[], calls: number): Point[] {
  const found: Point[] = [];
  for (let i = 1; i < points.length; i++) {
    const pair = [points[i - 1], points[i]];
    let known = pair.find((p) => !Number.isNaN(p.y));
    let none = pair.find((p) => Number.isNaN(p.y))?.x;
    for (let k = 0; k < calls && known && none !== undefined; k++) {
      const x = (known.x + none) / 2;
      const y = sought.at(x);
      if (Number.isNaN(y)) {
        none = x;
        continue;
      }
      found.push({ x, y });
      if (!(y * known.y > 0)) break;
      known = { x, y };
    }
  }
  return found;
}

/** The share of a bracket at which golden-section search tries next: (3 - sqrt 5) / 2. */
const golden = (3 - Math.sqrt(5)) / 2;

/**
 * Looks for the least absolute value near the middle one of three points, which is smaller than both others (golden section: J.
 * Kiefer, Proc. Amer. Math. Soc. 4(3), 1953). Stops as soon as the sign changes, since roots then lie on both sides.
 * @param calls the most; the search also ends where this `share` of the distance between the outer points is left
 * @returns every point tried, in order
 */
export function dip(
  sought: Search,
  around: readonly [Point, Point, Point],
  calls: number,
  share = 1e-4,
): Point[] {
  let [a, m, b] = around;
  const seen: Point[] = [];
  const enough = share * (b.x - a.x);
  while (seen.length < calls && b.x - a.x > enough) {
    const after = b.x - m.x > m.x - a.x;
    const x = after ? m.x + golden * (b.x - m.x) : m.x - golden * (m.x - a.x);
    const p = { x, y: sought.at(x) };
    seen.push(p);
    if (Number.isNaN(p.y) || p.y * m.y <= 0) break;
    if (Math.abs(p.y) < Math.abs(m.y)) [a, m, b] = after ? [m, p, b] : [a, p, m];
    else [a, b] = after ? [a, p] : [p, b];
  }
  return seen;
}
