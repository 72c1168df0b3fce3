// Stairs by chance, and what a pole makes of them: heights that come again or lie a little beside those that were met, lengths that
// differ by some ticks.

export type Complex = readonly [re: number, im: number];
export const times = ([a, b]: Complex, [c, d]: Complex): Complex => [a * c - b * d, a * d + b * c];
export const over = (a: Complex, [c, d]: Complex): Complex =>
  times(a, [c / (c * c + d * d), -d / (c * c + d * d)]);
const plus = (a: Complex, b: Complex): Complex => [a[0] + b[0], a[1] + b[1]];
const power = ([re, im]: Complex): Complex => [Math.exp(re) * Math.cos(im), Math.exp(re) * Math.sin(im)];

/** y' = p y + u, from y on, t later; u is `level` at first and rises by `rise` a second. */
export function later(p: Complex, y: Complex, level: number, rise: number, t: number): Complex {
  // The straight course of the long run: a + b t with b = p b' ..., a = -(level + rise / p) / p, b = -rise / p.
  const b = over([-rise, 0], p);
  const a = over(plus([-level, 0], b), p);
  return plus(plus(a, [b[0] * t, b[1] * t]), times(power([p[0] * t, p[1] * t]), plus(y, [-a[0], -a[1]])));
}

export function chance(seed: number): () => number {
  let state = (seed * 48271) % 2147483647;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}

/** Points of a stair: flat and steep by turns. */
export function stair(next: () => number, count: number, edge: number): (readonly [t: number, v: number])[] {
  const heights = Array.from({ length: 3 }, () => 10 * next() - 5);
  const lengths = Array.from({ length: 2 }, () => edge * (5 + 40 * next()));
  const points: (readonly [number, number])[] = [[0, 0]];
  let t = 0;
  for (let k = 0; k < count; k++) {
    const beside = next() < 0.5 ? 0 : 10 ** (-9 + 8 * next());
    const height = heights[Math.floor(3 * next())] + beside;
    const long = lengths[Math.floor(2 * next())];
    t += edge;
    points.push([t, height]);
    t += long + (next() < 0.5 ? 0 : Math.floor(9 * next()) * 1e-12);
    points.push([t, height]);
  }
  return points;
}
