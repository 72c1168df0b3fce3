// Reads a table of the user's own that a verb takes: what can be bought, or what was measured.
import { DesignError } from "../base/diagnostic.js";
import { inputBytes } from "../files/filesread.js";
import { decoderFor } from "../instruments/encoding.js";
import { printable } from "./output.js";
import { EarlyEnd, reasonOf, status } from "./refusal.js";
import { TextError } from "./telling.js";

/** What `read` makes of the text of a file, in whichever encoding a spreadsheet saved it. @throws EarlyEnd, TextError */
export function ownTable<T>(file: string, read: (text: string) => T): T {
  let bytes: Uint8Array;
  try {
    bytes = inputBytes(file);
  } catch (error) {
    const message = `${printable(file)} cannot be read: ${reasonOf(error)}`;
    throw new EarlyEnd(message, status.wrong, "unreadable-file");
  }
  const decoder = decoderFor(bytes);
  const text = decoder.take(bytes) + decoder.rest();
  try {
    return read(text);
  } catch (error) {
    if (error instanceof DesignError) throw new TextError(error.diagnostics, { text, name: file });
    throw error;
  }
}
