// Two looks ahead: what a look and the best one after it are expected to tell together. One that tells much by itself may leave a
// heap in which every further look halves at best, while a look that tells less leaves heaps that one more takes apart. What comes
// of the first look is one of its classes; the weights after it are those before, times how far what they show overlaps with it.
import { classWeights, type Division, gainOf, type Ways } from "./lookgain.js";

/** A look with what it tells beside others of its kind. */
export interface Ahead {
  readonly division: Division;
  /** Subtracted from what it tells, bits. */
  readonly cost: number;
}

/** Two classes that overlap by more than this leave the same weights. */
const sameOutcome = 0.9;
/** Outcomes that are less likely than this are not followed. */
const seldom = 1e-3;

/** What may come of a look. */
interface Outcome {
  readonly likely: number;
  readonly ways: Ways;
}

/** What the best look after a look is expected to tell, bits, less its cost. @param others the looks after it */
export function nextBest(first: Division, others: readonly Ahead[], ways: Ways): number {
  let sum = 0;
  for (const { likely, ways: after } of outcomesOf(first, ways)) {
    let best = 0;
    for (const { division, cost } of others) best = Math.max(best, gainOf(division, after).bits - cost);
    sum += likely * best;
  }
  return sum;
}

/** About how many steps of reckoning `nextBest` takes. */
export function stepsOf(first: Division, others: readonly Ahead[], { weights }: Ways): number {
  const outcomes = classWeights(first, weights).reduce((count, w) => count + Number(w > seldom), 0);
  return others.reduce((sum, { division: { size } }) => sum + outcomes * (weights.length + size * size), 0);
}

function outcomesOf(first: Division, ways: Ways): Outcome[] {
  const { size, classOf, alike } = first;
  const together = classWeights(first, ways.weights);
  const order = [...together.keys()]
    .filter((i) => together[i] > seldom)
    .sort((a, b) => together[b] - together[a]);
  const heads: { readonly at: number; likely: number }[] = [];
  for (const i of order) {
    const same = heads.find(({ at }) => alike[i * size + at] > sameOutcome);
    if (same) same.likely += together[i];
    else heads.push({ at: i, likely: together[i] });
  }
  return heads.map(({ at, likely }) => {
    const weights = new Float64Array(classOf.length);
    let sum = 0;
    for (let way = 0; way < weights.length; way++) {
      // Of a way of which it is not known what it shows, the look tells nothing.
      weights[way] = ways.weights[way] * (classOf[way] < 0 ? likely : alike[at * size + classOf[way]]);
      sum += weights[way];
    }
    for (let way = 0; way < weights.length; way++) weights[way] /= sum;
    return { likely, ways: { faults: ways.faults, weights } };
  });
}
