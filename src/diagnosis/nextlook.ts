// Where to look next: where a look is expected to split the remaining faults best. The gain is given in bits (C. E. Shannon, Bell
// System Technical Journal 27, 1948); looks are ordered by the entropy of order 3/2 (A. Rényi, Proc. 4th Berkeley Symposium,
// 1961), which gives large groups more weight: they are what takes more than a few looks. A capture shows floor, peak, mean and
// swing of a trace at once; as long as single figures are read, the one figure that tells most is advised.
import { logarithm } from "../base/powers.js";
import { type Accusation, type Foreseen, levelOf } from "./accused.js";
import { type Gain, gainOf, type Instrument, type Sighted } from "./lookgain.js";
import type { SymptomTable } from "./symptomtable.js";

/** Somewhere to look. Plain data. */
export interface NextLook {
  /** The case in which to look; empty for the design as drawn. */
  readonly case: string;
  /** What to look at: a place, or a part with `.current`. */
  readonly of: string;
  /** What to measure there: the figure that tells most by itself. */
  readonly what: string;
  /** SI unit of what is measured. */
  readonly unit: string;
  /** Information expected from this figure, bits, or, where captures are read, from all levels of the trace. */
  readonly gain: number;
  /** Entropy expected to be left, bits. */
  readonly left: number;
  /** What the likeliest faults show of `what`. */
  readonly expected: readonly ExpectedReading[];
}

/** What an instrument would show with a fault. */
export interface ExpectedReading {
  /** The fault. */
  readonly fault: Accusation;
  /** What is shown, SI units. */
  readonly value: number;
}

/** One of the remaining faults. */
export interface Remaining {
  readonly fault: Accusation;
  /** The ways in which it may be present, for a value by its factor; the weights of all ways of all faults add up to 1. */
  readonly ways: readonly RemainingWay[];
}

/** One way in which a fault may be present. */
export interface RemainingWay {
  readonly weight: number;
  /** What it shows in a column. */
  readonly at: (column: number) => Foreseen | undefined;
}

/** The weight of one of the remaining faults. */
export const weightOf = ({ ways }: Remaining): number => ways.reduce((sum, { weight }) => sum + weight, 0);

/** Less than this is not worth a look, bits. */
const least = 0.02;
/** Anything but a level of a trace takes longer to measure, so it must tell this much more, bits. */
const longer = 0.25;
/** Differences of information below this are rounding, bits. */
const same = 1e-6;
/** So many of the likeliest faults are shown. */
const shown = 4;
/** So many places to look at are named. */
const named = 5;

/** Entropy of weights that add up to 1, bits. */
export function entropyOf(weights: readonly number[]): number {
  let sum = 0;
  for (const w of weights) if (w > 0) sum -= w * logarithm(w);
  return sum / Math.LN2;
}

/** What one look shows. */
interface Look {
  readonly case: string;
  readonly of: string;
  /** For a trace its levels, else one other measure: those not yet read, and all. */
  readonly columns: readonly number[];
  readonly all: readonly number[];
  readonly levels: boolean;
}

/** The places to look at next, best first, one look for each place and case. @param done columns that have been read */
export function nextLooks(
  { columns }: Pick<SymptomTable, "columns">,
  left: readonly Remaining[],
  done: ReadonlySet<number>,
  instrument: Instrument,
): NextLook[] {
  if (left.length < 2) return [];
  const entropy = entropyOf(left.map(weightOf));
  const sights = new Sights(left);
  const told = (all: readonly number[], of: readonly number[]) => gainOf(sights.of(all, of), instrument);
  const captures = readsCaptures(columns, done);
  const best = new Map<string, { readonly look: Look; readonly gain: Gain; readonly worth: number }>();
  for (const look of looksAt(columns, done)) {
    const asks = captures ? [withoutSwing(look.columns, columns)] : look.columns.map((c) => [c]);
    const key = `${look.case}\n${look.of}`;
    for (const asked of asks) {
      const gain = told(asked, look.all);
      const worth = gain.split - (look.levels ? 0 : longer);
      const shown = captures ? look : { ...look, columns: asked };
      if (gain.bits > least && worth > (best.get(key)?.worth ?? Number.NEGATIVE_INFINITY) + same)
        best.set(key, { look: shown, gain, worth });
    }
  }
  return [...best.values()]
    .sort((a, b) => b.worth - a.worth || a.look.all[0] - b.look.all[0])
    .slice(0, named)
    .map(({ look, gain: { bits } }) => {
      let [column, most] = [look.columns[0], Number.NEGATIVE_INFINITY];
      for (const c of look.columns) {
        const alone = look.columns.length === 1 ? 0 : told([c], look.all).bits;
        if (alone > most + same) [column, most] = [c, alone];
      }
      const { what, unit } = columns[column];
      const gain = Math.min(entropy, bits);
      const expected = left.slice(0, shown).map(({ fault, ways }) => ({
        fault,
        value: ways[0].at(column)?.value ?? Number.NaN,
      }));
      return { case: look.case, of: look.of, what, unit, gain, left: Math.max(0, entropy - gain), expected };
    });
}

/** Whether captures are read, not single figures: three levels of one trace come from a capture. */
function readsCaptures(columns: SymptomTable["columns"], done: ReadonlySet<number>): boolean {
  const levels = new Map<string, number>();
  for (const c of done) {
    const key = `${columns[c].case}\n${levelOf(columns[c])}`;
    levels.set(key, (levels.get(key) ?? 0) + (levelOf(columns[c]) === undefined ? 0 : 1));
  }
  return Math.max(0, ...levels.values()) > 2;
}

/** A swing is the peak less the floor, and tells no more than these two. */
function withoutSwing(look: readonly number[], columns: SymptomTable["columns"]): readonly number[] {
  const has = (words: string) => look.some((c) => columns[c].what.startsWith(`${words} of `));
  if (look.length < 3 || !has("floor") || !has("peak")) return look;
  return look.filter((c) => !columns[c].what.startsWith("swing of "));
}

/** All looks that show something not yet read. */
function looksAt(columns: SymptomTable["columns"], done: ReadonlySet<number>): Look[] {
  const traces = new Map<string, { readonly all: number[]; readonly columns: number[] }>();
  const found: Look[] = [];
  for (const [c, { case: where, what }] of columns.entries()) {
    const of = levelOf({ what }) ?? / of (\S+)/.exec(what)?.[1] ?? what;
    if (levelOf({ what }) === undefined) {
      if (!done.has(c)) found.push({ case: where, of, columns: [c], all: [c], levels: false });
      continue;
    }
    const key = `${where}\n${of}`;
    let trace = traces.get(key);
    if (!trace) {
      trace = { all: [], columns: [] };
      traces.set(key, trace);
      found.push({ case: where, of, ...trace, levels: true });
    }
    trace.all.push(c);
    if (!done.has(c)) trace.columns.push(c);
  }
  return found.filter((look) => look.columns.length > 0);
}

/** What the remaining faults show. */
class Sights {
  private readonly ways: readonly RemainingWay[];
  private readonly faults: readonly number[];
  private readonly weights: Float64Array;
  /** By column, by way. */
  private readonly seen = new Map<number, readonly (Foreseen | undefined)[]>();
  /** By the columns of a trace, by way. */
  private readonly sizes = new Map<readonly number[], Float64Array>();

  constructor(left: readonly Remaining[]) {
    this.ways = left.flatMap(({ ways }) => ways);
    this.faults = left.flatMap(({ ways }, fault) => ways.map(() => fault));
    this.weights = Float64Array.from(this.ways, ({ weight }) => weight);
  }

  /** What each shows in some columns. @param trace the columns whose largest value sets the instrument's range */
  of(columns: readonly number[], trace: readonly number[]): Sighted {
    const sizes = this.sizes.get(trace) ?? this.largest(trace);
    this.sizes.set(trace, sizes);
    return { faults: this.faults, weights: this.weights, shows: columns.map((c) => this.column(c)), sizes };
  }

  private largest(trace: readonly number[]): Float64Array {
    const shows = trace.map((c) => this.column(c));
    const sizes = new Float64Array(this.ways.length);
    for (const column of shows)
      for (let way = 0; way < sizes.length; way++) {
        const size = Math.abs(column[way]?.value ?? 0);
        if (size > sizes[way]) sizes[way] = size;
      }
    return sizes;
  }

  private column(c: number): readonly (Foreseen | undefined)[] {
    const seen = this.seen.get(c) ?? this.ways.map(({ at }) => at(c));
    this.seen.set(c, seen);
    return seen;
  }
}
