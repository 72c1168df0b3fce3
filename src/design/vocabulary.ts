// The kinds of part and the measures of the language, to which a caller may add. Added ones obey the contract of the built-in
// ones, and whatever reads, runs, measures or draws a design knows them only by what they declare.
import { DesignError } from "../base/diagnostic.js";
import { wholeText } from "../base/span.js";
import { measures as builtInMeasures } from "../measures/measures.js";
import type { Measure, Recurring } from "../measures/window.js";
import type { Kind } from "../parts/contract.js";
import { kinds as builtInKinds, statementKinds } from "../parts/kinds.js";
import { keywords } from "../syntax/tokens.js";
import { spreadWords } from "./spreading.js";
import { forms } from "./waveform.js";

/** The kinds and measures that a design may name. */
export interface Vocabulary {
  readonly kinds: readonly Kind[];
  readonly measures: readonly Measure[];
  /** The kinds that are not built in, whose devices are tried before they run. */
  readonly added: ReadonlySet<Kind>;
  kind(word: string): Kind | undefined;
  measure(words: string): Measure | undefined;
}

/**
 * The built-in words and those that a caller adds.
 * @throws DesignError `bad-kind` or `bad-measure` for one that breaks the contract
 */
export function vocabularyOf(kinds: readonly Kind[] = [], measures: readonly Measure[] = []): Vocabulary {
  const byWord = new Map(builtInKinds.map((kind) => [kind.word, kind]));
  for (const kind of listed(kinds, "kind")) {
    checkKind(kind, byWord);
    byWord.set(kind.word, kind);
  }
  const byWords = new Map(builtInMeasures.map((measure) => [measure.words, measure]));
  for (const measure of listed(measures, "measure")) {
    checkMeasure(measure, byWords);
    byWords.set(measure.words, guarded(measure));
  }
  return {
    kinds: [...byWord.values()],
    measures: [...byWords.values()],
    added: new Set(kinds),
    kind: (word) => byWord.get(word),
    measure: (words) => byWords.get(words),
  };
}

type Sort = "kind" | "measure";

function fault(sort: Sort, message: string, hint?: string): DesignError {
  return new DesignError([{ code: `bad-${sort}`, severity: "error", message, span: wholeText, hint }]);
}

function listed<T>(given: readonly T[], sort: Sort): readonly T[] {
  if (!Array.isArray(given) || !given.every((one) => typeof one === "object" && one !== null))
    throw fault(sort, `'${sort}s' is not a list of ${sort}s`);
  return given;
}

const name = /^[\p{L}_][\p{L}\p{N}\p{M}_]*$/u;
const isText = (value: unknown): value is string => typeof value === "string";

function checkKind(kind: Kind, known: ReadonlyMap<string, Kind>): void {
  const { word, properties, equations, couples } = kind;
  const wrong = (message: string, hint?: string) => fault("kind", `kind '${word}' ${message}`, hint);
  if (!isText(word) || !name.test(word)) throw fault("kind", `'${word}' is no word for a kind of part`);
  if (known.has(word) || statementKinds.some((one) => one.word === word) || isKeyword(word))
    throw wrong("has a word that is taken", "choose another one");
  if (!isText(kind.summary)) throw wrong("has no summary");
  if (!Array.isArray(equations) || equations.length === 0 || !equations.every(isText))
    throw wrong("does not say what it obeys", "give its 'equations', one line for each mode");
  if (typeof kind.make !== "function") throw wrong("has no 'make', so that no device comes of it");
  if (couples !== undefined && !known.has(couples)) throw wrong(`couples '${couples}', which is no kind`);
  if (!Array.isArray(properties)) throw wrong("has no list of properties");
  const met = new Set<string>();
  for (const { word: own, takes, at } of properties) {
    if (!isText(own) || !name.test(own)) throw wrong(`has a property '${own}', which is no word`);
    if (met.has(own)) throw wrong(`has the property '${own}' twice`);
    if (own === "rated" || Object.hasOwn(spreadWords, own) || (kind.value?.wave && inWaves.has(own)))
      throw wrong(
        `has a property '${own}', which means something else behind a value`,
        "choose another word",
      );
    const form = typeof takes === "object" ? takes : ["place", "control", "nothing"].includes(takes);
    if (!form) throw wrong(`does not say what its property '${own}' takes`);
    met.add(own);
    // The quantity after `at` is kept by that word, so only one property may have one.
    if (!at) continue;
    if (met.has("at")) throw wrong("has two properties that hold 'at' something");
    met.add("at");
  }
  const loose = (kind.oneOf ?? []).find((one) => !met.has(one));
  if (loose !== undefined)
    throw wrong(`asks for one of '${loose}' and others, which is none of its properties`);
}

const isKeyword = (word: string) => (keywords as readonly string[]).includes(word);
const inWaves: ReadonlySet<string> = new Set(Object.values(forms).flatMap((words) => Object.keys(words)));

function checkMeasure(measure: Measure, known: ReadonlyMap<string, Measure>): void {
  const { words, takes, shown, needs } = measure;
  const wrong = (message: string, hint?: string) => fault("measure", `measure '${words}' ${message}`, hint);
  if (!isText(words) || !words.split(" ").every((word) => name.test(word) && word !== "of"))
    throw fault("measure", `'${words}' are no words for a measure`);
  if (known.has(words)) throw wrong("has words that are taken", "choose others");
  if (!isText(measure.summary)) throw wrong("has no summary");
  if (!["value", "current", "power", "clipping"].includes(takes))
    throw wrong("does not say of what it 'takes' its trace");
  if (![undefined, "share", "count"].includes(shown)) throw wrong(`is shown as '${shown}', which is no way`);
  if (![undefined, "at", "through"].includes(needs)) throw wrong(`needs '${needs}', which cannot be given`);
  if (typeof measure.unit !== "function" || !isText(measure.unit("V"))) throw wrong("has no unit");
  if (shown !== undefined && measure.unit("V") !== "") throw wrong(`has a unit, and is shown as a ${shown}`);
  if (typeof measure.take !== "function") throw wrong("has no 'take', so that nothing is measured");
  if (!["undefined", "function"].includes(typeof measure.over))
    throw wrong("has an 'over' that is no function");
}

/** A caller's measure; whatever goes wrong in it is thrown as `bad-measure`. */
function guarded(measure: Measure): Measure {
  const { words, over } = measure;
  return {
    ...measure,
    take: (window) => numberOf(words, () => measure.take(window)),
    ...(over && { over: (parts: readonly Recurring[]) => numberOf(words, () => over(parts)) }),
  };
}

function numberOf(words: string, take: () => unknown): number {
  let taken: unknown;
  try {
    taken = take();
  } catch (error) {
    throw fault("measure", `measure '${words}' failed: ${error}`, "give NaN where it does not occur");
  }
  if (typeof taken === "number") return taken;
  throw fault("measure", `measure '${words}' gave ${typeof taken} in place of a number`);
}
