// The properties of a part by the words of its kind: amounts in their dimensions and ranges, places, lone words, and
// the control of a switch, which is read later because it may name a place that a later statement makes.
import type { Report } from "../base/diagnostic.js";
import { type Dimension, nameOf } from "../base/dimension.js";
import { called, type Kind, type PropertyWord } from "../parts/contract.js";
import type { Range } from "../parts/range.js";
import type { Property, Reference, Valued, Word } from "../syntax/tree.js";
import type { Amount } from "./design.js";
import type { Scope } from "./scope.js";
import { spreadWords } from "./spreading.js";
import { hintOf, repeated, reportName, reportStray } from "./words.js";

/** A control as written, and the level at which it opens, if given. */
export interface ControlWords {
  readonly property: Property;
  readonly opens?: Amount;
}

/** The properties of a part, read. */
interface PartWords {
  readonly amounts: ReadonlyMap<string, Amount>;
  readonly places: ReadonlyMap<string, number>;
  /** Words that stand alone. */
  readonly flags: ReadonlySet<string>;
  readonly control?: ControlWords;
}

/**
 * The properties of a part of a kind; undefined when one of them is wrong.
 * @param refused true where what stands behind the places was refused: it may be what is missing
 */
export function readWords(
  name: Word,
  properties: readonly Property[],
  kind: Kind,
  scope: Scope,
  refused = false,
): PartWords | undefined {
  const silent = !kind.oneOf && kind.properties.every((p) => !p.required && !p.usual);
  if (properties.length === 0 && silent) return nothingSaid;
  const reader = new PropertyReader(name, kind, scope);
  const sound = properties.map((p) => reader.read(p)).every(Boolean);
  if (refused || !reader.complete() || !sound || !reader.fill()) return undefined;
  const { amounts, places, flags, control } = reader;
  return { amounts, places, flags, control };
}

/** Shared by all parts without properties, as most of a large text are. */
const nothingSaid: PartWords = {
  amounts: new Map(),
  places: new Map(),
  flags: new Set(),
  control: undefined,
};

/** Reads the properties of one part, one after another; mistakes go to the report. */
class PropertyReader {
  readonly amounts = new Map<string, Amount>();
  readonly places = new Map<string, number>();
  readonly flags = new Set<string>();
  private readonly met = new Map<string, Property>();
  private wrong = false;
  private readonly report: Report;

  constructor(
    private readonly name: Word,
    private readonly kind: Kind,
    private readonly scope: Scope,
  ) {
    this.report = scope.at.report;
  }

  get control(): ControlWords | undefined {
    for (const { word, takes, opens } of this.kind.properties) {
      const property = takes === "control" ? this.met.get(word) : undefined;
      if (property) return { property, opens: opens === undefined ? undefined : this.amounts.get(opens) };
    }
    return undefined;
  }

  /** Reads one property; false if it is wrong. */
  read(p: Property): boolean {
    const sound = this.taken(p);
    this.wrong ||= !sound;
    return sound;
  }

  private taken(p: Property): boolean {
    const { kind, report, met } = this;
    const known = kind.properties.find((k) => k.word === p.word.text);
    if (!known) {
      reportName(report, "unknown-property", `${called(kind)} has no '${p.word.text}'`, p.word, [
        ...kind.properties.map((k) => k.word),
        "rated",
        ...(kind.value ? Object.keys(spreadWords) : []),
      ]);
      return false;
    }
    if (repeated(met, p, report)) return false;
    met.set(p.word.text, p);
    if (known.excludes !== undefined && met.has(known.excludes)) {
      const message = `${called(kind)} is not both '${known.excludes}' and '${known.word}'`;
      report.error("repeated-property", message, p.span, { hint: "leave one of the two out" });
      return false;
    }
    const { value } = p;
    if (value.type === "amount" && value.how) {
      reportStray(p.word.text, value.how, report);
      return false;
    }
    if (!this.at(p, known)) return false;
    const { takes, word } = known;
    const place = takes === "place" ? placeNamed(p) : undefined;
    if (takes === "control" && (value.type === "while" || value.type === "times")) return true;
    if (takes === "nothing" && value.type === "bare") this.flags.add(word);
    else if (place) this.places.set(word, this.scope.place(place));
    else if (typeof takes === "object" && value.type === "amount")
      return this.amount(word, value.amount, takes, known.range);
    else {
      report.error("property-form", `'${word}' is ${formOf(known)}`, p.span, { hint: hintOf(known) });
      return false;
    }
    return true;
  }

  /** Reports what is missing once all properties are read; false if anything is missing or wrong. */
  complete(): boolean {
    const { kind, name, met, report } = this;
    const missing = kind.properties.filter((p) => p.required && !met.has(p.word));
    // A missing property may be one that was written wrongly.
    if (this.wrong) return false;
    for (const known of missing)
      report.error(
        "missing-property",
        `${kind.word} '${name.text}' does not say '${known.word}'`,
        name.span,
        {
          hint: hintOf(known),
        },
      );
    const chosen = (kind.oneOf ?? []).filter((word) => met.has(word));
    if (!kind.oneOf || chosen.length === 1) return missing.length === 0;
    const [none, words] = [chosen.length === 0, kind.oneOf.map((word) => `'${word}'`).join(", ")];
    const message = `${kind.word} '${name.text}' says ${none ? "none" : "more than one"} of ${words}`;
    report.error(none ? "missing-property" : "repeated-property", message, name.span, {
      hint: "exactly one of them must stand there",
    });
    return false;
  }

  /** Fills in the usual values of properties that are left out; false if one is set to a wrong value. */
  fill(): boolean {
    const silent = this.kind.properties.filter(({ word, usual }) => usual && !this.met.has(word));
    return silent
      .map(({ word, takes, range, usual: value }) => {
        if (!value || typeof takes !== "object") return true;
        const read = { value, low: value, high: value, dimension: takes, span: this.name.span };
        return this.allow(word, read, range ?? "any");
      })
      .every(Boolean);
  }

  /** Reads the quantity after `at` in a property, and keeps it by the word `at`; false if it is wrong. */
  private at(p: Property, known: PropertyWord): boolean {
    const at = p.value.type === "amount" ? p.value.at : undefined;
    if (at && !known.at) {
      reportStray(p.word.text, { text: "at", span: at.span }, this.report);
      return false;
    }
    if (!known.at) return true;
    if (at) return this.amount("at", { value: at, span: at.span }, known.at, "positive");
    const message = `'${known.word}' does not say at which ${nameOf(known.at).replace(/^an? /, "")}`;
    this.report.error("property-form", message, p.span, { hint: hintOf(known) });
    return false;
  }

  private amount(word: string, written: Valued, takes: Dimension, range: Range = "any"): boolean {
    const read = this.scope.values.amount(written, takes, this.what(word), range);
    return read !== undefined && this.allow(word, read, range);
  }

  /** Keeps an amount, or the value that it is set to; false if that is out of range. */
  private allow(word: string, read: Amount, range: Range): boolean {
    const { values, prefix, at } = this.scope;
    const full = `${prefix}${this.name.text}.${word}`;
    const amount = values.allowed(at.changes.exact(full, read), this.what(word), range);
    if (amount) this.amounts.set(word, amount);
    return amount !== undefined;
  }

  private what(word: string): string {
    return `'${word}' of ${this.kind.word} '${this.name.text}'`;
  }
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
