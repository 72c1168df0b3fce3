// Whether a settled state is a balance: one that the least disturbance leaves, as a needle on its tip. Its disturbance grows by
// the largest eigenvalue of the derivatives of a period's end by its start (Floquet's theorem; J. Guckenheimer, P. Holmes,
// Nonlinear Oscillations, Dynamical Systems, and Bifurcations of Vector Fields, 1983, section 1.5). No real circuit stays there.
import { EigenvalueDecomposition, Matrix } from "ml-matrix";
import type { Sliced } from "../base/slices.js";
import type { Begin } from "../stepping/start.js";
import { residualOf, type Settled, type Shooting, type Shot, sizesOf } from "./shooting.js";

/** A growth over the period up to this is none: what keeps its energy neither grows nor fades, but for rounding. */
const least = 1.001;

/** How far beside a balance the circuit goes on from, as a share of the sizes. */
const aside = 1e-3;
/** States that differ by less than this share of their size are one. */
const alike = 1e-9;

/** How a state leaves a balance. */
interface Departure {
  /** The state that departs the most. */
  readonly state: number;
  /** By how much a disturbance grows over the period. */
  readonly growth: number;
  /** The way it goes, by state, no state by more than its size. */
  readonly way: readonly number[];
}

/** How the state of a shot is left; undefined where what disturbs it fades. */
export function departure({ assembly }: Shooting, shot: Shot): Departure | undefined {
  const n = shot.begin.x.length;
  if (n === 0) return undefined;
  const sizes = sizesOf(shot, assembly).map((s) => s || 1);
  // In units of their sizes, so that volts and amperes compare.
  const scaled = new Matrix(n, n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) scaled.set(i, j, (shot.tangent.get(i, j) * sizes[j]) / sizes[i]);
  // No eigenvalue is larger than all entries of a row together.
  const most = scaled.norm("max");
  if (n * most <= least) return undefined;
  // What grows beyond all numbers departs whichever way it is pushed.
  if (!Number.isFinite(most * most)) {
    const state = scaled.to2DArray().findIndex((row) => !row.every((v) => Math.abs(v) < most));
    return { state, growth: Number.POSITIVE_INFINITY, way: Array.from(sizes) };
  }
  const { realEigenvalues, imaginaryEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(scaled);
  const by = realEigenvalues.map((re, k) => Math.hypot(re, imaginaryEigenvalues[k]));
  const growth = Math.max(...by);
  if (!(growth > least)) return undefined;
  const vector = eigenvectorMatrix.getColumn(by.indexOf(growth));
  const longest = Math.max(...vector.map(Math.abs));
  const state = vector.findIndex((v) => Math.abs(v) === longest);
  return { state, growth, way: vector.map((v, i) => (v / longest) * sizes[i]) };
}

/**
 * A settled state in place of one that is a balance: where the circuit goes on to from beside it, to either side; none where that
 * is nowhere.
 * @param onward finds the settled state that the circuit comes to from a beginning
 */
export function* staying(
  shooting: Shooting,
  found: Settled,
  onward: (beside: Begin) => Sliced<Settled>,
): Sliced<Settled> {
  const leaves = found.ok ? departure(shooting, found.from) : undefined;
  if (!found.ok || !leaves) return found;
  const reached: (Settled & { ok: true })[] = [];
  for (const side of [1, -1]) {
    const x = found.begin.x.map((v, i) => v + side * aside * leaves.way[i]);
    const settled = yield* onward({ ...found.begin, x });
    if (settled.ok && !departure(shooting, settled.from)) reached.push(settled);
  }
  const [one, other] = reached;
  if (!one) return { ok: false, code: "not-settled", reason: unkept(shooting, leaves) };
  if (!other) return one;
  const apart = one.begin.x.map((v, i) => v - other.begin.x[i]);
  if (residualOf(apart, sizesOf(one.from, shooting.assembly)) <= alike) return one;
  const otherwise = [...one.begin.modes.keys()].filter(
    (part) => one.begin.modes[part] !== other.begin.modes[part] && !one.from.turned.has(part),
  );
  return { ...one, otherwise };
}

function unkept({ assembly }: Shooting, { state, growth }: Departure): string {
  const { members, states } = assembly.system;
  const { name } = members[states[state].part];
  const grows = Number.isFinite(growth) ? `grows ${growth.toPrecision(2)} times` : "grows beyond all numbers";
  return `the periodic state that was found is a balance that no circuit keeps: what disturbs '${name}' the least ${grows} in a period`;
}
