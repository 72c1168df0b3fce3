// Leaves out samples that say nothing new. The march steps as finely as its fastest state wants; a ramp or a gate beside
// it needs a few of these samples only.
// Takes sample arrays with slopes; moves what is kept to their front. Always: a sample goes only where the cubic through
// its neighbours has its value and its slope to within a speck, and where that cubic runs one way, so that nothing that
// a trace shows or a measure reads moves by more than that in a round; ends, jumps and kinks stay.

/** Samples that may be overwritten; all arrays as long as `time`. */
export interface Draft {
  readonly time: Float64Array;
  readonly value: Float64Array;
  /** Derivative just after and just before each sample, per second. */
  readonly slope: Float64Array;
  readonly before: Float64Array;
}

/** Rounds go on while each leaves out at least this share. */
const worthwhile = 1 / 16;

/**
 * Leaves out what the others say.
 * @param count samples in use
 * @param speck how far a value may move, in the unit of the values
 * @returns how many are left, at the front of the arrays
 */
export function spare(draft: Draft, count: number, speck: number): number {
  let left = count;
  for (;;) {
    const next = round(draft, left, speck);
    if (left - next <= left * worthwhile) return next;
    left = next;
  }
}

// Of two neighbours at most one goes, so that what a sample is compared with is still there.
function round({ time, value, slope, before }: Draft, count: number, speck: number): number {
  let kept = 0;
  const keep = (i: number) => {
    time[kept] = time[i];
    value[kept] = value[i];
    slope[kept] = slope[i];
    before[kept++] = before[i];
  };
  for (let i = 0; i < count; i++) {
    const last = kept - 1;
    if (i > 0 && i + 1 < count && said(last, i, i + 1)) {
      keep(i + 1);
      i++;
    } else keep(i);
  }
  return kept;

  /** Whether sample i lies on the cubic from a to b. */
  function said(a: number, i: number, b: number): boolean {
    const h = time[b] - time[a];
    const t = time[i] - time[a];
    if (!(t > 0 && t < h)) return false;
    // A kink.
    if (!(Math.abs(slope[i] - before[i]) * h <= speck)) return false;
    const D = value[b] - value[a];
    const [first, last] = [h * slope[a], h * before[b]];
    const flat = D === 0 && first === 0 && last === 0;
    // One way only: Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980).
    if (!flat && !(D !== 0 && first / D >= 0 && first / D <= 3 && last / D >= 0 && last / D <= 3))
      return false;
    const s = t / h;
    const r = 1 - s;
    const [A, B] = [first - D, last - D];
    const there = value[a] + D * s + s * r * (A * r - B * s);
    if (!(Math.abs(there - value[i]) <= speck)) return false;
    const rise = D + A + s * (3 * (A + B) * s - (4 * A + 2 * B));
    return Math.abs(rise - h * slope[i]) <= speck;
  }
}
