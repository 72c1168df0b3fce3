// Where to look next: where the reading is expected to tell most, in bits, about which of those left it is (C. E. Shannon, Bell
// System Technical Journal 27, 1948). What a reading tells is the entropy of what it may show less that of its own scatter; of a
// mixture of normal variables that is bounded from below by their distances in pairs (A. Kolchinsky, B. D. Tracey, Entropy 19(7),
// 2017, with Bhattacharyya's distance): exactly the entropy of the classes where those left either show the same or lie far apart.
import { exponential, logarithm } from "../base/powers.js";
import type { Accusation, Foreseen } from "./accused.js";
import type { SymptomTable } from "./symptomtable.js";

/** Somewhere to look. Plain data. */
export interface NextLook {
  /** The case in which to look; empty for the design as drawn. */
  readonly case: string;
  /** What to measure there. */
  readonly what: string;
  /** SI unit of what is measured. */
  readonly unit: string;
  /** Bits that the reading is expected to tell. */
  readonly gain: number;
  /** Entropy that is expected to be left, bits. */
  readonly left: number;
  /** What the likeliest show there. */
  readonly expected: readonly ExpectedReading[];
}

/** What an instrument would show with a fault. */
export interface ExpectedReading {
  /** The fault. */
  readonly fault: Accusation;
  /** What is shown, SI units. */
  readonly value: number;
}

/** One of those left. */
export interface Remaining {
  readonly fault: Accusation;
  /** Weights add up to 1. */
  readonly weight: number;
  /** What it shows in a column. */
  readonly at: (column: number) => Foreseen | undefined;
}

/** An instrument. */
interface Instrument {
  /** The most it is off, as a share of what it shows. */
  readonly accuracy: number;
  /** Steps that it shows the largest of what it may see in. */
  readonly steps: number;
}

/** Less than this is not worth a look, bits. */
const least = 0.02;
/** So many of the likeliest are shown. */
const shown = 4;
/** So many places to look at are named. */
const named = 5;

/** Entropy of weights that add up to 1, bits. */
export function entropyOf(weights: readonly number[]): number {
  let sum = 0;
  for (const w of weights) if (w > 0) sum -= w * logarithm(w);
  return sum / Math.LN2;
}

/** The places to look at next, the best first, one for each place and case. @param done columns that have been read */
export function nextLooks(
  { columns }: Pick<SymptomTable, "columns">,
  left: readonly Remaining[],
  done: ReadonlySet<number>,
  instrument: Instrument,
): NextLook[] {
  if (left.length < 2) return [];
  const entropy = entropyOf(left.map((one) => one.weight));
  const best = new Map<string, { readonly column: number; readonly gain: number }>();
  const seen = columns.map((_, c) => left.map((one) => one.at(c)));
  const scales = scalesOf(columns, seen);
  for (const [c, { case: where, what }] of columns.entries()) {
    if (done.has(c)) continue;
    const gain = Math.min(entropy, gainOf(left, seen[c], scales[c] / instrument.steps, instrument.accuracy));
    const key = `${where}\n${targetOf(what)}`;
    if (gain > Math.max(least, (best.get(key)?.gain ?? 0) + 1e-6)) best.set(key, { column: c, gain });
  }
  return [...best.values()]
    .sort((a, b) => b.gain - a.gain || a.column - b.column)
    .slice(0, named)
    .map(({ column, gain }) => ({
      case: columns[column].case,
      what: columns[column].what,
      unit: columns[column].unit,
      gain,
      left: Math.max(0, entropy - gain),
      expected: left.slice(0, shown).map(({ fault }, i) => ({
        fault,
        value: seen[column][i]?.value ?? Number.NaN,
      })),
    }));
}

function targetOf(what: string): string {
  return / of (\S+)/.exec(what)?.[1] ?? what;
}

/** By column the largest that anything of its trace may show, in its unit: what the instrument is set for. */
function scalesOf(
  columns: SymptomTable["columns"],
  seen: readonly (readonly (Foreseen | undefined)[])[],
): number[] {
  const most = new Map<string, number>();
  const keys = columns.map(({ case: where, what, unit }) => `${where}\n${targetOf(what)}\n${unit}`);
  for (const [c, all] of seen.entries()) {
    let largest = most.get(keys[c]) ?? 0;
    for (const one of all)
      if (one && Number.isFinite(one.value)) largest = Math.max(largest, Math.abs(one.value));
    most.set(keys[c], largest);
  }
  return keys.map((key) => most.get(key) ?? 0);
}

/** Some of those left that show the same. */
interface Shown {
  weight: number;
  readonly value: number;
  readonly variance: number;
}

/** What a reading tells of those left, bits. */
function gainOf(
  left: readonly Remaining[],
  seen: readonly (Foreseen | undefined)[],
  step: number,
  accuracy: number,
): number {
  const groups = new Map<string, Shown>();
  // Where it is not known what one shows, the reading tells nothing of it.
  let known = 0;
  for (const [i, one] of seen.entries()) {
    if (!one) continue;
    const { value, spread, doubt } = one;
    let variance = step ** 2 / 12 + (accuracy * value) ** 2 / 3 + doubt ** 2;
    for (const s of spread) variance += s * s;
    const key = `${value.toPrecision(5)} ${variance.toPrecision(3)}`;
    const group = groups.get(key) ?? { weight: 0, value, variance };
    group.weight += left[i].weight;
    known += left[i].weight;
    groups.set(key, group);
  }
  const all = [...groups.values()];
  if (all.length < 2) return 0;
  // What does not occur is told from all that does.
  const lost = all.filter((g) => Number.isNaN(g.value)).reduce((sum, g) => sum + g.weight, 0);
  const there = all.filter((g) => !Number.isNaN(g.value)).sort((a, b) => a.value - b.value);
  let sum = lost > 0 ? -lost * logarithm(lost / known) : 0;
  for (const [i, one] of there.entries()) {
    let like = one.weight;
    for (const way of [-1, 1])
      for (let k = i + way; k >= 0 && k < there.length; k += way) {
        const both = one.variance + there[k].variance;
        const apart = both > 0 ? (one.value - there[k].value) ** 2 / (4 * both) : Number.POSITIVE_INFINITY;
        if (apart > 20) {
          // Wider ones may still reach here from farther away, but those of one place are much alike.
          if (apart > 200) break;
          continue;
        }
        const breadth = both / (2 * Math.sqrt(one.variance * there[k].variance));
        like += (there[k].weight * exponential(-apart)) / Math.sqrt(breadth);
      }
    sum -= one.weight * logarithm(like / known);
  }
  return sum / Math.LN2;
}
