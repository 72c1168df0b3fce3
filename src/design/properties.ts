// The properties of a part by the words of its kind: amounts in their dimensions and ranges, places, words alone, and
// the control of a switch, which is read later because it may name a place that a later statement makes.
import type { Report } from "../base/diagnostic.js";
import { nameOf } from "../base/dimension.js";
import type { Kind, PropertyWord } from "../parts/contract.js";
import type { Property, Reference, Word } from "../syntax/tree.js";
import type { Amount } from "./design.js";
import type { Scope } from "./scope.js";
import { spreadWords } from "./spreading.js";
import { repeated, reportName, reportStray } from "./words.js";

/** What the properties of a part come to. */
export interface Words {
  readonly amounts: Map<string, Amount>;
  readonly places: Map<string, number>;
  readonly flags: Set<string>;
  readonly control?: Property;
}

/** The properties of a part of a kind; undefined when one of them is wrong. */
export function readWords(
  name: Word,
  properties: readonly Property[],
  kind: Kind,
  scope: Scope,
  report: Report,
): Words | undefined {
  const amounts = new Map<string, Amount>();
  const places = new Map<string, number>();
  const flags = new Set<string>();
  const given = new Map<string, Property>();
  let control: Property | undefined;
  let sound = true;
  for (const p of properties) {
    const known = kind.properties.find((k) => k.word === p.word.text);
    if (!known) {
      reportName(report, "unknown-property", `a ${kind.word} has no '${p.word.text}'`, p.word, [
        ...kind.properties.map((k) => k.word),
        "rated",
        ...(kind.value ? Object.keys(spreadWords) : []),
      ]);
      sound = false;
      continue;
    }
    if (repeated(given, p, report)) {
      sound = false;
      continue;
    }
    given.set(p.word.text, p);
    if (p.value.type === "amount" && p.value.how) {
      reportStray(p.word.text, p.value.how, report);
      sound = false;
      continue;
    }
    const at = readAt(p, known, kind, name, scope, report);
    if (!at) {
      sound = false;
      continue;
    }
    for (const [word, amount] of at) amounts.set(word, amount);
    if (known.takes === "control" && (p.value.type === "while" || p.value.type === "times")) control = p;
    else if (known.takes === "nothing" && p.value.type === "bare") flags.add(known.word);
    else if (known.takes === "place" && placeNamed(p)) {
      places.set(known.word, scope.place(placeNamed(p)!));
    } else if (typeof known.takes === "object" && p.value.type === "amount") {
      const what = `'${known.word}' of ${kind.word} '${name.text}'`;
      const written = scope.values.amount(p.value.amount, known.takes, what, known.range);
      const full = `${scope.prefix}${name.text}.${known.word}`;
      const amount = written && scope.values.allowed(scope.exact(full, written), what, known.range ?? "any");
      if (amount) amounts.set(known.word, amount);
      else sound = false;
    } else {
      report.error("property-form", `'${known.word}' is ${formOf(known)}`, p.span, {
        hint: known.summary,
      });
      sound = false;
    }
  }
  for (const known of kind.properties) {
    if (!known.required || given.has(known.word)) continue;
    report.error("missing-property", `${kind.word} '${name.text}' does not say '${known.word}'`, name.span, {
      hint: known.summary,
    });
    sound = false;
  }
  const chosen = (kind.oneOf ?? []).filter((word) => given.has(word));
  if (kind.oneOf && chosen.length !== 1) {
    const words = kind.oneOf.map((word) => `'${word}'`).join(", ");
    const message = `${kind.word} '${name.text}' says ${chosen.length === 0 ? "none" : "more than one"} of ${words}`;
    report.error(chosen.length === 0 ? "missing-property" : "repeated-property", message, name.span, {
      hint: "exactly one of them must stand there",
    });
    sound = false;
  }
  return sound ? { amounts, places, flags, ...(control && { control }) } : undefined;
}

/** What stands behind `at` in a property, by that word; undefined where it is wrong. */
function readAt(
  p: Property,
  known: PropertyWord,
  kind: Kind,
  name: Word,
  scope: Scope,
  report: Report,
): ReadonlyMap<string, Amount> | undefined {
  const at = p.value.type === "amount" ? p.value.at : undefined;
  if (at && !known.at) {
    reportStray(p.word.text, { text: "at", span: at.span }, report);
    return undefined;
  }
  if (!known.at) return new Map();
  if (!at) {
    const message = `'${known.word}' does not say at which ${nameOf(known.at).replace(/^an? /, "")}`;
    report.error("property-form", message, p.span, { hint: known.summary.replaceAll("`", "'") });
    return undefined;
  }
  const what = `'at' of ${kind.word} '${name.text}'`;
  const written = scope.values.amount({ value: at, span: at.span }, known.at, what, "positive");
  const set = written && scope.exact(`${scope.prefix}${name.text}.at`, written);
  const amount = set && scope.values.allowed(set, what, "positive");
  return amount && new Map([["at", amount]]);
}

/** The place that a property names; a place may be called `0` or `2nd`, which reads as a number. */
function placeNamed(p: Property): Reference | undefined {
  if (p.value.type !== "amount") return undefined;
  const e = p.value.amount.value;
  if (e.type === "name") return e.reference;
  return e.type === "number" && !e.unit ? { path: [e.digits], span: e.span } : undefined;
}

function formOf(p: PropertyWord): string {
  if (p.takes === "control") return "followed by 'while', 'from', 'after' or 'before'";
  if (p.takes === "place") return "followed by the name of a place";
  if (p.takes === "nothing") return "a word alone";
  return nameOf(p.takes);
}
