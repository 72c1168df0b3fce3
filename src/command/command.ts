// The command: finds the verb, reads its options, runs it, prints its result.
// Only data goes to standard output; words go to standard error. It asks no questions and prints no stack traces.
import { readFileSync } from "node:fs";
import { DesignError } from "../base/diagnostic.js";
import { forgetInputs } from "../files/filesread.js";
import { tellCautions, withCautions } from "./cautioning.js";
import { optionsOf, splitWords, understood } from "./commandline.js";
import { helpOn, overview } from "./helptext.js";
import { jsonText, printable, say, tell } from "./output.js";
import { EarlyEnd, type Status, status } from "./refusal.js";
import type { Verb, Verbs } from "./verb.js";

/** The version of the package; the bundled command stands in dist/, one folder below the package's own file. */
export function packageVersion(): string {
  return JSON.parse(readFileSync(new URL("../package.json", import.meta.url), "utf8")).version;
}

/** Runs a command line; returns the exit status. */
export async function command(words: readonly string[], verbs: Verbs, version: string): Promise<Status> {
  let verb: Verb | undefined;
  forgetInputs();
  try {
    const { word, rest } = splitWords(words, Object.keys(verbs));
    if (word === undefined) return await withoutVerb(words, verbs, version);
    verb = await verbs[word]();
    return await perform(verb, rest, verbs);
  } catch (error) {
    const json = wantsJson(words);
    // A mistake may have no room on standard output either.
    return refused(error, json, verb).catch((unsaid) => refused(unsaid, false, verb));
  }
}

async function withoutVerb(words: readonly string[], verbs: Verbs, version: string): Promise<Status> {
  if (words.includes("--version")) {
    say(`${version}\n`);
    return status.good;
  }
  const help = overview(await Promise.all(Object.values(verbs).map((one) => one())));
  if (words.some((word) => word === "--help" || word === "-h")) {
    say(help);
    return status.good;
  }
  tell(help.trimEnd());
  return status.wrong;
}

async function perform(verb: Verb, words: readonly string[], verbs: Verbs): Promise<Status> {
  const { help, ...read } = understood(words, verb);
  if (help) {
    say(helpOn(verb));
    return status.good;
  }
  const asked = { ...read, verbs };
  const result = await verb.run(asked);
  const designs = verb.designs?.(result);
  if (asked.json) say(jsonText(withCautions(verb.json!(result), designs ?? [])));
  else say(verb.text(result, asked));
  if (!asked.json && designs) tellCautions(designs);
  return verb.status(result, asked);
}

/** Whether JSON is asked for, as far as words that may contain mistakes can tell. */
function wantsJson(words: readonly string[]): boolean {
  return words.includes("--json") || /--reporter[= ]json/.test(words.join(" "));
}

/** The exit status of a thrown value; tells the mistake, and prints it as JSON if that was asked for. */
async function refused(error: unknown, json: boolean, verb: Verb | undefined): Promise<Status> {
  if (error instanceof DesignError) {
    // Imported late: it loads the parser, which help and the version do not need.
    const { tellDiagnostics } = await import("./telling.js");
    tellDiagnostics(error, verb && Object.keys(optionsOf(verb)));
    if (json) say(jsonText({ diagnostics: error.diagnostics }));
    return status.wrong;
  }
  if (error instanceof EarlyEnd) {
    const { message, code, exit } = error;
    tell(`rampwright: ${printable(message)}`);
    if (json && code) say(jsonText({ diagnostics: [error.diagnostic(code)] }));
    return exit;
  }
  // An error of our own: also told in one line, which can go into a bug report.
  const what = error instanceof Error ? error.message.split("\n")[0] : String(error);
  tell(`rampwright: a mistake in Rampwright itself, please report it: ${printable(what)}`);
  return status.stopped;
}
