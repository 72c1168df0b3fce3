// Pairs sorted out of measured parts: which of one bag goes with which of another, or which two of one bag are most alike. As
// many pairs as the limit allows, and among these solutions the one with the least sum of squared misses.
//
// With both lists sorted by value a miss is a difference of two numbers (of logarithms for a ratio), and its square is convex. So
// two pairs that cross cost no less than the same four parts uncrossed, under any limit on the miss (G. Monge 1781; A. J.
// Hoffman, On simple linear programming problems, Proc. Symp. Pure Math. 7, 1963). The best solution is therefore among those
// without crossings, found by dynamic programming (R. Bellman 1957).
import { asked, refuseOption } from "../base/asked.js";
import { handedNumber } from "../base/handed.js";

/** What the two parts of a pair are to make. */
export interface PairingAim {
  /** The second over the first. */
  readonly ratio?: number;
  /** Both together, SI. */
  readonly sum?: number;
  /** The second less the first, SI. */
  readonly difference?: number;
  /** The most that a pair may miss its aim by: for a ratio as a share of it, else SI. No limit unless given. */
  readonly within?: number;
}

/** Two parts that go together. */
export interface SortedPair {
  /** Index of the part in the first list, from 0. */
  readonly first: number;
  /** Index of the part in the second list, or in the only one. */
  readonly second: number;
  /** What they make: the ratio, the sum or the difference. */
  readonly makes: number;
  /** How far that is from the aim: for a ratio as a share of it, else SI. */
  readonly miss: number;
}

/** Pairs, and what is left over. */
export interface Pairing {
  /** What the pairs are to make. */
  readonly by: "ratio" | "sum" | "difference";
  /** The aim, SI. */
  readonly aim: number;
  /** The smallest miss first. */
  readonly pairs: readonly SortedPair[];
  /** Indices of the parts without a partner, in the first list and in the second. */
  readonly left: readonly [first: readonly number[], second: readonly number[]];
}

/** The most parts of a list: the table has as many entries as their product. */
const most = 5000;

/**
 * Sorts pairs. Without an aim: as alike as possible, a ratio of 1.
 *
 * @category Bench and stock
 * @example
 * ```ts
 * sortPairs([14.9e-9, 15.4e-9], [15.3e-9, 15e-9]).pairs.map(({ first, second }) => [first, second]); // [[1, 0], [0, 1]]
 * ```
 * @param first measurements of the first parts, SI; NaN where there is none
 * @param second the same of the second parts; if left out, both come from the first list
 * @throws DesignError `bad-option`
 */
export function sortPairs(
  first: readonly number[],
  second?: readonly number[],
  aim: PairingAim = {},
): Pairing {
  asked(aim, { ratio: "number", sum: "number", difference: "number", within: "number" }, "aim.");
  const by = byOf(aim);
  const target = aim[by] ?? 1;
  const { within = Number.POSITIVE_INFINITY } = aim;
  if (!(within >= 0)) refuseOption("within", "a limit is zero or more");
  if (by === "ratio" && !(target > 0 && Number.isFinite(target))) refuseOption("ratio", "a ratio above zero");
  if (!Number.isFinite(target)) refuseOption(by, "a finite number");
  if (!second && target !== (by === "ratio" ? 1 : 0))
    refuseOption(by, "parts of one bag are paired by how alike they are", "for another aim give two lists");
  const one = sorted("first", first, by);
  const makes = (a: number, b: number) => (by === "ratio" ? b / a : by === "sum" ? a + b : b - a);
  const missOf = (a: number, b: number) => (by === "ratio" ? makes(a, b) / target - 1 : makes(a, b) - target);
  const cost = (a: number, b: number) => {
    const miss = missOf(a, b);
    if (Math.abs(miss) > within * (1 + 1e-12)) return Number.POSITIVE_INFINITY;
    return by === "ratio" ? Math.log1p(miss) ** 2 : miss ** 2;
  };
  const two = second && sorted("second", second, by);
  // For a sum the largest goes with the smallest.
  if (by === "sum") two?.reverse();
  const value = (k: number) => first[k];
  const other = (k: number) => (second ?? first)[k];
  const found = two
    ? uncrossed(one, two, (a, b) => cost(value(a), other(b)))
    : neighboured(one, (a, b) => cost(value(a), other(b)));
  const pairs = found.map(([a, b]) => ({
    first: a,
    second: b,
    makes: makes(value(a), other(b)),
    miss: missOf(value(a), other(b)),
  }));
  const gone = [new Set(found.map(([a]) => a)), new Set(found.map(([, b]) => b))] as const;
  const left = one.filter((k) => !gone[0].has(k) && (two || !gone[1].has(k)));
  return {
    by,
    aim: target,
    pairs: pairs.sort((a, b) => Math.abs(a.miss) - Math.abs(b.miss) || a.first - b.first),
    left: [left.sort((a, b) => a - b), (two ?? []).filter((k) => !gone[1].has(k)).sort((a, b) => a - b)],
  };
}

function byOf(aim: PairingAim): Pairing["by"] {
  const named = (["ratio", "sum", "difference"] as const).filter((word) => aim[word] !== undefined);
  if (named.length > 1)
    refuseOption(named[1], `pairs are sorted by ${named[0]} or by ${named[1]}, not by both`);
  return named[0] ?? "ratio";
}

/** Indices of the measured parts, by rising value. */
function sorted(what: string, values: readonly number[], by: Pairing["by"]): number[] {
  if (!Array.isArray(values)) refuseOption(what, "expected a list of numbers");
  for (const [i, value] of values.entries()) handedNumber(value, `${what}[${i}]`);
  if (values.length > most)
    refuseOption(what, `${values.length} parts are more than the ${most} that are sorted`);
  const there = [...values.keys()].filter((k) => !Number.isNaN(values[k]));
  const wrong = there.find((k) => !Number.isFinite(values[k]) || (by === "ratio" && values[k] <= 0));
  if (wrong !== undefined)
    refuseOption(
      what,
      `part ${wrong + 1} is ${values[wrong]}`,
      by === "ratio" ? "ratios need values above zero" : undefined,
    );
  return there.sort((a, b) => values[a] - values[b]);
}

type Numbered = readonly (readonly [first: number, second: number])[];

/** The number of pairs so far, and their total cost. */
class Best {
  readonly count: Uint16Array;
  readonly cost: Float64Array;

  constructor(size: number) {
    this.count = new Uint16Array(size);
    this.cost = new Float64Array(size);
  }

  /** Whether one more pair added to entry `from` beats entry `than`. */
  better(from: number, cost: number, than: number): boolean {
    if (cost === Number.POSITIVE_INFINITY) return false;
    const more = this.count[from] + 1 - this.count[than];
    return more > 0 || (more === 0 && this.cost[from] + cost < this.cost[than]);
  }

  take(at: number, from: number, cost = Number.NaN): void {
    const pair = !Number.isNaN(cost);
    this.count[at] = this.count[from] + Number(pair);
    this.cost[at] = this.cost[from] + (pair ? cost : 0);
  }
}

/** The best pairs of two sorted lists. */
function uncrossed(
  a: readonly number[],
  b: readonly number[],
  cost: (a: number, b: number) => number,
): Numbered {
  const [rows, columns] = [a.length, b.length];
  // Two rows of the table are enough; only the way to each entry, two bits, is kept for all.
  const way = new Uint8Array((rows + 1) * (columns + 1));
  const best = new Best(2 * (columns + 1));
  for (let i = 1; i <= rows; i++) {
    const [own, above] = [(i % 2) * (columns + 1), ((i - 1) % 2) * (columns + 1)];
    best.take(own, above);
    for (let j = 1; j <= columns; j++) {
      const [at, up, back] = [own + j, above + j, own + j - 1];
      const skipUp =
        best.count[up] > best.count[back] ||
        (best.count[up] === best.count[back] && best.cost[up] <= best.cost[back]);
      best.take(at, skipUp ? up : back);
      way[i * (columns + 1) + j] = skipUp ? 1 : 2;
      const price = cost(a[i - 1], b[j - 1]);
      if (!best.better(above + j - 1, price, at)) continue;
      best.take(at, above + j - 1, price);
      way[i * (columns + 1) + j] = 3;
    }
  }
  const found: [number, number][] = [];
  for (let [i, j] = [rows, columns]; i > 0 && j > 0; ) {
    const came = way[i * (columns + 1) + j];
    if (came === 3) found.push([a[i - 1], b[j - 1]]);
    if (came !== 2) i--;
    if (came !== 1) j--;
  }
  return found;
}

/** The best pairs within one sorted list: always neighbours. */
function neighboured(a: readonly number[], cost: (a: number, b: number) => number): Numbered {
  const best = new Best(a.length + 1);
  const paired = new Uint8Array(a.length + 1);
  for (let i = 1; i <= a.length; i++) {
    best.take(i, i - 1);
    if (i < 2) continue;
    const price = cost(a[i - 2], a[i - 1]);
    if (!best.better(i - 2, price, i)) continue;
    best.take(i, i - 2, price);
    paired[i] = 1;
  }
  const found: [number, number][] = [];
  for (let i = a.length; i > 0; i -= 1 + paired[i]) if (paired[i]) found.push([a[i - 2], a[i - 1]]);
  return found;
}
