// Checks what the library's functions are handed: a design, a run, a trace. A caller without types may confuse them or hand over
// nothing; the diagnostic `bad-option` then says what is expected and where one comes from. Each is recognised by a few
// properties: this file knows nothing else of it.
import { refusal } from "./diagnostic.js";
import { legible, readOnce } from "./legible.js";

type Fields = Readonly<Record<string, unknown>>;

interface Mark {
  readonly is: (given: Fields) => boolean;
  readonly expected: string;
}

const listed = (given: unknown): boolean => Array.isArray(given);
const every = (given: unknown, is: (one: Fields) => boolean): boolean =>
  Array.isArray(given) && given.every((one) => typeof one === "object" && one !== null && is(one));
const called = (given: unknown): boolean => typeof given === "function";

const marks = {
  design: {
    is: (g) => called(g["remake"]) && called(g["measuring"]),
    expected: "a design, as `compile` makes it",
  },
  run: {
    is: (g) => called(g["trace"]) && typeof g["status"] === "string",
    expected: "a run, as `simulate` gives it",
  },
  trace: { is: (g) => called(g["resample"]), expected: "a trace, as `run.trace` gives it" },
  capture: {
    is: (g) => every(g["channels"], (one) => ArrayBuffer.isView(one["value"])),
    expected: "a capture, as `readCapture` gives it",
  },
  measuredParts: {
    is: (g) => listed(g["columns"]) && listed(g["labels"]),
    expected: "a table of measured parts, as `readMeasured` gives it",
  },
  trials: {
    is: (g) => listed(g["slices"]) && listed(g["measured"]),
    expected: "trials, as `trials` and `readTrials` give them",
  },
  film: {
    is: (g) => every(g["frames"], (one) => one["grey"] instanceof Uint8Array),
    expected: "a film, as `film` makes it",
  },
  stress: {
    is: (g) => every(g["parts"], (one) => typeof one["part"] === "string"),
    expected: "what `stress` gives",
  },
  stock: {
    is: (g) => every(g["items"], (one) => typeof one["kind"] === "string"),
    expected: "a list of stock, as `readStock` gives it",
  },
  image: {
    is: (g) =>
      g["grey"] instanceof Uint8Array && Number.isInteger(g["width"]) && Number.isInteger(g["height"]),
    expected: "a picture, as `raster` makes it",
  },
  span: {
    is: (g) => typeof g["from"] === "number" && typeof g["to"] === "number",
    expected: "a span of time, from and to in seconds",
  },
  diagnostic: {
    is: (g) => typeof g["message"] === "string" && typeof g["span"] === "object" && g["span"] !== null,
    expected: "a diagnostic, as `inspect` gives it",
  },
  reading: { is: (g) => typeof g["what"] === "string", expected: "a reading, `{ what, value }`" },
  fraction: {
    is: (g) => typeof g["n"] === "bigint" && typeof g["d"] === "bigint",
    expected: "an exact rational (fraction.js)",
  },
  dimension: { is: (g) => typeof g["volt"] === "number", expected: "a dimension, as `dimension` gives it" },
  resolved: { is: (g) => g["amounts"] instanceof Map, expected: "a part, as `make` of a kind is given it" },
} satisfies Readonly<Record<string, Mark>>;

function refuse(option: string, message: string): never {
  throw refusal("bad-option", `${option}: ${message}`);
}

/** The things that can be recognised. */
type Handed = keyof typeof marks;

/**
 * Refuses anything but the thing that a function takes.
 * @param given what was handed over, whatever it may be
 * @throws DesignError `bad-option`
 */
export function handed(what: Handed, given: unknown, called: string = what): void {
  const mark: Mark = marks[what];
  if (typeof given !== "object" || given === null || !legible(called, () => mark.is(given as Fields)))
    refuse(called, `expected ${mark.expected}`);
}

/** Refuses anything but a list of such things. @throws DesignError `bad-option` */
export function handedAll(what: Handed, given: unknown, called: string): void {
  if (!Array.isArray(given)) refuse(called, "expected a list");
  readOnce(called, given);
  for (const [i, one] of given.entries()) handed(what, one, `${called}[${i}]`);
}

/** Refuses anything but an object. @throws DesignError `bad-option` */
export function handedObject(given: unknown, called: string): void {
  if (typeof given !== "object" || given === null) refuse(called, "expected an object");
  readOnce(called, given);
}

/** Refuses anything but a text. @throws DesignError `bad-option` */
export function handedText(given: unknown, called: string): void {
  if (typeof given !== "string") refuse(called, "expected a text");
}

/** Refuses anything but a number; NaN and Infinity count as numbers. @throws DesignError `bad-option` */
export function handedNumber(given: unknown, called: string): void {
  if (typeof given !== "number") refuse(called, "expected a number");
}
