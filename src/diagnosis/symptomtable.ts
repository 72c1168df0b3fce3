// The table of symptoms: what every single fault shows at every place, as drawn and in the cases. Plain data, made once for a
// design and saved; `diagnose` looks readings up in it.

import type { SimulateOptions } from "../simulation/options.js";
import type { Aborting } from "../spread/trials.js";
import type { SymptomColumn } from "./columns.js";
import type { Suspect } from "./suspects.js";

/** Options for a table of symptoms. */
export interface SymptomsOptions {
  /** Names of parts, supplies and signals that may be at fault; default: all. */
  readonly parts?: readonly string[];
  /** Names of cases; default: those without a fault of their own, as many as the most runs allow, in the order of the text. */
  readonly cases?: readonly string[];
  /** Factors above 1 by which values may be off, up and down; default: 2 and 10. */
  readonly factors?: readonly number[];
  /** More phrases to measure, in every case. */
  readonly measures?: readonly string[];
  /** The most runs; default: 600. */
  readonly most?: number;
  /** Options for every run. */
  readonly simulate?: Omit<SimulateOptions, "progress" | "signal" | "stream" | "case">;
  /** Called after each row: how many are done of how many. */
  readonly progress?: (done: number, of: number) => void;
  /** Ends the work when aborted; the table then lacks rows. */
  readonly signal?: Aborting;
}

/** One suspect in one case. Plain data, SI units. */
export interface SymptomRow {
  /** Index of the suspect. */
  readonly suspect: number;
  /** The case; empty for the design as drawn. */
  readonly case: string;
  /** `refused`: the circuit is invalid; `stopped`: its run could not go on. Nothing is known of it then. */
  readonly status: "complete" | "stopped" | "refused";
  /** Why it is not complete; else empty. */
  readonly reason: string;
  /** Indices of the columns that the fault can affect; the others are as where nothing has failed. */
  readonly columns: readonly number[];
  /** What each of these columns measures; NaN where it does not occur. */
  readonly values: readonly number[];
  /** True where levels were sampled, as for a long run: they may be off by some thousandths of the swing. */
  readonly sampled?: true;
  /**
   * The effect of tolerances on each of them: its change where a toleranced value is a standard deviation higher, by index of
   * that value. Absent where the sound design's effects apply.
   */
  readonly spread?: readonly (readonly number[])[];
}

/** Every single fault at every place. Plain data, which `JSON.stringify` writes and `readSymptoms` reads back. */
export interface SymptomTable {
  /** Title of the design. */
  readonly title: string;
  /** Equal where the design and the options are. */
  readonly fingerprint: string;
  /** `none` first, then what may be wrong. */
  readonly suspects: readonly Suspect[];
  /** All columns of the table. */
  readonly columns: readonly SymptomColumn[];
  /** Names of the values that have a tolerance. */
  readonly tolerances: readonly string[];
  /** Cases that were left out: they contain a fault, or the table would have been too large. */
  readonly left: readonly string[];
  /** The further phrases that are measured, as given. */
  readonly measures: readonly string[];
  /** By suspect, as drawn first. */
  readonly rows: readonly SymptomRow[];
  /** How many rows are missing, where the work was ended early. */
  readonly missing: number;
}
