// A measure that is exactly linear in its values: sources in series, whose voltages add up at the top.
import { compile, type Design } from "../../src/index.js";

/**
 * Sources of 1 V each in series, and a check of their sum.
 * @param words what stands behind each value: `+- 1 V, spread normal`
 * @param limit of the check, e.g. `below 2.5 V`
 */
export function sum(words: readonly string[], limit: string, more = ""): Design {
  const sources = words.map((w, i) => {
    const [top, below] = [i === words.length - 1 ? "top" : `n${i}`, i === 0 ? "ground" : `n${i - 1}`];
    return `voltage v${i} ${top} -> ${below} 1 V ${w}`;
  });
  return compile(`title "Sum"
${more}
${sources.join("\n")}
resistor load top -> ground 1 kohm
run for 1 us
check "sum" value of top at 0.5 us ${limit}
`);
}

/** Share below x of the sum of n even numbers from 0 to 1 (J. O. Irwin and P. Hall, Biometrika 19, 1927). */
export function irwinHall(x: number, n: number): number {
  let total = 0;
  for (let k = 0; k <= Math.floor(x) && k <= n; k++) total += (-1) ** k * choose(n, k) * (x - k) ** n;
  return x >= n ? 1 : x <= 0 ? 0 : total / factorial(n);
}

function factorial(n: number): number {
  return n <= 1 ? 1 : n * factorial(n - 1);
}

function choose(n: number, k: number): number {
  return factorial(n) / (factorial(k) * factorial(n - k));
}

/** Kolmogorov's distance of a sample from a distribution, times the root of its size: above 1.95 once in a thousand. */
export function strangeness(sample: readonly number[], share: (x: number) => number): number {
  const sorted = [...sample].sort((a, b) => a - b);
  const n = sorted.length;
  const distance = Math.max(...sorted.map((v, i) => Math.max(share(v) - i / n, (i + 1) / n - share(v))));
  return distance * Math.sqrt(n);
}
