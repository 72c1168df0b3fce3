// A few samples that are bad: a click, a dropped bit, a probe that slipped. Least squares follow them, since they count by their
// square; a fit that lets far samples count by their distance alone does not (P. J. Huber, Robust estimation of a location
// parameter, Ann. Math. Stat. 35 (1964) 73). That fit tells which samples are bad, and these are left out of the last one, whose
// uncertainties are then those of plain least squares.

/** From so many deviations on a sample counts by its distance alone: 95 % efficient where all are good (Huber 1964). */
const bend = 1.345;
/** A sample is bad from so many deviations on: of normal scatter not one in a million. */
const badFrom = 5;
/** More bad ones than this share are no few: the model is wrong, or the capture. */
const fewest = 0.1;
/** The deviation of normal scatter by its median distance from zero: 1 / 0.6745. */
const byMedian = 1.4826;

/** The deviation of misses by their median, which a few bad ones do not move. @param least as a digital scale gives it */
export function steadyDeviation(misses: Float64Array, least: number): number {
  const sizes = misses.map(Math.abs).sort();
  return Math.max(byMedian * sizes[sizes.length >> 1], least);
}

/** By how much each miss is made smaller so that its square counts as Huber has it. */
export function huberFactors(misses: Float64Array, deviation: number): Float64Array {
  const from = bend * deviation;
  return misses.map((miss) => (Math.abs(miss) <= from ? 1 : Math.sqrt(from / Math.abs(miss))));
}

/** Which samples are good; undefined where all are, or where the bad ones are not few. */
export function goodOnes(misses: Float64Array, deviation: number): Uint32Array | undefined {
  const good = new Uint32Array(misses.length);
  let count = 0;
  misses.forEach((miss, i) => {
    if (Math.abs(miss) <= badFrom * deviation) good[count++] = i;
  });
  const bad = misses.length - count;
  return bad === 0 || bad > fewest * misses.length ? undefined : good.slice(0, count);
}
