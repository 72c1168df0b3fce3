// What may be written in the properties of a part, value or waveform: property words, what each takes, and units that fit.

import { type Dimension, nameOf, sameDimension } from "../base/dimension.js";
import { readUnit, unitWords } from "../base/quantity.js";
import { aspectsOf } from "../design/checks.js";
import { ownPeriods } from "../design/ownperiods.js";
import { ratable, ratedSizes } from "../design/ratings.js";
import { distributionWords, spreadWords } from "../design/spreading.js";
import { wordsOf } from "../design/videowave.js";
import { forms } from "../design/waveform.js";
import type { WaveWords } from "../design/words.js";
import type { Kind, PropertyWord } from "../parts/contract.js";
import { statementKinds } from "../parts/kinds.js";
import { keyword } from "../syntax/tokens.js";
import { beginsWave, behindPlaces } from "../syntax/upcoming.js";
import type { Named } from "./named.js";
import { type NamedTexts, type Offer, placeNames, type Typed, valueNames } from "./offers.js";

/** What is known of a property: a kind's or a waveform's word. */
type Known = Pick<PropertyWord, "word" | "summary" | "at"> & {
  readonly takes: PropertyWord["takes"] | WaveWords[string]["takes"];
};

const supply = statementKinds.find(({ word }) => word === "supply");

/** The kind whose properties a statement has. */
function kindOf({ tokens, desk }: Typed): Kind | undefined {
  const first = tokens[0]?.image ?? "";
  return first === "supply" ? supply : desk.vocabulary.kind(first);
}

/** The words of the statement's waveform, if it has one. */
function waveWords({ tokens }: Typed): WaveWords | undefined {
  const equals = tokens.findIndex(({ image }) => image === "=" || image === "is");
  const at = behindPlaces(tokens) ?? (equals < 0 ? undefined : equals + 1);
  const rest = at === undefined ? [] : tokens.slice(at);
  if (!beginsWave(rest)) return undefined;
  const form = rest[1]?.tokenType === keyword.sync ? "sync" : rest[0].image;
  const known = Object.hasOwn(forms, form) ? forms[form as keyof typeof forms] : undefined;
  if (form !== "video") return known;
  const pattern =
    rest
      .map(({ image }) => image)
      .join(" ")
      .split(",")[1]
      ?.trim() ?? "";
  const own = wordsOf({ pattern: { text: pattern } } as Parameters<typeof wordsOf>[0]);
  return { ...known, ...own };
}

/** Every property that a statement may have. */
function knownIn(typed: Typed): Known[] {
  const wave = waveWords(typed);
  const first = typed.tokens[0]?.tokenType;
  if (wave) return Object.entries(wave).map(([word, { takes, summary }]) => ({ word, takes, summary }));
  const kind = kindOf(typed);
  const rated: Known = { word: "rated", takes: ratable.power.dimension, summary: "the most that it bears" };
  const valued = kind?.value !== undefined || first === keyword.given;
  const spreads = Object.entries(spreadWords).map(
    ([word, { summary }]): Known => ({ word, takes: "nothing", summary }),
  );
  return [...(kind?.properties ?? []), ...(kind ? [rated] : []), ...(valued ? spreads : [])];
}

/** The word of the property that the statement ends in, and how many words follow it. */
function propertyIn(typed: Typed): { readonly word?: string; readonly behind: number } {
  const { tokens } = typed;
  const comma = tokens.findLastIndex(({ image }) => image === ",");
  const places = behindPlaces(tokens);
  const from = comma >= 0 ? comma + 1 : places;
  if (from === undefined) return { behind: 0 };
  return { word: tokens[from]?.image, behind: tokens.length - from - 1 };
}

/** Words of properties, and what fits after the word that stands there. */
export function propertiesAt(typed: Typed, rules: readonly string[]): Offer[] {
  const rule = rules.at(-1);
  const { word, behind } = propertyIn(typed);
  const known = knownIn(typed);
  const { body } = typed;
  if (rule === "word" && behind < 0)
    return known.map(
      ({ word: label, takes, summary }): Offer => ({
        label,
        kind: "Property",
        detail: typeof takes === "object" ? `${nameOf(takes)}: ${summary}` : summary,
      }),
    );
  // After a value, a word says which of the part's sizes is rated.
  if (rule === "word") return word === "rated" ? Object.keys(ratedSizes).map(sizeOffer) : [];
  if (rules.includes("condition")) return placeNames(body);
  if (behind > 0) return valueNames(body);
  if (word === "spread") return distributionWords.map((label): Offer => ({ label, kind: "EnumMember" }));
  if (word === "tracks") return [...valueNames(body), ...partNames(typed)];
  const takes = known.find((one) => one.word === word)?.takes;
  if (takes === "place") return placeNames(body);
  return takes === "nothing" || takes === "control" || takes === "channel" ? [] : valueNames(body);
}

/** Whether a keyword may follow the property that stands there. */
export function takesWord(keyword: string, typed: Typed): boolean {
  const { word } = propertyIn(typed);
  const known = knownIn(typed).find((one) => one.word === word);
  return keyword === "at" ? known?.at !== undefined : known === undefined || known.takes === "control";
}

function sizeOffer(label: string): Offer {
  return { label, kind: "EnumMember", detail: ratedSizes[label as keyof typeof ratedSizes] };
}

function partNames({ body }: Typed): Offer[] {
  return [...body.parts.values()].map(({ name }): Offer => ({ label: name, kind: "Struct" }));
}

/** Units that fit after the number that stands there; all of them if any may. */
export function unitsFor(typed: Typed): Offer[] {
  const wanted = dimensionAt(typed);
  return unitWords.flatMap((label) => {
    const unit = readUnit(label);
    // Of signs that look alike, only one is offered.
    if (!unit || label !== label.normalize("NFKC") || (wanted && !sameDimension(wanted, unit.dimension)))
      return [];
    return [{ label, kind: "Unit", detail: nameOf(unit.dimension) }];
  });
}

function dimensionAt(typed: Typed): Dimension | undefined {
  const { tokens } = typed;
  // Anything may follow an arithmetic sign or a tolerance.
  const sign = tokens.at(-2)?.image ?? "";
  if (/^(\+-|±|\+\/-|[*/(])$/.test(sign)) return undefined;
  const kind = kindOf(typed);
  const places = behindPlaces(tokens);
  if (kind?.value && places === tokens.length - 1) return kind.value.dimension;
  if (kind === supply && tokens.length === 4) return supply?.value?.dimension;
  const { word } = propertyIn(typed);
  const takes = word === "rated" ? undefined : knownIn(typed).find((one) => one.word === word)?.takes;
  return typeof takes === "object" ? takes : undefined;
}

/** What may follow the dot after a part or a signal. */
export function valuesOf({ statement }: Named, desk: NamedTexts): Offer[] {
  if (statement.type === "signal")
    return [...ownPeriods(statement.wave).keys()].map(
      (label): Offer => ({
        label,
        kind: "Constant",
        detail: "a time of the signal",
      }),
    );
  const kind = statement.type === "part" ? desk.vocabulary.kind(statement.kind.text) : supply;
  if (!kind) return [];
  return [
    ...Object.keys(aspectsOf(kind)).map(
      (label): Offer => ({
        label,
        kind: "Field",
        detail: "of the part",
      }),
    ),
    ...kind.properties.map(
      ({ word, summary }): Offer => ({
        label: word,
        kind: "Property",
        detail: summary,
      }),
    ),
  ];
}
