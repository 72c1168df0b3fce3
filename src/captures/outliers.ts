// A few bad samples: a click, a dropped bit, a probe that slipped. Least squares follow them, since they count by their square; a
// fit in which far samples count only by their distance does not (P. J. Huber, Robust estimation of a location parameter, Ann.
// Math. Stat. 35 (1964) 73). That fit shows which samples are bad; they are left out of the last fit, whose uncertainties are
// then those of plain least squares.

/** Beyond this many deviations a sample counts only by its distance: 95 % efficient if all are good (Huber 1964). */
const bend = 1.345;
/** A sample is bad beyond this many deviations: not one in a million of normal scatter. */
const badFrom = 5;
/** If more than this share are bad, none is left out: the model is wrong, or the capture. */
const fewest = 0.1;
/** Standard deviation of normal scatter over its median distance from zero: 1 / 0.6745. */
const byMedian = 1.4826;

/** The golden section: its multiples fill a step evenly. */
const golden = (Math.sqrt(5) - 1) / 2;

/**
 * The deviation of misses from their median size, which a few bad ones do not move.
 * @param least that of a digital scale, its step over the root of twelve (JCGM 100:2008, F.2.2.1)
 */
export function steadyDeviation(misses: Float64Array, least: number): number {
  const plain = byMedian * medianSize(misses);
  const step = least * Math.sqrt(12);
  if (plain >= step) return plain;
  // On a level most samples may show the same number, whose misses have no median size; spread over the step, they have one again.
  const spread = misses.map((miss, i) => miss + step * (((i * golden) % 1) - 0.5));
  return Math.sqrt(Math.max((byMedian * medianSize(spread)) ** 2 - least ** 2, least ** 2));
}

function medianSize(misses: Float64Array): number {
  const sizes = misses.map(Math.abs).sort();
  return sizes[sizes.length >> 1];
}

/** Factors on the misses that make their squares count as in Huber's fit. */
export function huberFactors(misses: Float64Array, deviation: number): Float64Array {
  const from = bend * deviation;
  return misses.map((miss) => (Math.abs(miss) <= from ? 1 : Math.sqrt(from / Math.abs(miss))));
}

/** Indices of the good samples; undefined if all are good, or too many are bad. */
export function goodOnes(misses: Float64Array, deviation: number): Uint32Array | undefined {
  const good = new Uint32Array(misses.length);
  let count = 0;
  misses.forEach((miss, i) => {
    if (Math.abs(miss) <= badFrom * deviation) good[count++] = i;
  });
  const bad = misses.length - count;
  return bad === 0 || bad > fewest * misses.length ? undefined : good.slice(0, count);
}
