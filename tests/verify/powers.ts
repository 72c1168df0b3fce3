// exp(A h 2^k) − 1 for k = 0, 1, 2, …, for the walk that the march is held against: by Taylor's series and doubling, in
// pairs of doubles, so that nothing slow is lost beside what is fast however often it is doubled. It shares no line with
// the march. Products and sums carry their own error along: T. Ogita, S. Rump & S. Oishi, Accurate sum and dot product,
// SIAM J. Sci. Comput. 26(6), 2005.

/** @returns rounded matrices, n × n, row by row, each for twice the time of the one before it */
export function powers(A: Float64Array, n: number, h: number, count: number): Float64Array[] {
  const X = pair(n);
  for (let i = 0; i < A.length; i++) {
    X.high[i] = A[i] * h;
    X.low[i] = lost(A[i], h, X.high[i]);
  }
  let E: Pairs = { high: X.high.slice(), low: X.low.slice() };
  let term = X;
  for (let k = 2; k <= 24; k++) {
    term = product(term, X, n);
    let [most, whole] = [0, 0];
    for (let i = 0; i < A.length; i++) {
      const share = term.high[i] / k;
      const rest = term.high[i] - share * k - lost(share, k, share * k);
      term.low[i] = (rest + term.low[i]) / k;
      term.high[i] = share;
      most = Math.max(most, Math.abs(share));
      whole = Math.max(whole, Math.abs(X.high[i]));
    }
    E = plus(E, term);
    if (most <= whole * 2 ** -100) break;
  }
  const out = [E.high];
  while (out.length < count) {
    E = plus(plus(product(E, E, n), E), E);
    out.push(E.high);
  }
  return out;
}

interface Pairs {
  readonly high: Float64Array;
  readonly low: Float64Array;
}

const pair = (n: number): Pairs => ({ high: new Float64Array(n * n), low: new Float64Array(n * n) });

/** What a · b lost when it was rounded to p (G. Veltkamp's halves). */
function lost(a: number, b: number, p: number): number {
  const [s, t] = [134217729 * a, 134217729 * b];
  const [a1, b1] = [s - (s - a), t - (t - b)];
  return (a - a1) * (b - b1) - (p - a1 * b1 - (a - a1) * b1 - a1 * (b - b1));
}

function product(a: Pairs, b: Pairs, n: number): Pairs {
  const out = pair(n);
  for (let i = 0; i < n; i++)
    for (let k = 0; k < n; k++) {
      const [f, g] = [a.high[i * n + k], a.low[i * n + k]];
      if (f === 0 && g === 0) continue;
      for (let j = 0; j < n; j++) {
        const v = b.high[k * n + j];
        if (v === 0) continue;
        const at = i * n + j;
        const term = f * v;
        const before = out.high[at];
        const sum = before + term;
        const part = sum - before;
        out.high[at] = sum;
        out.low[at] +=
          before - (sum - part) + (term - part) + lost(f, v, term) + (f * b.low[k * n + j] + g * v);
      }
    }
  return settled(out);
}

function plus(a: Pairs, b: Pairs): Pairs {
  const out = { high: new Float64Array(a.high.length), low: new Float64Array(a.high.length) };
  for (let i = 0; i < a.high.length; i++) {
    const sum = a.high[i] + b.high[i];
    const part = sum - a.high[i];
    out.high[i] = sum;
    out.low[i] = a.high[i] - (sum - part) + (b.high[i] - part) + (a.low[i] + b.low[i]);
  }
  return settled(out);
}

function settled(p: Pairs): Pairs {
  for (let i = 0; i < p.high.length; i++) {
    const sum = p.high[i] + p.low[i];
    p.low[i] -= sum - p.high[i];
    p.high[i] = sum;
  }
  return p;
}
