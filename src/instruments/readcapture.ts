// Makes a capture of what an instrument has written: a table as text or bytes, or a sound file. The caller hands the content in;
// no file is read here.
import { asked, exactly, type Given, oneOf, refuseOption } from "../base/asked.js";
import { refusal } from "../base/diagnostic.js";
import { dimension, unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { readOnce } from "../base/legible.js";
import { readQuantity } from "../base/quantity.js";
import type { Capture } from "./capture.js";
import type { Separator } from "./dialect.js";
import { type Decoder, decoderFor } from "./encoding.js";
import { type ScaledUnit, unitIn } from "./labels.js";
import { readTable } from "./sampletable.js";
import { isSoundFile, readSoundFile } from "./soundfile.js";

/** What a caller knows of a capture; the rest is found from its content. */
export interface ReadOptions {
  /** Its name in messages; `capture` unless given. */
  readonly name?: string;
  /** The separator of a table's cells: `,`, `;`, a tab or a blank. */
  readonly separator?: string;
  /** The decimal sign: `.` or `,`. */
  readonly decimal?: string;
  /** Time between two samples: text with a unit, or s. A column of time is then ignored. */
  readonly interval?: Given;
  /** Unit of the samples, e.g. `mV`, in place of any that the file states. */
  readonly unit?: string;
  /** What full scale of a sound file stands for, e.g. `1.2 V`; unless given, samples are shares of full scale. */
  readonly fullScale?: string;
}

/** What an instrument has written: text or bytes; a long table may come in pieces. */
export type CaptureContent = string | Uint8Array | Iterable<string | Uint8Array>;

/** The most bytes or characters that a table may have. */
const most = 2 ** 31 - 1;
/** The most characters of a line: far more than any row of channels has. */
const mostOfLine = 2 ** 24;
/** Bytes or characters that are taken at a time. */
const bytesAtOnce = 1 << 20;

/**
 * Reads a capture: a table with any number of lines above it, time and channels in columns or an interval in its head, separated
 * by commas, semicolons, tabs or blanks, with decimal points or commas, an empty cell for a gap; or a sound file (RIFF WAVE).
 *
 * @category Captures
 * @example
 * ```ts
 * const capture = readCapture("Time (s),CH1 (V)\n0,0.0\n1e-6,0.1\n2e-6,0.2\n");
 * capture.channels[0].name; // "CH1"
 * ```
 * @param content text or bytes; a long table may come in pieces
 * @throws DesignError with every mistake found, each with row and column: `no-number`, `time-backwards`, `time-stands`, ...
 */
export function readCapture(content: CaptureContent, options: ReadOptions = {}): Capture {
  asked(options, {
    name: "text",
    separator: "text",
    decimal: "text",
    interval: "any",
    unit: "text",
    fullScale: "text",
  });
  readOnce("content", content);
  const { name = "capture", separator, decimal, interval, unit, fullScale } = options;
  if (content instanceof Uint8Array && isSoundFile(content)) {
    const [scale, of] = fullScale === undefined ? [1, ""] : amountOf(fullScale);
    return readSoundFile(content, name, scale, of);
  }
  if (
    !(
      typeof content === "string" ||
      (typeof content === "object" && content !== null && Symbol.iterator in content)
    )
  )
    throw refuseOption("content", "neither text nor bytes");
  const long = typeof content === "string" || content instanceof Uint8Array ? content.length : 0;
  if (long > most)
    throw refusal(
      "too-many-samples",
      `${name} is longer than 2 GB`,
      "take fewer samples, or hand it in by pieces",
    );
  const step = interval === undefined ? undefined : toNumber(exactly(interval, dimension.time, "interval"));
  if (step !== undefined && !(step > 0))
    refuseOption("interval", "the time between samples is longer than zero");
  return readTable(linesOf(content, name), {
    name,
    separator:
      separator === undefined ? undefined : oneOf<Separator>("separator", separator, [",", ";", "\t", " "]),
    decimal: decimal === undefined ? undefined : oneOf<"." | ",">("decimal", decimal, [".", ","]),
    interval: step,
    unit: unit === undefined ? undefined : unitAsked(unit),
  });
}

function unitAsked(word: string): ScaledUnit {
  return unitIn(word) ?? refuseOption("unit", `'${word}' is not a unit`);
}

function amountOf(text: string): [number, string] {
  const read = readQuantity(text);
  if (!read.ok) return refuseOption("fullScale", read.message, read.hint);
  return [toNumber(read.value.value), unitOf(read.value.dimension)];
}

/** Lines without their ends, wherever the pieces cut them. */
function* linesOf(content: CaptureContent, name: string): Generator<string> {
  // The pieces of a line are joined when it ends; otherwise a long line would be copied at each piece.
  let left: string[] = [];
  let length = 0;
  const keep = (part: string) => {
    left.push(part);
    length += part.length;
    if (length <= mostOfLine) return;
    const message = `${name} has a line of more than ${mostOfLine} characters`;
    throw refusal("no-samples-found", message, "samples stand in lines, one row below the other");
  };
  // Lines end in a line feed, a carriage return, or both, which a piece may part.
  let returned = false;
  for (const piece of piecesOf(content)) {
    const own = returned && piece.startsWith("\n") ? piece.slice(1) : piece;
    if (piece !== "") returned = piece.endsWith("\r");
    const [first, ...rest] = (own.includes("\r") ? own.replace(/\r\n?/g, "\n") : own).split("\n");
    keep(first);
    for (const part of rest) {
      yield left.length > 1 ? left.join("") : left[0];
      [left, length] = [[], 0];
      keep(part);
    }
  }
  if (length > 0) yield left.join("");
}

function* piecesOf(content: CaptureContent): Generator<string> {
  if (typeof content === "string") {
    for (let at = 0; at < content.length; at += bytesAtOnce) yield content.slice(at, at + bytesAtOnce);
    return;
  }
  let decoder: Decoder | undefined;
  for (const piece of content instanceof Uint8Array ? cut(content) : content) {
    if (typeof piece === "string") {
      yield piece;
      continue;
    }
    if (!(piece instanceof Uint8Array)) refuseOption("content", "a piece is neither text nor bytes");
    decoder ??= decoderFor(piece);
    yield decoder.take(piece);
  }
  if (decoder) yield decoder.rest();
}

function* cut(bytes: Uint8Array): Generator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += bytesAtOnce) yield bytes.subarray(at, at + bytesAtOnce);
}
