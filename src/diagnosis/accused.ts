// The possible faults as the rows of a table give them. A failed part stands for itself; a value that is off stands for all
// factors between those that were run, interpolated linearly over the logarithm of the factor. Gives what each would show in any
// column.

import { exponential, logarithm } from "../base/powers.js";
import { lowRail } from "../faults/failures.js";
import type { FailureKind } from "../parts/contract.js";
import { type StandardWord, type SymptomColumn, standardWords } from "./columns.js";
import { rareDoubt, sampledDoubt } from "./sampling.js";
import type { Suspect } from "./suspects.js";
import type { SymptomRow, SymptomTable } from "./symptomtable.js";
import { sameLevel } from "./tolerated.js";

/** A fault that may explain readings. Plain data. */
export interface Accusation {
  /** Full name of the part, supply or signal; empty where nothing has failed. */
  readonly name: string;
  /** What is wrong with it; `none`: nothing is. */
  readonly kind: FailureKind | "value too low" | "value too high" | "none";
  /** For a value, or a rail that is low: its ratio to what it should be, as far as the readings tell. */
  readonly factor?: number;
}

/** What a fault shows in one column. */
export interface Foreseen {
  /** NaN where it does not occur. */
  readonly value: number;
  /** The effect of each toleranced value on it, per standard deviation. */
  readonly spread: readonly number[];
  /** Standard deviation of the table's own error. */
  readonly doubt: number;
}

/** A possible fault: the suspects that stand for it; for a value starting with the sound design, in order of distance from it. */
export interface Accused {
  readonly name: string;
  readonly kind: Accusation["kind"];
  readonly nodes: readonly number[];
  /** Logarithms of the factors of the nodes; none for a failure. */
  readonly places: readonly number[];
  /** For a value: the suspect that it approaches as it goes farther off, if there is one. */
  readonly end?: number;
}

/**
 * Beyond the farthest factor that was run, readings are interpolated linearly over the inverse, f to f/u, as those of a divider
 * or a time constant behave in the end, until u is this.
 */
export const nearestEnd = 0.2;

/** A change below this share is none. */
const negligible = 1e-6;

/** A level below this share of the largest of its trace is close to nothing. */
const smallLevel = 0.1;

/** The trace of which a column holds the floor, peak, mean or swing; undefined where it holds something else. */
export function levelOf({ what }: Pick<SymptomColumn, "what">): string | undefined {
  const [, words, target] = /^(\w+) of (\S+)$/.exec(what) ?? [];
  return standardWords.some((w) => w === words) ? target : undefined;
}

/** Columns of the levels of one trace. */
type Levels = { [word in StandardWord]?: number };

/** A row, and the position in it of each column of the table. */
interface Placed {
  readonly row: SymptomRow;
  /** -1 for a column that the row does not have. */
  readonly at: Int32Array;
}

const kept = new WeakMap<SymptomTable, Expectations>();

/** Looks up what a table says, and caches it. */
export class Expectations {
  readonly accused: readonly Accused[];
  /** By column the rows of its case, by suspect. */
  private readonly here: readonly (readonly Placed[] | undefined)[];
  /** By column the trace of which it is a level, and the column with that trace's swing. */
  private readonly targets: readonly (string | undefined)[];
  /** By column the columns of the levels of its trace in its case, by word. */
  private readonly levels: readonly (Levels | undefined)[];
  private readonly rarely: readonly boolean[];
  private readonly shares: ReadonlyMap<string, readonly number[]>;
  /** By column, by suspect. */
  private readonly known: (Foreseen | "unknown")[][];

  private constructor(readonly table: SymptomTable) {
    const { rows, columns } = table;
    const cases = new Map<string, Placed[]>();
    for (const row of rows) {
      const at = new Int32Array(columns.length).fill(-1);
      for (const [i, c] of row.columns.entries()) at[c] = i;
      const beside = cases.get(row.case) ?? [];
      beside[row.suspect] = { row, at };
      cases.set(row.case, beside);
    }
    this.here = columns.map((c) => cases.get(c.case));
    this.targets = columns.map(levelOf);
    const traces = new Map<string, Levels>();
    this.levels = columns.map(({ case: name, what }, i) => {
      if (this.targets[i] === undefined) return undefined;
      const key = `${name}\n${this.targets[i]}`;
      const levels = traces.get(key) ?? {};
      traces.set(key, levels);
      levels[standardWords.find((words) => what.startsWith(`${words} of `))!] = i;
      return levels;
    });
    this.rarely = columns.map(({ what }) => /^(floor|peak|swing) of \S+\.current$/.test(what));
    this.known = columns.map(() => []);
    this.accused = accusedOf(table);
    this.shares = this.sharesOf();
  }

  /** What a table says, cached for as long as the table is the same object. */
  static from(table: SymptomTable): Expectations {
    const known = kept.get(table) ?? new Expectations(table);
    kept.set(table, known);
    return known;
  }

  /** What an accused shows at one of its factors, by index; for a value the index after the last lies beyond what was run. */
  at(accused: Accused, factor: number, column: number): Foreseen | undefined {
    const { nodes } = accused;
    return factor < nodes.length ? this.of(nodes[factor], column) : this.beyond(accused, column);
  }

  /** What a value shows in a column when it is off by much more than the farthest factor that was run. */
  private beyond({ nodes, places, end }: Accused, column: number): Foreseen | undefined {
    const last = this.of(nodes.at(-1)!, column);
    const limit = end === undefined ? undefined : this.of(end, column);
    if (limit) return between(last, limit, 1 - nearestEnd);
    // Linear over the inverse as well, continued from the factor before.
    const before = this.of(nodes.at(-2)!, column);
    const apart = exponential(Math.abs(places.at(-1)! - places.at(-2)!));
    return between(before, last, 1 + (1 - nearestEnd) / (apart - 1));
  }

  /** What a suspect shows in a column; undefined where that is not known. */
  of(suspect: number, column: number): Foreseen | undefined {
    const known = this.known[column];
    known[suspect] ??= this.lookedUp(suspect, column) ?? "unknown";
    const found = known[suspect];
    return found === "unknown" ? undefined : found;
  }

  private lookedUp(suspect: number, column: number): Foreseen | undefined {
    const here = this.here[column];
    const [own, sound] = [here?.[suspect], here?.[0]];
    if (own?.row.status !== "complete" || sound?.row.status !== "complete") return undefined;
    const at = own.at[column];
    // Share one object among all that show the same.
    const same = suspect === 0 ? undefined : this.of(0, column)!;
    if (same && at < 0) return same;
    const value = own.row.values[at] ?? Number.NaN;
    const spread = own.row.spread?.[at];
    const doubt = this.doubtOf(own, column);
    if (!same) return { value, spread: spread ?? [], doubt };
    const like =
      (near(value, same.value) || (Number.isNaN(value) && Number.isNaN(same.value))) &&
      near(doubt, same.doubt) &&
      (!spread || spread.every((s, k) => near(s, same.spread[k] ?? 0)));
    return like ? same : { value, spread: spread ?? this.carried(suspect, column, value, same), doubt };
  }

  /**
   * The effect of tolerances under a fault, from that on the sound design: the same where it shows the same, and in a rail's
   * current, the sum of its branches, of which the fault changes one; else for a level the share of the trace where they act
   * most, for a swing that of the peak less that of the floor, and for anything else in proportion.
   */
  private carried(suspect: number, column: number, value: number, sound: Foreseen): readonly number[] {
    const { spread } = sound;
    const target = this.targets[column];
    if (target?.endsWith(".current")) return spread;
    if (Math.abs(value - sound.value) <= sameLevel * this.sizeOf(suspect, column)) return spread;
    const levels = this.levels[column];
    if (levels?.swing === column && levels.floor !== undefined && levels.peak !== undefined) {
      const [floor, peak] = [this.of(suspect, levels.floor)!, this.of(suspect, levels.peak)!];
      return peak.spread.map((s, k) => s - (floor.spread[k] ?? 0));
    }
    const shares = this.shares.get(target ?? "");
    if (shares) return shares.map((share) => share * value);
    const times = Math.min(10, Math.abs(value / sound.value));
    return Number.isFinite(times) ? spread.map((s) => s * times) : spread;
  }

  /**
   * The table's own error in what a row shows. Where the levels of the sound design were sampled, it counts in all rows of that
   * case: otherwise, of two faults that show the same, readings would seem to speak for the one whose recording was shorter.
   */
  private doubtOf({ row, at }: Placed, column: number): number {
    const swing = this.levels[column]?.swing;
    const wide = swing === undefined || !(row.sampled || this.here[column]?.[0].row.sampled) ? -1 : at[swing];
    const doubt = wide >= 0 ? (this.rarely[column] ? rareDoubt : sampledDoubt) * row.values[wide] : 0;
    return Number.isFinite(doubt) ? doubt : 0;
  }

  /** The largest level of a column's trace, as a suspect shows it or with nothing failed; of anything else its own size. */
  private sizeOf(suspect: number, column: number): number {
    let size = 0;
    for (const c of Object.values(this.levels[column] ?? { column }))
      for (const one of [this.here[c]?.[suspect], this.here[c]?.[0]]) {
        const value = Math.abs(one?.row.values[one.at[c]] ?? 0);
        if (value > size) size = value;
      }
    return size;
  }

  /** By trace, the effect of each tolerance on its levels where it acts most, in any case, as a share of them. */
  private sharesOf(): Map<string, number[]> {
    const found = new Map<string, number[]>();
    for (const row of this.table.rows) {
      if (row.suspect !== 0 || !row.spread) continue;
      const sizes = new Map<string, number>();
      const each = (look: (target: string, value: number, spread: readonly number[]) => void) => {
        for (const [i, c] of row.columns.entries()) {
          // A swing moves either way as its floor and its peak do.
          const target = this.levels[c]?.swing === c ? undefined : this.targets[c];
          if (target !== undefined && Number.isFinite(row.values[i]))
            look(target, row.values[i], row.spread![i]);
        }
      };
      each((target, value) => sizes.set(target, Math.max(sizes.get(target) ?? 0, Math.abs(value))));
      each((target, value, spread) => {
        // A level close to nothing beside the rest of its trace has no meaningful share.
        if (!(Math.abs(value) > smallLevel * sizes.get(target)!)) return;
        const shares = found.get(target) ?? spread.map(() => 0);
        for (const [k, s] of spread.entries())
          if (Math.abs(s / value) > Math.abs(shares[k])) shares[k] = s / value;
        found.set(target, shares);
      });
    }
    return found;
  }
}

/** Whether no instrument could tell them apart. */
function near(a: number, b: number): boolean {
  return a === b || Math.abs(a - b) <= negligible * Math.abs(b);
}

/** The factor by which a value is off, a share of the way from one that was run to the next. */
export function factorAt({ places }: Accused, piece: number, share: number): number {
  const [from, to] = [places[piece], places[piece + 1]];
  if (to !== undefined) return exponential(from + share * (to - from));
  const times = 1 - (1 - nearestEnd) * share;
  return exponential(from) * (from < 0 ? times : 1 / times);
}

/** What is shown a share of the way from one factor to the next. */
export function between(
  a: Foreseen | undefined,
  b: Foreseen | undefined,
  share: number,
): Foreseen | undefined {
  if (!a || !b) return undefined;
  if (a === b) return a;
  return {
    value: a.value + share * (b.value - a.value),
    spread: a.spread.map((s, k) => s + share * ((b.spread[k] ?? s) - s)),
    doubt: Math.max(a.doubt, b.doubt),
  };
}

function accusedOf({ suspects }: SymptomTable): Accused[] {
  const found: Accused[] = [];
  const values = new Map<string, { readonly node: number; readonly factor: number }[]>();
  const indexOf = (name: string, kind: Suspect["kind"] | undefined) =>
    suspects.findIndex((s) => s.name === name && s.kind === kind);
  for (const [node, { name, kind, factor }] of suspects.entries()) {
    if (kind === "value") {
      const key = `${factor! < 1 ? "low" : "high"} ${name}`;
      values.set(key, [...(values.get(key) ?? []), { node, factor: factor! }]);
    } else if (kind === "low" && indexOf(name, "dead") >= 0)
      // A rail may be anywhere from low down to dead.
      found.push({
        name,
        kind,
        nodes: [0, node],
        places: [0, logarithm(lowRail)],
        end: indexOf(name, "dead"),
      });
    else found.push({ name, kind, nodes: [node], places: [] });
  }
  for (const [key, nodes] of values) {
    const low = key.startsWith("low ");
    const sorted = nodes.sort((a, b) => (low ? b.factor - a.factor : a.factor - b.factor));
    const { name, end } = suspects[nodes[0].node];
    const comes = end === undefined ? -1 : indexOf(name, end);
    found.push({
      name,
      kind: low ? "value too low" : "value too high",
      nodes: [0, ...sorted.map((n) => n.node)],
      places: [0, ...sorted.map((n) => logarithm(n.factor))],
      ...(comes >= 0 && { end: comes }),
    });
  }
  return found;
}
