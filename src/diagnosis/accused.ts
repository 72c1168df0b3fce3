// Who may be at fault, as the rows of a table tell: what fails stands for itself; a value that is off, for all factors between those
// that were run, along straight lines over the logarithm of the factor. Gives what each would show in any column.

import { logarithm } from "../base/powers.js";
import type { FailureKind } from "../parts/contract.js";
import { type SymptomColumn, standardWords } from "./columns.js";
import { sampledDoubt } from "./sampling.js";
import type { SymptomRow, SymptomTable } from "./symptomtable.js";

/** A fault that may explain readings. Plain data. */
export interface Accusation {
  /** Full name of the part, supply or signal; empty where nothing has failed. */
  readonly name: string;
  /** What is wrong with it; `none`: nothing is. */
  readonly kind: FailureKind | "value too low" | "value too high" | "none";
  /** Of a value: how many times it is what it should be, as far as the readings tell. */
  readonly factor?: number;
}

/** What is seen in one column. */
export interface Foreseen {
  /** NaN where it does not occur. */
  readonly value: number;
  /** What each toleranced value does to it, by a standard deviation. */
  readonly spread: readonly number[];
  /** Standard deviation of how well the table knows it. */
  readonly doubt: number;
}

/** One who may be at fault: the suspects that stand for it, a value's beginning with the sound one, by their distance from it. */
export interface Accused {
  readonly name: string;
  readonly kind: Accusation["kind"];
  readonly nodes: readonly number[];
  /** Logarithms of the factors of the nodes; of what fails none. */
  readonly places: readonly number[];
}

/** A level below this share of the largest of its trace is next to nothing. */
const smallLevel = 0.1;

/** The trace of which a column holds the floor, peak, mean or swing. */
function targetOf({ what }: Pick<SymptomColumn, "what">): string | undefined {
  const [, words, target] = /^(\w+) of (\S+)$/.exec(what) ?? [];
  return standardWords.some((w) => w === words) ? target : undefined;
}

/** Looks up what a table says. */
export class Expectations {
  readonly accused: readonly Accused[];
  private readonly rows = new Map<string, SymptomRow>();
  private readonly places = new Map<SymptomRow, ReadonlyMap<number, number>>();
  private readonly shares: ReadonlyMap<string, readonly number[]>;
  /** By column the one with its swing. */
  private readonly swings: readonly (number | undefined)[];

  constructor(readonly table: SymptomTable) {
    for (const row of table.rows) {
      this.rows.set(`${row.suspect} ${row.case}`, row);
      this.places.set(row, new Map(row.columns.map((c, i) => [c, i])));
    }
    const byName = new Map(table.columns.map((c, i) => [`${c.case}\n${c.what}`, i]));
    this.swings = table.columns.map((c) => {
      const target = targetOf(c);
      return target === undefined ? undefined : byName.get(`${c.case}\nswing of ${target}`);
    });
    this.accused = accusedOf(table);
    this.shares = this.sharesOf();
  }

  /** What a suspect shows in a column; undefined where that is not known. */
  of(suspect: number, column: number): Foreseen | undefined {
    const { table, swings } = this;
    const row = this.rows.get(`${suspect} ${table.columns[column].case}`);
    const sound = this.rows.get(`0 ${table.columns[column].case}`);
    if (row?.status !== "complete" || sound?.status !== "complete") return undefined;
    const at = this.places.get(row)!.get(column);
    const before = this.places.get(sound)!.get(column)!;
    if (at === undefined) return this.shown(sound, before, sound.spread?.[before] ?? [], swings[column]);
    const own =
      row.spread?.[at] ?? this.carried(column, row.values[at], sound.values[before], sound.spread?.[before]);
    return this.shown(row, at, own, swings[column]);
  }

  /**
   * What tolerances do where a fault is, as far as the sound design tells: the same where it shows the same; else to a level the
   * share that they do to the trace where they do most, and to anything else in proportion.
   */
  private carried(
    column: number,
    value: number,
    sound: number,
    spread: readonly number[] = [],
  ): readonly number[] {
    if (Math.abs(value - sound) <= 1e-6 * Math.abs(sound)) return spread;
    const shares = this.shares.get(targetOf(this.table.columns[column]) ?? "");
    if (shares) return shares.map((share) => share * value);
    const times = Math.min(10, Math.abs(value / sound));
    return Number.isFinite(times) ? spread.map((s) => s * times) : spread;
  }

  /** By trace, what each tolerance does to its levels where it does most, in any case, as a share of them. */
  private sharesOf(): Map<string, number[]> {
    const found = new Map<string, number[]>();
    for (const row of this.table.rows) {
      if (row.suspect !== 0 || !row.spread) continue;
      const sizes = new Map<string, number>();
      const each = (look: (target: string, value: number, spread: readonly number[]) => void) => {
        for (const [i, c] of row.columns.entries()) {
          const target = targetOf(this.table.columns[c]);
          if (target !== undefined && Number.isFinite(row.values[i]))
            look(target, row.values[i], row.spread![i]);
        }
      };
      each((target, value) => sizes.set(target, Math.max(sizes.get(target) ?? 0, Math.abs(value))));
      each((target, value, spread) => {
        // What is next to nothing beside the rest of its trace has no share worth the name.
        if (!(Math.abs(value) > smallLevel * sizes.get(target)!)) return;
        const shares = found.get(target) ?? spread.map(() => 0);
        for (const [k, s] of spread.entries())
          if (Math.abs(s / value) > Math.abs(shares[k])) shares[k] = s / value;
        found.set(target, shares);
      });
    }
    return found;
  }

  private shown(row: SymptomRow, at: number, spread: readonly number[], swing: number | undefined): Foreseen {
    const value = row.values[at];
    const wide = swing === undefined ? undefined : this.places.get(row)!.get(swing);
    const doubt = row.sampled && wide !== undefined ? sampledDoubt * row.values[wide] : 0;
    return { value, spread, doubt: Number.isFinite(doubt) ? doubt : 0 };
  }
}

function accusedOf({ suspects }: SymptomTable): Accused[] {
  const found: Accused[] = [];
  const values = new Map<string, { readonly node: number; readonly factor: number }[]>();
  for (const [node, { name, kind, factor }] of suspects.entries()) {
    if (kind === "value") {
      const key = `${factor! < 1 ? "low" : "high"} ${name}`;
      values.set(key, [...(values.get(key) ?? []), { node, factor: factor! }]);
    } else found.push({ name, kind, nodes: [node], places: [] });
  }
  for (const [key, nodes] of values) {
    const low = key.startsWith("low ");
    const sorted = nodes.sort((a, b) => (low ? b.factor - a.factor : a.factor - b.factor));
    found.push({
      name: suspects[nodes[0].node].name,
      kind: low ? "value too low" : "value too high",
      nodes: [0, ...sorted.map((n) => n.node)],
      places: [0, ...sorted.map((n) => logarithm(n.factor))],
    });
  }
  return found;
}
