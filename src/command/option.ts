// Options of verbs: the value of each on the command line, how it is read, and what help and completion say about it.
// Readers refuse what they cannot read as `--name: reason`, before any file is opened.
import { exactly, oneOf, refuseOption, wholeNumber } from "../base/asked.js";
import type { Dimension } from "../base/dimension.js";

/** An option; T is what its verb gets. */
export interface Option<T = unknown> {
  /** What it is for, in one line. */
  readonly help: string;
  /** Its value as help shows it, e.g. `TIME`; a flag has none. */
  readonly value?: string;
  /** The possible values, if they are a known set. */
  readonly words?: readonly string[];
  /** Whether its value is a file or folder. */
  readonly path?: boolean;
  /** Whether it is required. */
  readonly needed?: boolean;
  /** Its group in help, which lists options without one first. */
  readonly group?: string;
  /** What the verb gets if it is left out. */
  readonly otherwise: T;
  /** @param name as typed, `--until`; @throws DesignError `bad-option` */
  read(text: string, name: string): T;
  /** Adds a repeated value to those before; without this the last one counts. */
  more?(before: T, next: T): T;
}

/** The options of a verb by name, without the dashes. */
export type Options = Readonly<Record<string, Option>>;

/** What a verb gets for its options. */
export type OptionValues<O extends Options> = {
  readonly [K in keyof O]: O[K] extends Option<infer T> ? T : never;
};

type Optional<T> = Option<T | undefined>;

function reader<T>(value: string, help: string, read: Option<T>["read"]): Optional<T> {
  return { help, value, otherwise: undefined, read };
}

/** An option that may be given again, for a list of what its values are read as. */
export function repeatable<T>(value: string, help: string, read: Option<T>["read"]): Optional<readonly T[]> {
  const more = (before: readonly T[] = [], next: readonly T[] = []) => [...before, ...next];
  return { ...reader(value, `${help}; may be given again`, (text, name) => [read(text, name)]), more };
}

/** True if given. */
export function flag(help: string): Option<boolean> {
  return { help, otherwise: false, read: () => true };
}

/** Any text: a name, or a quantity whose unit depends on the design. */
export function anyText(value: string, help: string): Optional<string> {
  return reader(value, help, (given) => given);
}

/** Names separated by commas. */
export function names(help: string): Optional<readonly string[]> {
  return reader("NAMES", help, (given) =>
    given
      .split(",")
      .map((name) => name.trim())
      .filter((name) => name !== ""),
  );
}

/** Names of values with their new values, separated by commas: `timing 18 nF, reset.on 10 ohm`. */
export function settings(help: string): Optional<Readonly<Record<string, string>>> {
  return reader("VALUES", help, (given, name) => {
    const read = given.split(",").map((one) => {
      const [, what, value] = /^(\S+)\s+(\S.*)$/.exec(one.trim()) ?? [];
      return value ? [what, value] : refuseOption(name, `'${one.trim()}' is no name with a value behind it`);
    });
    const twice = read.find(([what], i) => read.findIndex(([other]) => other === what) < i);
    if (twice) refuseOption(name, `'${twice[0]}' stands there twice`);
    return Object.fromEntries(read);
  });
}

/** A whole number. */
export function whole(help: string, from = 0, to = Number.MAX_SAFE_INTEGER): Optional<number> {
  return reader("N", help, (given, name) => {
    const number = /^\s*\d+\s*$/.test(given) ? Number(given) : Number.NaN;
    if (to !== Number.MAX_SAFE_INTEGER) return wholeNumber(name, number, from, to);
    return Number.isSafeInteger(number) ? number : refuseOption(name, "a whole number");
  });
}

/** A quantity with its unit; passed on as text, which can be sent to threads. */
export function quantityText(dim: Dimension, value: string, help: string): Optional<string> {
  return reader(value, help, (given, name) => {
    exactly(given, dim, name);
    return given;
  });
}

/** One of some words. */
export function choice<const W extends string>(
  value: string,
  words: readonly W[],
  help: string,
): Optional<W> {
  return {
    ...reader(value, help, (given, name): W => oneOf(name, given, words)),
    words,
  };
}

/** A file or folder. */
export function path(value: string, help: string): Optional<string> {
  return { ...anyText(value, help), path: true };
}

/** The same option, but required. */
export function needed<T>(option: Optional<T>): Option<T> {
  return { ...option, needed: true } as Option<T>;
}
