// Where a function of one number passes through zero, for functions that take a whole simulation to work out.
// Takes the function at some points of its range; gives every passage found between them, and the point of least size
// where there may be none. Always: a root stays between two points of opposite sign, so it cannot be lost; a place where
// the function does not exist (NaN) ends the search there instead of misleading it; no more than a few dozen calls each.

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

/** Most calls for one bracket: with fifty, halving alone narrows by 10^15. */
const most = 50;

/**
 * Narrows a bracket down: interpolate, truncate, project (I. F. D. Oliveira & R. H. C. Takahashi, ACM Trans. Math. Softw.
 * 47(1), 2020), which takes no more calls than halving but one, and a handful on smooth functions.
 * @param a,b points of opposite sign, neither NaN
 * @returns the end of the last bracket with the smaller value
 */
export function narrow(sought: Search, a: Point, b: Point): Point {
  let [low, high] = a.x < b.x ? [a, b] : [b, a];
  const goal = sought.accuracy * Math.max(Math.abs(low.x), Math.abs(high.x));
  const k1 = 0.2 / (high.x - low.x);
  // The width that halving would have reached: starts with one halving to spare.
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
    if (Math.abs(y) <= sought.small) return { x, y };
    if (y > 0 === high.y > 0) high = { x, y };
    else low = { x, y };
  }
  return Math.abs(low.y) <= Math.abs(high.y) ? low : high;
}

/**
 * The roots between points in rising order of x: each bracket narrowed, and points that are zero; of neighbours that are
 * zero alike the smallest.
 */
export function roots(sought: Search, points: readonly Point[]): Point[] {
  const zero = (p: Point | undefined) => p !== undefined && Math.abs(p.y) <= sought.small;
  const found: Point[] = [];
  points.forEach((p, i) => {
    const next = points[i + 1];
    if (zero(p) && zero(points[i - 1])) {
      if (Math.abs(p.y) < Math.abs(found.at(-1)!.y)) found[found.length - 1] = p;
    } else if (zero(p)) found.push(p);
    else if (next && !zero(next) && p.y * next.y < 0) found.push(narrow(sought, p, next));
  });
  return found;
}

/** The share of a bracket at which golden-section search looks: (3 - sqrt 5) / 2. */
const golden = (3 - Math.sqrt(5)) / 2;

/**
 * Looks for the smallest size of a function near a point that is smaller than both of its neighbours (golden section:
 * J. Kiefer, Proc. Amer. Math. Soc. 4(3), 1953). Stops as soon as the sign changes, since roots then stand on both sides.
 * @returns every point looked at, in the order looked
 */
export function dip(
  sought: Search,
  left: Point,
  middle: Point,
  right: Point,
  calls: number,
  share = 1e-4,
): Point[] {
  let [a, m, b] = [left, middle, right];
  const seen: Point[] = [];
  const enough = share * (right.x - left.x);
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
