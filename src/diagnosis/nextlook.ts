// Where to look next: where a look is expected to split the remaining faults best. The gain is given in bits (C. E. Shannon, Bell
// System Technical Journal 27, 1948); looks are ordered by the entropy of order 3/2 (A. Rényi, Proc. 4th Berkeley Symposium,
// 1961), which gives large groups more weight: they are what takes more than a few looks. One look with an oscilloscope shows floor,
// peak, mean and swing of a trace at once. As long as single figures are read, the one figure that tells most is advised, and
// beside it what else the same look shows.
import { logarithm } from "../base/powers.js";
import { type Accusation, type Foreseen, levelOf } from "./accused.js";
import { divisionOf, type Gain, gainOf, type Instrument, type Sighted, type Ways } from "./lookgain.js";
import type { SymptomTable } from "./symptomtable.js";
import { type Ahead, nextBest, stepsOf } from "./twolooks.js";

/** Somewhere to look. Plain data. */
export interface NextLook {
  /** The case in which to look; empty for the design as drawn. */
  readonly case: string;
  /** What to look at: a place, or a part with `.current`. */
  readonly of: string;
  /** What to measure there: the figure that tells most by itself. */
  readonly what: string;
  /** All that one look with an oscilloscope shows there and that is not yet read, `what` among it: phrases as in readings. */
  readonly figures: readonly string[];
  /** SI unit of what is measured. */
  readonly unit: string;
  /** Information expected from this figure, bits, or, where captures are read, from all levels of the trace. */
  readonly gain: number;
  /** Information expected from all figures together, bits. */
  readonly together: number;
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
/** So many looks are followed by the best look after them, as long as that takes no more steps of reckoning than these. */
const [followed, mostSteps] = [12, 5e6];
/** What is told at once counts for so much more than what the next look tells: it may make that one needless. */
const sooner = 1.5;
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
  readonly unread: readonly number[];
  readonly all: readonly number[];
  readonly levels: boolean;
  /** What is asked of it: all that is unread, or one figure. */
  readonly columns: readonly number[];
}

/** What is known so far. */
export interface LookState {
  /** The faults that are not ruled out. */
  readonly left: readonly Remaining[];
  /** The size of what a column shows where nothing has failed. */
  readonly usual: (column: number) => number;
  /** Columns that have been read. */
  readonly done: ReadonlySet<number>;
}

/** The places to look at next, best first, one look for each place and case. */
export function nextLooks(
  { columns }: Pick<SymptomTable, "columns">,
  { left, usual, done }: LookState,
  instrument: Instrument,
): NextLook[] {
  if (left.length < 2) return [];
  const entropy = entropyOf(left.map(weightOf));
  const sights = new Sights(left, usual);
  const divide = (all: readonly number[], of: readonly number[]) =>
    divisionOf(sights.of(all, of), instrument);
  const captures = readsCaptures(columns, done);
  const found: Weighed[] = [];
  for (const look of looksAt(columns, done)) {
    const asks = captures ? [withoutSwing(look.columns, columns)] : look.columns.map((c) => [c]);
    for (const asked of asks) {
      const division = divide(asked, look.all);
      const gain = gainOf(division, sights);
      const cost = look.levels ? 0 : longer;
      if (gain.bits > least)
        found.push({
          look: captures ? look : { ...look, columns: asked },
          division,
          gain,
          cost,
          worth: gain.split - cost,
        });
    }
  }
  return ordered(found, sights)
    .slice(0, named)
    .map(({ look, gain: { bits } }) => {
      let [column, most] = [look.columns[0], Number.NEGATIVE_INFINITY];
      for (const c of look.columns) {
        const alone = look.columns.length === 1 ? 0 : gainOf(divide([c], look.all), sights).bits;
        if (alone > most + same) [column, most] = [c, alone];
      }
      const { what, unit } = columns[column];
      const figures = look.unread.map((c) => columns[c].what);
      const gain = Math.min(entropy, bits);
      const whole = gainOf(divide(withoutSwing(look.unread, columns), look.all), sights).bits;
      const together = Math.min(entropy, Math.max(gain, whole));
      const expected = left.slice(0, shown).map(({ fault, ways }) => ({
        fault,
        value: ways[0].at(column)?.value ?? Number.NaN,
      }));
      const head = { case: look.case, of: look.of, what, unit, figures };
      return { ...head, gain, together, left: Math.max(0, entropy - gain), expected };
    });
}

/** A look, and what it tells. */
interface Weighed extends Ahead {
  readonly look: Look;
  readonly gain: Gain;
  /** What it is ordered by, bits. */
  readonly worth: number;
}

/** The best look at each place in each case, best first. */
function ordered(found: readonly Weighed[], ways: Ways): Weighed[] {
  const byWorth = (a: Weighed, b: Weighed) => b.worth - a.worth || a.look.all[0] - b.look.all[0];
  const best = new Map<string, Weighed>();
  for (const one of found) {
    const key = `${one.look.case}\n${one.look.of}`;
    if (one.worth > (best.get(key)?.worth ?? Number.NEGATIVE_INFINITY) + same) best.set(key, one);
  }
  const all = [...best.values()].sort(byWorth);
  const first = all.slice(0, followed);
  let room = mostSteps;
  const ahead: Weighed[] = [];
  for (const one of first) {
    const others = found.filter(({ look }) => !look.columns.some((c) => one.look.columns.includes(c)));
    room -= stepsOf(one.division, others, ways);
    if (room < 0) break;
    ahead.push({ ...one, worth: sooner * one.worth + nextBest(one.division, others, ways) });
  }
  return [...ahead.sort(byWorth), ...all.slice(ahead.length)];
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
      if (!done.has(c)) found.push({ case: where, of, columns: [c], unread: [c], all: [c], levels: false });
      continue;
    }
    const key = `${where}\n${of}`;
    let trace = traces.get(key);
    if (!trace) {
      trace = { all: [], columns: [] };
      traces.set(key, trace);
      found.push({ case: where, of, ...trace, unread: trace.columns, levels: true });
    }
    trace.all.push(c);
    if (!done.has(c)) trace.columns.push(c);
  }
  return found.filter((look) => look.columns.length > 0);
}

/** What the remaining faults show. */
class Sights implements Ways {
  private readonly ways: readonly RemainingWay[];
  readonly faults: readonly number[];
  readonly weights: Float64Array;
  /** By column, by way. */
  private readonly seen = new Map<number, readonly (Foreseen | undefined)[]>();
  /** By the columns of a trace, by way. */
  private readonly sizes = new Map<readonly number[], Float64Array>();

  constructor(
    left: readonly Remaining[],
    private readonly usual: (column: number) => number,
  ) {
    this.ways = left.flatMap(({ ways }) => ways);
    this.faults = left.flatMap(({ ways }, fault) => ways.map(() => fault));
    this.weights = Float64Array.from(this.ways, ({ weight }) => weight);
  }

  /** What each shows in some columns. @param trace the columns whose largest value sets the instrument's range */
  of(columns: readonly number[], trace: readonly number[]): Sighted {
    const sizes = this.sizes.get(trace) ?? this.largest(trace);
    this.sizes.set(trace, sizes);
    const usual = Math.max(0, ...trace.map((c) => this.usual(c)));
    return { shows: columns.map((c) => this.column(c)), sizes, usual };
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
