// Reading: the design from a file or from standard input.
import { statSync } from "node:fs";
import { inputBytes } from "../files/filesread.js";
import { mostBytes } from "../files/neighbours.js";
import { designText } from "../instruments/encoding.js";
import { EarlyEnd, reasonOf, status } from "./refusal.js";

/** A design text and where it came from. */
export interface Source {
  readonly text: string;
  /** As it appears in messages. */
  readonly name: string;
  /** Values that replace those of the text, by full name. */
  readonly values?: Readonly<Record<string, string>>;
}

/** The code of a file that cannot be read. */
const unreadable = "unreadable-file";

/**
 * Reads a design; `-` is standard input.
 * @throws EarlyEnd when it cannot be read
 */
export function readSource(file: string): Source {
  const name = file === "-" ? "standard input" : file;
  try {
    if (file !== "-" && statSync(file).size > mostBytes) {
      throw new EarlyEnd(`${name}: longer than any design may be`, status.wrong, unreadable);
    }
    const text = designText(inputBytes(file));
    return { text, name };
  } catch (error) {
    if (error instanceof EarlyEnd) throw error;
    // An empty or closed standard input reads as an empty text, which has its own diagnostic.
    if (file === "-" && (error as NodeJS.ErrnoException).code === "EOF") return { text: "", name };
    throw new EarlyEnd(`${name} cannot be read: ${reasonOf(error)}`, status.wrong, unreadable);
  }
}
