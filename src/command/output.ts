// Writing: data to standard output, words to standard error, files whole or not at all.
// Always: a file stands under its name only when it is complete (it is written beside it and renamed); a reader that
// has gone away is no error; the texts of a design cannot steer the terminal.
import {
  closeSync,
  fsyncSync,
  openSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from "node:fs";
import { basename, dirname, join } from "node:path";
import { visible } from "../report/markup.js";
import { reasonOf, status, Trouble } from "./trouble.js";

/** Characters gathered before they are written. */
const block = 1 << 16;

/** Writes data to standard output; where the reader has gone away, nothing happens. */
export function say(text: string): void {
  put(1, text);
}

/** Writes words for people to standard error, with a line end. */
export function tell(text: string): void {
  put(2, `${text}\n`);
}

/** A text of a design on its way to a terminal: no control character and no mark that turns the direction acts. */
export function plain(text: string): string {
  return visible(text);
}

// writeSync, so that everything is out before the process ends, whatever stands at the other end.
function put(descriptor: 1 | 2, text: string): void {
  const bytes = Buffer.from(text);
  for (let at = 0; at < bytes.length; ) {
    try {
      at += writeSync(descriptor, bytes, at);
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      if (code === "EPIPE") return;
      if (code === "EAGAIN") {
        // A pipe that is full for now: wait a little for its reader.
        Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 5);
        continue;
      }
      if (descriptor === 2) return;
      throw new Trouble(`standard output cannot be written: ${reasonOf(error)}`, status.stopped);
    }
  }
}

/**
 * Writes a file from pieces of text or of bytes: beside its final name first, then renamed. What is no plain file (a pipe, a
 * device) is written directly.
 * @throws Trouble when it cannot be written; nothing is left behind
 */
export function writeFile(path: string, pieces: Iterable<string | Uint8Array>): void {
  let temporary: string | undefined;
  try {
    const target = followed(path);
    if (target.special) {
      pour(openSync(target.path, "w"), pieces, false);
      return;
    }
    temporary = join(dirname(target.path), `.${basename(target.path)}.${process.pid}.part`);
    pour(openSync(temporary, "wx", 0o666), pieces, true);
    renameSync(temporary, target.path);
  } catch (error) {
    if (temporary !== undefined) rmSync(temporary, { force: true });
    if (error instanceof Trouble) throw error;
    throw new Trouble(`${plain(path)} cannot be written: ${reasonOf(error)}`, status.stopped);
  }
}

function followed(path: string): { path: string; special: boolean } {
  try {
    const real = realpathSync(path);
    const found = statSync(real);
    if (found.isDirectory()) throw Object.assign(new Error("folder"), { code: "EISDIR" });
    return { path: real, special: !found.isFile() };
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return { path, special: false };
    throw error;
  }
}

function pour(descriptor: number, pieces: Iterable<string | Uint8Array>, settle: boolean): void {
  try {
    let waiting = "";
    const write = (bytes: Uint8Array) => {
      for (let at = 0; at < bytes.length; ) at += writeSync(descriptor, bytes, at);
    };
    const flush = () => {
      write(Buffer.from(waiting));
      waiting = "";
    };
    for (const piece of pieces) {
      if (typeof piece === "string") waiting += piece;
      if (typeof piece !== "string" || waiting.length >= block) flush();
      if (typeof piece !== "string") write(piece);
    }
    flush();
    if (settle) fsyncSync(descriptor);
  } finally {
    closeSync(descriptor);
  }
}

/** True where colour is welcome: a terminal, and nobody asked for none (no-color.org). */
export function colourful(): boolean {
  const { NO_COLOR, TERM } = process.env;
  return process.stdout.isTTY === true && (NO_COLOR ?? "") === "" && TERM !== "dumb";
}
