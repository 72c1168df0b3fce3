// The verb `format`: the canonical layout of a design text.
// Takes FILE; prints the text, or says whether it is laid out so already, or lays the file out in its place. Status: 0, 1
// when it is not (with --check), 2 when the text has mistakes (it is then left as it is), 3 when it cannot be written.
import { closeSync, fstatSync, fsyncSync, ftruncateSync, openSync, readFileSync, writeSync } from "node:fs";
import { format as layOut } from "../../syntax/layout.js";
import { readDesign, refuseText } from "../load.js";
import { printable, say, tell } from "../output.js";
import { EarlyEnd, reasonOf, status } from "../refusal.js";

/** Options of the verb. */
export interface FormatOptions {
  readonly check?: boolean;
  readonly inPlace?: boolean;
}

/** Runs the verb; gives the status. */
export function formatVerb(file: string, options: FormatOptions): number {
  if (options.inPlace && file === "-") {
    throw new EarlyEnd("standard input has no place to be laid out in; leave out --in-place", status.wrong);
  }
  const source = readDesign(file);
  const { text, diagnostics } = layOut(source.text);
  if (text === undefined) refuseText(diagnostics, source, false);
  const same = text === source.text;
  if (options.check) {
    if (!same) tell(`${printable(source.name)}: not in the canonical layout`);
    return same ? status.good : status.fails;
  }
  if (!options.inPlace) say(text);
  else if (!same) replace(file, source.text, text);
  return status.good;
}

/**
 * Writes a text over the one that a file holds. The file itself stays: its mode, its owner, its other names (hard links) and
 * the links to it. What cannot be written whole is put back as it was.
 * @throws Trouble when the file is read-only, no plain file, or holds something else than the text that was read
 */
function replace(file: string, before: string, after: string): void {
  const refuse = (reason: string) =>
    new EarlyEnd(`${printable(file)} cannot be written: ${reason}`, status.stopped);
  let descriptor: number | undefined;
  try {
    descriptor = openSync(file, "r+");
    const found = fstatSync(descriptor);
    if (!found.isFile()) throw refuse("it is no plain file");
    // Who may do everything may write read-only files as well, and did not mean to.
    if ((found.mode & 0o222) === 0) throw refuse("it is read-only");
    const old = Buffer.from(before);
    if (!readFileSync(descriptor).equals(old)) throw refuse("it is not UTF-8, or has just been changed");
    try {
      pour(descriptor, Buffer.from(after));
    } catch (error) {
      pour(descriptor, old);
      throw error;
    }
  } catch (error) {
    throw error instanceof EarlyEnd ? error : refuse(reasonOf(error));
  } finally {
    if (descriptor !== undefined) closeSync(descriptor);
  }
}

function pour(descriptor: number, bytes: Uint8Array): void {
  for (let at = 0; at < bytes.length; ) at += writeSync(descriptor, bytes, at, bytes.length - at, at);
  ftruncateSync(descriptor, bytes.length);
  fsyncSync(descriptor);
}
