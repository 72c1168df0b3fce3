// Checks what callers hand over: options by name, quantities, words out of a list, whole numbers. A caller without types may hand
// over anything, and a misspelt option would go unread, so whatever makes no sense is refused with the diagnostic `bad-option`.
import { refusal } from "./diagnostic.js";
import { type Dimension, nameOf, sameDimension } from "./dimension.js";
import { Fraction } from "./fraction.js";
import { legible, readOnce } from "./legible.js";
import { didYouMeanOneOf } from "./nearest.js";
import { asWritten, readQuantity } from "./quantity.js";

/** The sort of value that an option takes. */
type Sort = "text" | "texts" | "number" | "flag" | "function" | "object" | "any";

/** The options of a call by their names. */
export type Sorts<T> = Readonly<Record<keyof T, Sort>>;

const said: Readonly<Record<Sort, string>> = {
  text: "a text",
  texts: "a list of texts",
  number: "a number",
  flag: "true or false",
  function: "a function",
  object: "an object",
  any: "anything",
};

function suits(value: unknown, sort: Sort): boolean {
  switch (sort) {
    case "text":
      return typeof value === "string";
    case "texts":
      return Array.isArray(value) && value.every((one) => typeof one === "string");
    case "number":
      return typeof value === "number";
    case "flag":
      return typeof value === "boolean";
    case "function":
      return typeof value === "function";
    case "object":
      return typeof value === "object" && value !== null;
    default:
      return true;
  }
}

/**
 * Refuses options that a call does not have, and values of the wrong sort. An `undefined` value counts as left out.
 * @param within prefix of the options' names, for those inside another one: `limits.`
 * @throws DesignError `bad-option`
 */
export function asked<T extends object>(given: T, sorts: Sorts<Required<T>>, within = ""): void {
  if (typeof given !== "object" || given === null)
    refuseOption(within.slice(0, -1) || "options", "expected an object");
  const names = Object.keys(sorts);
  for (const name of legible(within.slice(0, -1) || "options", () => Object.keys(given)))
    if (
      !Object.hasOwn(sorts, name) &&
      legible(`${within}${name}`, () => given[name as keyof T]) !== undefined
    )
      refuseOption(`${within}${name}`, "there is no such option", didYouMeanOneOf(name, names));
  // Read by name, so that properties inherited from a class count as well.
  for (const name of names) {
    const value = legible(`${within}${name}`, () => given[name as keyof T]);
    if (value === undefined) continue;
    const sort = sorts[name as keyof T];
    readOnce(`${within}${name}`, value);
    if (!suits(value, sort)) refuseOption(`${within}${name}`, `expected ${said[sort]}`);
  }
}

/** A quantity as text with its unit, `"5 ms"`, as a number in SI units, or as an exact rational (fraction.js) in them. */
export type Given = string | number | Fraction;

/**
 * A quantity that a caller hands over, as an exact value in its SI unit.
 * @param option its name in the diagnostic
 * @throws DesignError `bad-option`
 */
export function exactly(given: Given, dimension: Dimension, option: string): Fraction {
  readOnce(option, given);
  if (given instanceof Fraction) return given;
  if (typeof given === "number") {
    if (!Number.isFinite(given))
      refuseOption(option, `${given} is not a finite number`, "give one in SI units, or a text with a unit");
    return asWritten(given);
  }
  if (typeof given !== "string") refuseOption(option, "neither a number nor a text");
  const read = readQuantity(given);
  if (!read.ok) return refuseOption(option, read.message, read.hint);
  const { value, dimension: found } = read.value;
  if (!sameDimension(found, dimension))
    refuseOption(option, `${given} is ${nameOf(found)}, not ${nameOf(dimension)}`);
  return value;
}

/** A word that a caller hands over, which must be one of those known. @throws DesignError `bad-option` */
export function oneOf<T extends string>(option: string, given: string, known: readonly T[]): T {
  const found = known.find((word) => word === given);
  return found ?? refuseOption(option, `there is no '${given}'`, didYouMeanOneOf(String(given), known));
}

/** A whole number in a range that a caller hands over. @throws DesignError `bad-option` */
export function wholeNumber(option: string, given: number, least: number, most: number): number {
  if (Number.isInteger(given) && given >= least && given <= most) return given;
  return refuseOption(option, `a whole number from ${least} to ${most}`);
}

/** Refuses an option as a diagnostic. @throws DesignError `bad-option` */
export function refuseOption(option: string, message: string, hint?: string): never {
  throw refusal("bad-option", `${option}: ${message}`, hint);
}
