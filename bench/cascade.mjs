// The exact answer for stages in a row, none of which is felt before it: x' = A x + b u with A lower triangular and no
// two rates alike, and u straight between its corners. In its own modes each is a scalar equation, of which the answer
// over a straight stretch is e^(lambda t) z + c (u phi1 + u' phi2) (any textbook of linear systems). Nothing of the
// simulation is used, so it can judge both the simulation and its peer.
export class Cascade {
  /** @param a rows of A, lower triangular; @param b column of b */
  constructor(a, b) {
    const n = b.length;
    this.rates = a.map((row, i) => row[i]);
    // Column k is the mode of rate k: 1 at place k, and below it what that drives.
    this.modes = a.map(() => new Array(n).fill(0));
    for (let k = 0; k < n; k++) {
      this.modes[k][k] = 1;
      for (let i = k + 1; i < n; i++) {
        let sum = 0;
        for (let j = k; j < i; j++) sum += a[i][j] * this.modes[j][k];
        this.modes[i][k] = sum / (this.rates[k] - this.rates[i]);
      }
    }
    this.drive = this.apart(b);
  }

  /** States as a sum of modes. */
  apart(x) {
    const z = [];
    x.forEach((value, i) => {
      z.push(value - z.reduce((sum, m, k) => sum + this.modes[i][k] * m, 0));
    });
    return z;
  }

  /** A sum of modes as states. */
  together(z) {
    return this.modes.map((row) => row.reduce((sum, m, k) => sum + m * z[k], 0));
  }

  /** The modes a time t on, where the source stands at u and rises by so much a second. */
  after(z, t, u, rise) {
    return z.map((value, k) => {
      const rate = this.rates[k];
      const p = rate * t;
      const first = Math.expm1(p) / rate;
      // The difference would lose its figures where little happens.
      const second =
        Math.abs(p) < 1e-3 ? t * t * (1 / 2 + p / 6 + (p * p) / 24 + p ** 3 / 120) : (first - t) / rate;
      return value * Math.exp(p) + this.drive[k] * (u * first + rise * second);
    });
  }

  /** States at instants in rising order, by state. @param corners pairs of an instant and a level, from the start on */
  wave(start, corners, at) {
    const out = this.rates.map(() => new Float64Array(at.length));
    let z = this.apart(start);
    let next = 0;
    for (let i = 0; i + 3 < corners.length && next < at.length; i += 2) {
      const [from, u, to, v] = corners.subarray(i, i + 4);
      const rise = (v - u) / (to - from);
      for (; next < at.length && at[next] <= to; next++) {
        const x = this.together(this.after(z, at[next] - from, u, rise));
        for (let k = 0; k < out.length; k++) out[k][next] = x[k];
      }
      z = this.after(z, to - from, u, rise);
    }
    return out;
  }
}
