// What a verb is: one record, from which help, completion, the messages about its options and README's table are made.
import type { Cautioned } from "./cautioning.js";
import type { Options, OptionValues } from "./option.js";
import type { Status } from "./refusal.js";

interface Operand {
  /** As shown in help, e.g. `FILE`. */
  readonly name: string;
  readonly help: string;
  /** Whether there may be several. */
  readonly many?: boolean;
  /** Whether it may be left out. */
  readonly optional?: boolean;
  /** The possible words, if they are a known set; else it is a file. */
  readonly words?: readonly string[];
}

/** A verb as called, with everything read. */
export interface Asked<O extends Options = Options> {
  readonly operands: readonly string[];
  readonly options: OptionValues<O>;
  /** Whether its result is printed as JSON: nothing else may go to standard output. */
  readonly json: boolean;
  readonly verbs: Verbs;
}

/** A verb; R is its result. */
export interface Verb<O extends Options = Options, R = unknown> {
  readonly word: string;
  /** What it does, in one line that continues `rampwright WORD`: `writes waveforms to a file`. */
  readonly summary: string;
  readonly operand?: Operand;
  readonly options: O;
  /** Further help, below the options. */
  readonly more?: string;
  /** Words after `rampwright` that show it at work. */
  readonly example: string;
  /** What each exit status means. */
  readonly statuses: Readonly<Partial<Record<Status, string>>>;
  /** Does it; by the end its files are written and its doubts told. */
  run(asked: Asked<O>): R | Promise<R>;
  /** What is printed. */
  text(result: R, asked: Asked<O>): string;
  /** What is printed with `--json`, which a verb without this does not take. Plain data, SI units. */
  json?(result: R): object;
  status(result: R, asked: Asked<O>): Status;
  /** The designs that it looked at, where cautions are not printed already. */
  designs?(result: R): readonly Cautioned[];
}

/** A verb, with its types taken from the record. */
export function verb<const O extends Options, R>(record: Verb<O, R>): Verb<O, R> {
  return record;
}

/** Verbs by their words, in the order of help; each is loaded on demand. */
export type Verbs = Readonly<Record<string, () => Promise<Verb>>>;

export const designFile: Operand = { name: "FILE", help: "a design, *.ramp; - is standard input" };
