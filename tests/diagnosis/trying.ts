// Trying a table of symptoms on boards with a known fault: other values within tolerance, drawn by seed; readings as an oscilloscope
// of 8 bits takes them, sample by sample, on a range of the series 1-2-5, from a run of its own. Of what makes the table nothing
// takes part but the march and the laying of a fault.
import { fromNumber, toNumber } from "../../src/base/fraction.js";
import { caseLength, defaultLength } from "../../src/design/length.js";
import { revalued, settableValues } from "../../src/design/revalue.js";
import { windowOf } from "../../src/diagnosis/columns.js";
import { type Suspected, suspectsOf } from "../../src/diagnosis/suspects.js";
import {
  type Design,
  DesignError,
  type Diagnosis,
  diagnose,
  type Reading,
  type Run,
  type SymptomTable,
  simulate,
} from "../../src/index.js";
import { caseOf } from "../../src/judging/goals.js";

/** Samples of a capture. */
const samples = 4000;
/** Steps of 8 bits. */
const steps = 256;

/** A stream of numbers from 0 to below 1 (D. H. Lehmer's, with the multiplier of S. K. Park and K. W. Miller, 1988). */
export function lehmer(seed: number): () => number {
  let x = (seed * 7919 + 1) % 2147483647;
  return () => {
    x = (x * 16807) % 2147483647;
    return x / 2147483647;
  };
}

/** The design with all toleranced values drawn anew. */
export function drawn(design: Design, seed: number): Design {
  const next = lehmer(seed);
  for (let k = 0; k < 10; k++) next();
  const values = [...settableValues(design).values()].filter(
    ({ amount }) => amount.follows === undefined && amount.low.lt(amount.high),
  );
  return revalued(
    design,
    new Map(
      values.map(({ name, amount }) => {
        const [low, high] = [toNumber(amount.low), toNumber(amount.high)];
        return [name, fromNumber(Number((low + next() * (high - low)).toPrecision(6)))];
      }),
    ),
  );
}

/** A board with a fault: what an oscilloscope shows of it where and when one looks. */
export class Board {
  private readonly shown = new Map<string, Reading[]>();
  private readonly runs = new Map<string, Run | undefined>();
  private readonly own: Design;

  constructor(
    private readonly design: Design,
    private readonly fault: Suspected,
    seed: number,
  ) {
    this.own = drawn(design, seed);
  }

  /** Levels of a trace in a case, as a capture of 8 bits has them; undefined where the board cannot be run. */
  readings(target: string, caseName: string): Reading[] | undefined {
    const key = `${caseName} ${target}`;
    const known = this.shown.get(key);
    const run = known ? undefined : this.run(caseName);
    if (!run) return known;
    const { from, to } = windowOf(caseOf(this.own, caseName), run.until);
    const [trace] = run.sketch([target], from, to);
    const next = lehmer(samples);
    const values = Float64Array.from({ length: samples }, (_, k) =>
      trace.at(from + ((k + next()) / samples) * (to - from)),
    );
    const found = quantised(target, caseName, values);
    this.shown.set(key, found);
    return found;
  }

  private run(caseName: string): Run | undefined {
    if (!this.runs.has(caseName)) this.runs.set(caseName, this.made(caseName));
    return this.runs.get(caseName);
  }

  private made(caseName: string): Run | undefined {
    const one = caseOf(this.own, caseName);
    const laid = this.fault.on(one);
    if (!laid) return undefined;
    const drawn = this.design.run.length ?? defaultLength(this.design);
    try {
      const run = simulate(laid, { until: caseName === "" ? drawn : caseLength(one, drawn) });
      return run.status === "complete" ? run : undefined;
    } catch (error) {
      // A circuit that makes no sense shows nothing.
      if (error instanceof DesignError) return undefined;
      throw error;
    }
  }
}

/** What 8 bits show of samples: floor, peak, mean and swing. */
function quantised(target: string, caseName: string, values: Float64Array): Reading[] {
  const largest = values.reduce((most, v) => Math.max(most, Math.abs(v)), 1e-6);
  const decade = 10 ** Math.floor(Math.log10(largest));
  const range = [1, 2, 5, 10].find((r) => r * decade >= largest)! * decade;
  // Both signs on the screen.
  const step = (2 * range) / steps;
  const seen = values.map((v) => Math.round(v / step) * step);
  const [floor, peak] = [Math.min(...seen), Math.max(...seen)];
  const mean = seen.reduce((sum, v) => sum + v, 0) / seen.length;
  return Object.entries({ floor, peak, mean, swing: peak - floor }).map(([words, value]) => ({
    what: `${words} of ${target}`,
    value,
    resolution: step,
    case: caseName,
  }));
}

/** Looks that are allowed where one is advised. */
const mostLooks = 4;

/** What came of the boards. */
export interface Score {
  boards: number;
  /** Boards on which no reading differs by its resolution from those of the same board without the fault. */
  invisible: number;
  /** Boards whose true fault is first or tied first. */
  first: number;
  /** How many faults are tied first, of those. */
  ties: number[];
  /** Boards that are said not to be explained by anything single. */
  unexplained: number;
  /** Boards on which at most four advised readings and none before leave one, or what no reading can split. */
  found: number;
  /** The same after the readings at the places that are tried. */
  after: number;
  /** How many looks it took from nothing, of those. */
  looks: number[];
  /** What went wrong, in words. */
  misses: string[];
}

/** What to try. */
export interface Trying {
  readonly cases: readonly string[];
  readonly targets: readonly string[];
  readonly seeds: readonly number[];
  readonly parts?: readonly string[];
  readonly factors?: readonly number[];
  /** Follows the advice as well. */
  readonly advised: boolean;
  /** Only every so many-th fault. */
  readonly every?: number;
}

/** Tries every single fault. */
export function tryFaults(design: Design, table: SymptomTable, trying: Trying): Score {
  const { cases, targets, seeds, parts, factors, advised, every = 1 } = trying;
  const score: Score = {
    boards: 0,
    invisible: 0,
    first: 0,
    ties: [],
    unexplained: 0,
    found: 0,
    after: 0,
    looks: [],
    misses: [],
  };
  const faults = suspectsOf(design, parts, factors)
    .slice(1)
    .filter((_, i) => i % every === 0);
  const all = (board: Board) =>
    cases.flatMap((name) => targets.flatMap((t) => board.readings(t, name) ?? [undefined]));
  const none = suspectsOf(design)[0];
  const sounds = new Map(seeds.map((seed) => [seed, all(new Board(design, none, seed))]));
  for (const fault of faults)
    for (const seed of seeds) {
      const board = new Board(design, fault, seed);
      const readings = all(board);
      if (readings.includes(undefined)) continue;
      const taken = readings as Reading[];
      const sound = sounds.get(seed)!;
      score.boards++;
      const differs = (r: Reading, i: number) =>
        Math.abs(Number(r.value) - Number(sound[i]!.value)) >
        Math.max(Number(r.resolution), Number(sound[i]!.resolution));
      if (!taken.some(differs)) {
        score.invisible++;
        continue;
      }
      const told = diagnose(table, taken);
      const tied = told.candidates[0].faults;
      if (tied.some((f) => isThat(f, fault))) {
        score.first++;
        score.ties.push(tied.length);
      } else
        score.misses.push(`${fault.name} ${fault.kind} ${fault.factor ?? ""}, seed ${seed}: ${said(told)}`);
      if (!told.explained) score.unexplained++;
      if (advised && followed(table, board, fault, score)) score.found++;
      if (advised && followed(table, board, fault, score, taken)) score.after++;
    }
  return score;
}

/** Whether at most four looks where one is advised, after what was read to begin with, leave the fault alone, or with what no look can split. */
function followed(
  table: SymptomTable,
  board: Board,
  fault: Suspected,
  score: Score,
  begun: readonly Reading[] = [],
): boolean {
  const readings = [...begun];
  const miss = (why: string, told: Diagnosis) =>
    score.misses.push(
      `advised: ${fault.name} ${fault.kind} ${fault.factor ?? ""}: ${why}: ${said(told)} by ${readings
        .slice(begun.length)
        .map((r) => `${r.what} ${r.value}`)
        .join(", ")}`,
    );
  for (let look = 0; ; look++) {
    const told = diagnose(table, readings);
    const [first] = told.candidates;
    const alone = told.next.length === 0 || (first.faults.length === 1 && first.weight > 0.95);
    if (alone || look === mostLooks) {
      const hit = first.faults.some((f) => isThat(f, fault));
      if (!hit || !alone) miss(hit ? "open" : "another", told);
      else if (begun.length === 0) score.looks.push(look);
      return hit && alone;
    }
    // Where the best advice is no level, as of a period or a pulse that is missing, the next best is followed.
    const shown = told.next.map((next) => shownAt(board, next)).find((one) => one !== undefined);
    if (!shown) {
      miss("nothing that is advised can be read", told);
      return false;
    }
    const known = readings.map((r) => `${r.case} ${r.what}`);
    readings.push(...shown.filter((r) => !known.includes(`${r.case} ${r.what}`)));
  }
}

/** A look with an oscilloscope where one is advised: the figures that the advice says it shows, no others. */
function shownAt(
  board: Board,
  { of, what, figures, case: where }: Diagnosis["next"][number],
): Reading[] | undefined {
  if (!what.endsWith(` of ${of}`)) return undefined;
  return board.readings(of, where)?.filter((r) => figures.includes(r.what));
}

function isThat(told: Diagnosis["candidates"][0]["faults"][0], { name, kind, factor }: Suspected): boolean {
  const own = kind === "value" ? (factor! < 1 ? "value too low" : "value too high") : kind;
  return told.name === name && told.kind === own;
}

function said({ candidates: [one], explained }: Diagnosis): string {
  return `${explained ? "" : "unexplained, "}${one.faults.map((f) => `${f.name} ${f.kind}`).join(" / ")} (${one.weight.toFixed(2)}, off ${one.misfit.toFixed(1)})`;
}

/** The value in the middle. */
export function median(all: readonly number[]): number {
  return [...all].sort((a, b) => a - b)[all.length >> 1];
}
