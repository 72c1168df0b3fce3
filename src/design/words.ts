// The properties of a waveform: which words a form has, what they take, and what can be wrong with them. Each
// mistake is reported once, at its place; then there is no result.
import type { Report } from "../base/diagnostic.js";
import { type Dimension, dimension, nameOf } from "../base/dimension.js";

import type { Fraction } from "../base/fraction.js";
import { nearest } from "../base/nearest.js";
import type { Range } from "../parts/range.js";
import type { Property, Reference, Waveform } from "../syntax/tree.js";
import type { ValueReader } from "./values.js";

/** Words of one form of waveform. */
export type WaveWords = Readonly<
  Record<
    string,
    {
      /**
       * `nothing` for a word that stands alone; `channel` takes the number or the name of a capture's channel, `name` the name
       * of a place, or of a part with `.current`.
       */
      readonly takes: Dimension | "nothing" | "channel" | "name";
      /** Words of which one must follow the value. */
      readonly how?: readonly string[];
      readonly range?: Range;
      readonly required?: boolean;
      readonly summary: string;
    }
  >
>;

/** The properties of a waveform, read. */
export interface Written {
  /** SI units. */
  readonly amounts: ReadonlyMap<string, Fraction>;
  readonly bare: ReadonlySet<string>;
  /** The words that follow values, by the word of the property. */
  readonly hows: ReadonlyMap<string, string>;
  /** The channels of a capture, by the word of the property. */
  readonly channels: ReadonlyMap<string, number | string>;
  /** Names, by the word of the property. */
  readonly names: ReadonlyMap<string, Reference>;
}

/** Reads the properties of a waveform or a capture; `what` names it, as in "a pulse". */
export function readProperties(
  w: Pick<Waveform, "properties" | "span">,
  words: WaveWords,
  what: string,
  values: ValueReader,
  report: Report,
): Written | undefined {
  const amounts = new Map<string, Fraction>();
  const bare = new Set<string>();
  const hows = new Map<string, string>();
  const met = new Map<string, Property>();
  const channels = new Map<string, number | string>();
  const names = new Map<string, Reference>();
  let sound = true;
  for (const p of w.properties) {
    const word = p.word.text;
    const known = Object.hasOwn(words, word) ? words[word] : undefined;
    if (!known) {
      reportName(report, "unknown-property", `${what} has no '${word}'`, p.word, Object.keys(words));
      sound = false;
      continue;
    }
    if (repeated(met, p, report)) sound = false;
    met.set(word, p);
    if (known.takes === "nothing") {
      if (p.value.type === "bare") bare.add(word);
      else {
        report.error("property-form", `'${word}' stands alone`, p.span, {
          hint: `write '${word}' and nothing behind it`,
        });
        sound = false;
      }
    } else if (known.takes === "channel") {
      const channel = channelIn(p, values);
      if (channel === undefined) sound = false;
      else channels.set(word, channel);
    } else if (known.takes === "name") {
      const name = nameIn(p);
      if (name) names.set(word, name);
      else {
        report.error(
          "property-form",
          `'${word}' takes the name of a place, or of a part with '.current'`,
          p.span,
          { hint: `write '${word} ramp'` },
        );
        sound = false;
      }
    } else if (p.value.type !== "amount" || p.value.at || !said(known.how, p.value.how?.text)) {
      const behind = known.how ? `, and '${known.how.join("' or '")}'` : "";
      report.error("property-form", `'${word}' takes ${nameOf(known.takes)}${behind}`, p.span, {
        hint: `write it behind '${word}'`,
      });
      sound = false;
    } else {
      if (p.value.how) hows.set(word, p.value.how.text);
      const value = values.fraction(p.value.amount.value, known.takes, `'${word}'`, known.range);
      if (value) amounts.set(word, value);
      else sound = false;
    }
  }
  for (const [word, { required, takes }] of Object.entries(words)) {
    // A missing property may be one that was written wrongly.
    if (!required || typeof takes === "string" || met.has(word) || !sound) continue;
    report.error("missing-property", `${what.replace(/^an? /, "this ")} does not say '${word}'`, w.span, {
      hint: `add ', ${word}' and ${nameOf(takes)}`,
    });
    sound = false;
  }
  return sound ? { amounts, bare, hows, channels, names } : undefined;
}

/** Whether the word after a value is one of those that must follow it, or absent if none may. */
function said(known: readonly string[] | undefined, word: string | undefined): boolean {
  return known ? word !== undefined && known.includes(word) : word === undefined;
}

function nameIn(p: Property): Reference | undefined {
  const value = p.value.type === "amount" && !p.value.how && !p.value.at ? p.value.amount : undefined;
  return value?.value.type === "name" && !value.tolerance ? value.value.reference : undefined;
}

/** A channel by its number, or by its name if that is one word. */
function channelIn(p: Property, values: ValueReader): number | string | undefined {
  const value = p.value.type === "amount" && !p.value.how && !p.value.at ? p.value.amount.value : undefined;
  if (value?.type === "name") return value.reference.path.map((word) => word.text).join(".");
  const number = value && values.fraction(value, dimension.number, "the channel", "positive");
  if (number?.d === 1n) return Number(number.n);
  if (!value || number)
    values.report.error(
      "property-form",
      `'${p.word.text}' takes the number of a channel, from 1, or its name`,
      p.span,
      { hint: `write '${p.word.text} 1'` },
    );
  return undefined;
}

/** Reports a word that means nothing after a value. */
export function reportStray(word: string, how: Property["word"], report: Report): void {
  report.error("stray-word", `'${how.text}' means nothing behind the value of '${word}'`, how.span, {
    hint: `a property stands behind a comma: ', ${how.text}'`,
  });
}

/** Reports a property given twice. */
export function repeated(found: ReadonlyMap<string, unknown>, p: Property, report: Report): boolean {
  if (!found.has(p.word.text)) return false;
  report.error("repeated-property", `'${p.word.text}' is given twice`, p.span, {
    hint: "delete one of them",
  });
  return true;
}

/**
 * Reports an unknown word, with the nearest known one as a mend.
 * @param at the word, its span, and the quotes around it if there are any
 * @param known the known words; a function if they are costly to find
 */
export function reportName(
  report: Report,
  code: string,
  message: string,
  at: { readonly text: string; readonly span: Property["span"]; readonly quote?: string },
  known: readonly string[] | (() => readonly string[]),
): undefined {
  if (report.isLost(at.text)) return;
  const { quote = "" } = at;
  report.error(code, message, at.span, () => {
    const words = typeof known === "function" ? known() : known;
    const near = nearest(at.text, words);
    if (near)
      return {
        hint: `did you mean ${quote === "" ? `'${near}'` : quote + near + quote}?`,
        fix: { span: at.span, text: quote + near + quote },
      };
    return { hint: words.length > 0 ? `known here: ${some(words, quote)}` : undefined };
  });
}

/** A chain of names, for messages; a long one is cut in the middle. */
export function shown(way: readonly string[]): readonly string[] {
  return way.length > 12 ? [...way.slice(0, 6), "…", ...way.slice(-5)] : way;
}

function some(words: readonly string[], quote: string): string {
  const shown = words.slice(0, 12).map((word) => quote + word + quote);
  return words.length > 12 ? `${shown.join(", ")}, …` : shown.join(", ");
}

/** A summary of the language reference as a hint: what stands between backticks there is quoted as in any message. */
export function hintOf({ summary }: { readonly summary: string }): string {
  return summary.replaceAll("`", "'");
}
