// The command line: which verb is meant, and with what.
// An option may stand anywhere, even before the verb. An unknown word is refused, with the nearest known one.
import { parseArgs } from "node:util";
import { oneOf, refuseOption } from "../base/asked.js";
import { didYouMean } from "../base/nearest.js";
import type { Option, Options, OptionValues } from "./option.js";
import type { Verb } from "./verb.js";

/** Options that every verb has. */
const everywhere: Options = {
  help: { help: "print this help", otherwise: false, read: () => true },
};
const json: Option<boolean> = {
  help: "print one JSON object instead of text",
  otherwise: false,
  read: () => true,
};

/** All options of a verb: its own, and those that every verb has. */
export function optionsOf(verb: Verb): Options {
  return { ...verb.options, ...(verb.json && { json }), ...everywhere };
}

/** The verb of a command line, and the words before and after it. */
interface SplitWords {
  /** Absent if there are only options. */
  readonly word?: string;
  readonly rest: readonly string[];
}

/** @throws DesignError `bad-option` for an unknown verb */
export function splitWords(words: readonly string[], known: readonly string[]): SplitWords {
  const plain = words.flatMap((word, i) => (word === "-" || !word.startsWith("-") ? [i] : []));
  // A word after an option may be its value.
  const at = plain.find((i) => known.includes(words[i]) || !words[i - 1]?.startsWith("--")) ?? plain[0];
  if (at === undefined) return { rest: words };
  const word = words[at];
  oneOf("verb", word, known);
  return { word, rest: words.toSpliced(at, 1) };
}

/** The operands and options of a verb, read. */
interface Understood {
  readonly operands: readonly string[];
  readonly options: OptionValues<Options>;
  readonly json: boolean;
  readonly help: boolean;
}

/**
 * Reads the words of a verb.
 * @throws DesignError `bad-option` for an option or a number of operands that the verb does not take
 */
export function understood(words: readonly string[], verb: Verb): Understood {
  const options = optionsOf(verb);
  const { tokens } = parseArgs({
    args: [...words].map((word) => (word === "-h" ? "--help" : word)),
    options: Object.fromEntries(
      Object.entries(options).map(([name, { value }]) => [name, { type: value ? "string" : "boolean" }]),
    ),
    strict: false,
    allowPositionals: true,
    tokens: true,
  });
  const given = new Map<string, unknown>();
  const operands: string[] = [];
  for (const token of tokens) {
    if (token.kind === "positional") operands.push(token.value);
    if (token.kind !== "option") continue;
    const option = Object.hasOwn(options, token.name) ? options[token.name] : undefined;
    const value = valueBehind(token, option ?? unknownOption(token.rawName, verb, options));
    const before = given.get(token.name);
    given.set(token.name, option?.more && before !== undefined ? option.more(before, value) : value);
  }
  const help = given.has("help");
  if (!help) {
    for (const [name, { needed, value }] of Object.entries(options))
      if (needed && !given.has(name)) refuseOption(`--${name}`, `${verb.word} needs it, with ${value}`);
    count(operands, verb);
  }
  const values = Object.fromEntries(
    Object.entries(options).map(([name, { otherwise }]) => [
      name,
      given.has(name) ? given.get(name) : otherwise,
    ]),
  );
  return { operands, options: values, json: given.has("json") || given.get("reporter") === "json", help };
}

function valueBehind({ rawName, value }: { rawName: string; value?: string }, option: Option): unknown {
  if (option.value === undefined)
    return value === undefined ? option.read("", rawName) : refuseOption(rawName, "it takes no value");
  // `-25K` is a value, `--json` is the next option.
  if (value === undefined || value.startsWith("--"))
    return refuseOption(rawName, `${option.value} is missing behind it`);
  return option.read(value, rawName);
}

function unknownOption(typed: string, verb: Verb, options: Options): never {
  const known = Object.keys(options).map((name) => `--${name}`);
  const hint = didYouMean(typed, known) ?? `see rampwright ${verb.word} --help`;
  return refuseOption(typed, `${verb.word} has no such option`, hint);
}

function count(operands: readonly string[], { word, operand }: Verb): void {
  if (operands.length === 0 && operand && !operand.optional)
    refuseOption(operand.name, `${word} needs it: ${operand.help}`);
  const most = !operand ? 0 : operand.many ? Number.POSITIVE_INFINITY : 1;
  if (operands.length > most)
    refuseOption(`'${operands[most]}'`, `${word} takes ${most === 0 ? "nothing there" : "one of them"}`);
  if (operand?.words) for (const one of operands) oneOf(operand.name, one, operand.words);
}
