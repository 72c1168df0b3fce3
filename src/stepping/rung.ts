// One step size in one combination of modes. Both methods give increments (Δx = ...), so that a step much shorter
// than any time constant loses nothing.
//
//   trapezoid   S = (I − hA/2)⁻¹       Δx = S [ hA x0 + hB (u0 + u1)/2 + D (u1 − u0) ]
//   TR-BDF2     R = (I − γ/2·hA)⁻¹     γ = 2 − √2 gives both stages this one matrix
//               (Bank et al., IEEE Trans. CAD 4(4), 1985; Hosea & Shampine, Appl. Numer. Math. 20, 1996)
//               xγ − x0 = R [ γhA x0 + γhB (u0 + uγ)/2 + D (uγ − u0) ]
//               x1 − x0 = R [ c1 (xγ − x0) + D (u1 − u0) − c1 D (uγ − u0) + c2 h (A x0 + B u1) ]
//               c1 = 1/(γ(2−γ)), c2 = (1−γ)/(2−γ) = γ/2
//
// The local error of the trapezoid is h³/12·x‴. Stiff states that have died out leave rounding in x‴ which A²
// blows up, so it is filtered with S² as Hosea & Shampine do: what the step damps does not count.

/** First stage of a TR-BDF2 step as a share of it. */
export const gamma = 2 - Math.sqrt(2);
/** Weights of its second stage. */
export const c1 = 1 / (gamma * (2 - gamma));
export const c2 = gamma / 2;

/** Error constant of TR-BDF2, (−3γ² + 4γ − 2)/(12(2 − γ)) (Bank et al. 1985), over that of the trapezoid, 1/12. */
export const errorShare = (3 * gamma * gamma - 4 * gamma + 2) / (2 - gamma);

/** Levels of the sources at the start, at γ of the step, and at its end. */
export interface Levels {
  readonly early: Float64Array;
  /** Looked at by TR-BDF2 only. */
  readonly middle: Float64Array;
  readonly late: Float64Array;
}

/** A step size ready to be used. Outputs are overwritten; nothing is allocated. */
export interface Rung {
  /** x1 = x + Δx, by TR-BDF2 (`damped`) or by the trapezoid. */
  step(x: Float64Array, levels: Levels, damped: boolean, x1: Float64Array): void;
  /** out += the part of Δx that is linear in x: M x. */
  linear(x: Float64Array, damped: boolean, out: Float64Array): void;
  /** out = h³/12 · S² x‴: the filtered local error. */
  error(third: Float64Array, out: Float64Array): void;
  /** out = (I − hA/8)⁻⁸ e: how much of an error is left this much later. */
  fade(e: Float64Array, out: Float64Array): void;
}
