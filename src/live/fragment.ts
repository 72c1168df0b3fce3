// The changed values and the case in the fragment of a link, and back. A value is written with its unit if that gives exactly the
// same number, so that people can read the link, e.g. `#set.timing=18 nF&case=switch stuck`.
import { exactly } from "../base/asked.js";
import { DesignError } from "../base/diagnostic.js";
import { sameDimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { engineering, readLetterCode } from "../base/quantity.js";
import { textKey } from "./linkedtext.js";
import type { Knob, LiveDesign } from "./messages.js";

/** Prefix of a value's name, since a value may be called `case`. */
const set = "set.";

/** What a link says. */
export interface Linked {
  readonly values: Readonly<Record<string, number>>;
  readonly case: string;
  /** What it asks that the design does not know or allow, in words. */
  readonly refused: readonly string[];
}

/** A value as shown and as it can be typed. */
export function shownValue({ unit }: Pick<Knob, "unit">, value: number, figures = 4): string {
  return engineering(value, unit, figures);
}

/** Reads a typed value, including the letter codes of IEC 60062. @throws DesignError `bad-option` */
export function typedValue({ name, dimension }: Knob, text: string): number {
  const coded = readLetterCode(text.trim());
  if (coded && sameDimension(coded.dimension, dimension)) return toNumber(coded.value);
  return toNumber(exactly(text.trim(), dimension, name));
}

/** The fragment, with its `#`; empty if nothing was changed. */
export function fragmentOf(
  knobs: readonly Knob[],
  values: Readonly<Record<string, number>>,
  caseName: string,
): string {
  const parts = new URLSearchParams();
  for (const knob of knobs) {
    const value = values[knob.name];
    if (value !== undefined) parts.set(`${set}${knob.name}`, written(knob, value));
  }
  if (caseName !== "") parts.set("case", caseName);
  const text = parts.toString();
  return text === "" ? "" : `#${text}`;
}

function written(knob: Knob, value: number): string {
  const text = shownValue(knob, value, 12);
  try {
    if (typedValue(knob, text) === value) return text;
  } catch (error) {
    if (!(error instanceof DesignError)) throw error;
  }
  return String(value);
}

/** The packed text that a fragment holds. */
export function textOf(fragment: string): string | undefined {
  return new URLSearchParams(fragment.replace(/^#/, "")).get(textKey) ?? undefined;
}

/** Reads a fragment for a design. Never throws, whatever it holds. */
export function readFragment(
  fragment: string,
  { knobs, cases }: Pick<LiveDesign, "knobs" | "cases">,
): Linked {
  const values: Record<string, number> = {};
  const refused: string[] = [];
  let caseName = "";
  for (const [key, text] of new URLSearchParams(fragment.replace(/^#/, ""))) {
    // The text itself has been read before.
    if (key === textKey) continue;
    if (key === "case") {
      if (cases.some(({ name }) => name === text)) caseName = text;
      else refused.push(`no case is called "${text}"`);
      continue;
    }
    const knob = knobs.find(({ name }) => key === `${set}${name}`);
    if (!knob) {
      refused.push(`no value is called '${key.startsWith(set) ? key.slice(set.length) : key}'`);
      continue;
    }
    try {
      values[knob.name] = /^[-+\d.e]+$/i.test(text) ? numberOf(text, knob) : typedValue(knob, text);
    } catch (error) {
      if (!(error instanceof DesignError)) throw error;
      refused.push(error.diagnostics[0].message);
    }
  }
  return { values, case: caseName, refused };
}

/** A plain number, SI. */
function numberOf(text: string, knob: Knob): number {
  return Number.isFinite(Number(text)) ? Number(text) : typedValue(knob, text);
}
