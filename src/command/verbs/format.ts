// The verb `format`: the canonical layout of a design text.
import { closeSync, fstatSync, fsyncSync, ftruncateSync, openSync, readFileSync, writeSync } from "node:fs";
import { refuseOption } from "../../base/asked.js";
import { format } from "../../syntax/layout.js";
import { readSource } from "../input.js";
import { flag } from "../option.js";
import { printable, tell } from "../output.js";
import { EarlyEnd, reasonOf, status } from "../refusal.js";
import { TextError } from "../telling.js";
import { designFile, verb } from "../verb.js";

export const formatVerb = verb({
  word: "format",
  summary: "prints the design in the canonical layout",
  operand: designFile,
  options: {
    check: flag("print nothing; exit status 1 when the layout differs"),
    "in-place": flag("lay the file itself out instead of printing"),
  },
  example: "format --in-place line.ramp",
  statuses: {
    0: "good",
    1: "not in this layout (--check)",
    2: "the design has mistakes, and is left as it is",
    3: "the file could not be written",
  },
  run({ operands: [file], options }) {
    if (options["in-place"] && file === "-")
      refuseOption("--in-place", "standard input has no place to be laid out in");
    const source = readSource(file);
    const { text, diagnostics } = format(source.text);
    if (text === undefined) throw new TextError(diagnostics, source);
    const same = text === source.text;
    if (options.check) {
      if (!same) tell(`${printable(source.name)}: not in the canonical layout`);
    } else if (options["in-place"] && !same) replace(file, source.text, text);
    return { text, same };
  },
  text: ({ text }, { options }) => (options.check || options["in-place"] ? "" : text),
  status: ({ same }, { options }) => (options.check && !same ? status.fails : status.good),
});

/**
 * Overwrites the text in a file. The file itself stays, with its mode, its owner, its other names (hard links) and
 * the links to it. If the new text cannot be written whole, the old one is put back.
 * @throws EarlyEnd if the file is read-only, not a plain file, or no longer holds the text that was read
 */
function replace(file: string, before: string, after: string): void {
  const refuse = (reason: string) =>
    new EarlyEnd(`${printable(file)} cannot be written: ${reason}`, status.stopped);
  let descriptor: number | undefined;
  try {
    descriptor = openSync(file, "r+");
    const found = fstatSync(descriptor);
    if (!found.isFile()) throw refuse("it is no plain file");
    // A superuser could write a read-only file too, but does not mean to.
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
