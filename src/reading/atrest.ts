// Currents at rest that are lost in the rounding of a state: 1 Tohm behind 1 mohm carries 5 pA, and the capacitor between them
// stands 5e-15 V below its supply, which a double of 5 V cannot hold. For a run that starts at rest the true current is computed
// in double-doubles; parts whose reading is off by more than a share of it are reported. Where no current truly flows, the
// reading is rounding and misleads no one.
import type { Assembly } from "../assembly/assemble.js";
import { type DoubleDouble, doubleDoubles as dd } from "../equations/arithmetic.js";
import type { Condensed } from "../equations/condense.js";
import { probeOf } from "./probe.js";
import type { Recording } from "./recording.js";
import { drawTraces } from "./tracing.js";

/** The relative error of a current that goes unreported. */
const allowed = 1e-4;
/** Terms that cancel to no less than this share leave enough digits. */
const cancels = 1e-10;
/** Below this share of its terms a current is zero. With steered elements only rounding is known below the second. */
const nothing = 1e-25;
const nothingSteered = 1e-12;
/** Most states for which this is done: a solution costs their cube. */
const most = 32;

/** Parts whose current at the start reads as nothing but rounding, though one flows; by index. */
export function lostAtRest(assembly: Assembly, recording: Recording): number[] {
  const { system } = assembly;
  const { samples } = recording;
  if (samples.count === 0 || system.sparse) return [];
  const { equations: eq } = system.combinations[samples.modes[0]];
  const { nx, nu, dependent, elements } = eq;
  if (nx === 0 || nx > most || dependent.length > 0) return [];
  const [x, u] = [new Float64Array(nx), new Float64Array(nu)];
  samples.read(0, x);
  assembly.inputs().place(0, 1, { u, du: new Float64Array(nu) });
  const z = [...x, ...u];
  // A part of several elements reads the sum of some of their currents, so it is left out.
  const alone = (part: number) => elements.filter((e) => e.part === part).length === 1;
  const small = elements.flatMap((e, i) => {
    if (e.type === "capacitor" || e.type === "inductor" || !alone(e.part)) return [];
    const row = rowOf(eq, i);
    const { sum, size } = summed(row, z);
    return Math.abs(sum) < cancels * size ? [{ part: e.part, i, row, size }] : [];
  });
  const rest = small.length > 0 ? resting(eq, u) : undefined;
  // The run does not start at rest, or the state at rest is unknown.
  if (!rest?.every((v, k) => Math.abs(dd.value(v) - x[k]) <= 1e-9 * Math.abs(x[k]))) return [];
  const least = elements.some(({ steer }) => steer) ? nothingSteered : nothing;
  // For very quick states a trace is more accurate than its row.
  const read = (part: number) => {
    const { name } = assembly.design.parts[part];
    const { probe, unit } = probeOf(assembly.design, `${name}.current`);
    const [trace] = drawTraces(assembly, recording, [{ name, unit, probe }], {
      parts: [{ from: 0, to: samples.ticks[Math.min(1, samples.count - 1)] }],
    });
    return trace.value[0];
  };
  const found = small.filter(({ part, i, row, size }) => {
    const { at, of } = eq.currentRest(i);
    const left = new Map(at.map((j, p) => [j, of[p]]));
    let exact = dd.zero;
    for (const [j, v] of row) {
      const factor = dd.add(dd.of(v), dd.of(left.get(j) ?? 0));
      exact = dd.add(exact, dd.times(factor, j < nx ? rest[j] : dd.of(u[j - nx])));
    }
    const flows = dd.value(exact);
    return (
      Math.abs(flows) > least * size &&
      Math.abs(Math.abs(read(part)) - Math.abs(flows)) > allowed * Math.abs(flows)
    );
  });
  return [...new Set(found.map(({ part }) => part))];
}

/** The current of an element over x | u: columns and factors. */
function rowOf(eq: Condensed, i: number): [number, number][] {
  const { X, U } = eq.current(i);
  return [...X, ...U].flatMap((v, j): [number, number][] => (v === 0 ? [] : [[j, v]]));
}

function summed(row: readonly (readonly [number, number])[], z: readonly number[]) {
  let [sum, size] = [0, 0];
  for (const [j, v] of row) {
    sum += v * z[j];
    size += Math.abs(v * z[j]);
  }
  return { sum, size };
}

/** The states at rest, −A⁻¹ B u, by elimination in double-doubles; undefined where A has no inverse. */
function resting(eq: Condensed, u: Float64Array): DoubleDouble[] | undefined {
  const { nx, nu, A, B, remainder } = eq;
  const pair = (v: number, left: number) => dd.add(dd.of(v), dd.of(left));
  const rows = Array.from({ length: nx }, (_, i) => {
    let right = dd.zero;
    for (let s = 0; s < nu; s++) {
      const b = pair(B[i * nu + s], remainder.B[i * nu + s]);
      right = dd.add(right, dd.times(b, dd.of(-u[s])));
    }
    return [...Array.from({ length: nx }, (_, j) => pair(A[i * nx + j], remainder.A[i * nx + j])), right];
  });
  for (let k = 0; k < nx; k++) {
    const size = (row: readonly DoubleDouble[]) =>
      Math.abs(row[k].high) / Math.max(...row.slice(k, nx).map(({ high }) => Math.abs(high)));
    let best = k;
    for (let i = k + 1; i < nx; i++) if (size(rows[i]) > size(rows[best])) best = i;
    [rows[k], rows[best]] = [rows[best], rows[k]];
    if (!(Math.abs(rows[k][k].high) > 0)) return undefined;
    for (let i = k + 1; i < nx; i++) {
      if (rows[i][k].high === 0) continue;
      const factor = dd.negative(dd.over(rows[i][k], rows[k][k]));
      for (let j = k; j <= nx; j++) rows[i][j] = dd.add(rows[i][j], dd.times(factor, rows[k][j]));
    }
  }
  const x = Array<DoubleDouble>(nx).fill(dd.zero);
  for (let k = nx - 1; k >= 0; k--) {
    let sum = rows[k][nx];
    for (let j = k + 1; j < nx; j++) sum = dd.add(sum, dd.negative(dd.times(rows[k][j], x[j])));
    x[k] = dd.over(sum, rows[k][k]);
  }
  return x.every(({ high }) => Number.isFinite(high)) ? x : undefined;
}
