// What a caller without types may hand over as options: each must be one that is known, and of its sort. A misspelt option would
// otherwise be read by nobody, and its default taken without a word.
import { DesignError } from "./diagnostic.js";
import { nearest } from "./nearest.js";

/** What may stand for an option. */
export type Sort = "text" | "texts" | "number" | "flag" | "function" | "object" | "any";

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
 * Refuses what is no option of a call, or of another sort. What is `undefined` counts as left out.
 * @param within what the options belong to, in front of their names: `limits.`
 * @throws DesignError `bad-option`
 */
export function asked<T extends object>(given: T, sorts: Sorts<Required<T>>, within = ""): void {
  if (typeof given !== "object" || given === null)
    refuseOption(within.slice(0, -1) || "options", "expected an object");
  const names = Object.keys(sorts);
  for (const [name, value] of Object.entries(given)) {
    if (value === undefined) continue;
    if (!Object.hasOwn(sorts, name)) {
      const near = nearest(name, names);
      refuseOption(
        `${within}${name}`,
        "there is no such option",
        near ? `did you mean '${near}'?` : `known here: ${names.join(", ")}`,
      );
    }
    const sort = sorts[name as keyof T];
    if (!suits(value, sort)) refuseOption(`${within}${name}`, `expected ${said[sort]}`);
  }
}

/** Refuses an option as a diagnostic. @throws DesignError `bad-option` */
export function refuseOption(option: string, message: string, hint?: string): never {
  throw DesignError.of("bad-option", `${option}: ${message}`, hint);
}
