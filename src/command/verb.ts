// What a verb is: one record, from which help, completion, the messages about its options and README's table are made.
import type { Cautioned } from "./cautioning.js";
import type { Options, OptionValues } from "./option.js";
import type { Status } from "./refusal.js";

/** What stands behind a verb. */
interface Operand {
  /** As help shows it, e.g. `FILE`. */
  readonly name: string;
  readonly help: string;
  /** One or more of them may stand there. */
  readonly many?: boolean;
  /** It may be left out. */
  readonly optional?: boolean;
  /** The words that may stand there, where they are known; else it is a file. */
  readonly words?: readonly string[];
}

/** A verb as it was asked for: everything read. */
export interface Asked<O extends Options = Options> {
  readonly operands: readonly string[];
  readonly options: OptionValues<O>;
  /** Its result is printed as JSON: nothing else may go to standard output. */
  readonly json: boolean;
  /** The verbs among which it was found. */
  readonly verbs: Verbs;
}

/** A verb; R is what comes of it. */
export interface Verb<O extends Options = Options, R = unknown> {
  readonly word: string;
  /** What it does, in one line that goes on from `rampwright WORD`: `writes waveforms to a file`. */
  readonly summary: string;
  readonly operand?: Operand;
  readonly options: O;
  /** What else help says, below the options. */
  readonly more?: string;
  /** Words behind `rampwright` that show it at work. */
  readonly example: string;
  /** What each exit status means. */
  readonly statuses: Readonly<Partial<Record<Status, string>>>;
  /** Does it; what it writes to files is written, and what is doubtful told, when it ends. */
  run(asked: Asked<O>): R | Promise<R>;
  /** What is printed. */
  text(result: R, asked: Asked<O>): string;
  /** What is printed with `--json`, which a verb without this does not have. Plain data, SI units. */
  json?(result: R): object;
  status(result: R, asked: Asked<O>): Status;
  /** The designs that it looked at, where cautions are not printed already. */
  designs?(result: R): readonly Cautioned[];
}

/** A verb, its types taken from the record. */
export function verb<const O extends Options, R>(record: Verb<O, R>): Verb<O, R> {
  return record;
}

/** Verbs by their words, in the order in which help lists them; each is loaded when it is asked for. */
export type Verbs = Readonly<Record<string, () => Promise<Verb>>>;

/** What a design stands for on the command line. */
export const designFile: Operand = { name: "FILE", help: "a design, *.ramp; - is standard input" };
