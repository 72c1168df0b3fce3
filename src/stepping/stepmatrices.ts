// One step size in one combination of modes. Both methods give increments (Δx = ...), so that steps much shorter than any
// time constant lose no digits.
//
//   trapezoid   S = (I − hA/2)⁻¹       Δx = S [ hA x0 + hB (u0 + u1)/2 + D (u1 − u0) ]
//   TR-BDF2     R = (I − γ/2·hA)⁻¹     γ = 2 − √2 gives both stages this one matrix
//               (Bank et al., IEEE Trans. CAD 4(4), 1985; Hosea & Shampine, Appl. Numer. Math. 20, 1996)
//               xγ − x0 = R [ γhA x0 + γhB (u0 + uγ)/2 + D (uγ − u0) ]
//               x1 − x0 = R [ c1 (xγ − x0) + D (u1 − u0) − c1 D (uγ − u0) + c2 h (A x0 + B u1) ]
//               c1 = 1/(γ(2−γ)), c2 = (1−γ)/(2−γ) = γ/2
//
// Both are of order 2, and their error is known from the equations: k3 h³ x‴ + k4 h⁴ x⁗ + …, with k3, k4 from the series of
// the method minus that of the exponential. Stiff states that have died out leave rounding in x‴ which A² magnifies, so x‴
// is filtered as Hosea & Shampine do: what the step damps does not count. For TR-BDF2 the filter is
//
//   R³ (I + a hA) e,     e = k3 h³ R² x‴,     a = k4/k3 − 5γ/2
//
// which is right to h⁴. The unfiltered e judges the step, since it grows with h without bound; the filtered one is
// subtracted. That leaves a step of order 4 whose factor stays within the unit circle left of the imaginary axis, falls to
// 0 for stiff states and is positive on the real axis.

/** First stage of a TR-BDF2 step as a share of it. */
export const gamma = 2 - Math.sqrt(2);
/** Weights of its second stage. */
export const c1 = 1 / (gamma * (2 - gamma));
export const c2 = gamma / 2;

// The series of TR-BDF2: its term in zⁿ is (n c1 γ + c2) qⁿ⁻¹ with q = γ/2.
const q = gamma / 2;
const term = (n: number, power: number): number => (n * c1 * gamma + c2) * power;
/** The error of TR-BDF2 in h³ x‴. */
export const third = term(3, q * q) - 1 / 6;
const fourth = term(4, q * q * q) - 1 / 24;
/** Its error in h⁴ x⁗, as a share of that. */
export const next = fourth / third;
/** The factor of hA in the filter. */
export const bend = next - 5 * q;

/** The remaining error of the mended step is about this share of (hAR)² e, doubled to be safe. */
export const still = 1 / 28;

/** Levels of the sources at the start, at γ of the step, and at its end. */
export interface StepLevels {
  readonly early: Float64Array;
  /** Used by TR-BDF2 only. */
  readonly middle: Float64Array;
  readonly late: Float64Array;
}

/** The matrices of a step size. Outputs are overwritten; nothing is allocated. */
export interface StepMatrices {
  /** x1 = x + Δx, by TR-BDF2 (`damped`) or by the trapezoid. */
  step(x: Float64Array, levels: StepLevels, damped: boolean, x1: Float64Array): void;
  /** out += the part of Δx that is linear in x: M x. */
  linear(x: Float64Array, damped: boolean, out: Float64Array): void;
  /** out = e, the error of a step, from x‴ at its start. */
  error(third: Float64Array, damped: boolean, out: Float64Array): void;
  /** out = the correction to subtract from a TR-BDF2 step with error e. */
  mend(e: Float64Array, out: Float64Array): void;
  /** out = about the error that is left then. */
  rest(e: Float64Array, out: Float64Array): void;
  /** Rv in place of v. */
  damp(v: Float64Array): void;
}
