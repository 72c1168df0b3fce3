// Writing: data to standard output, words to standard error, files whole or not at all: a file is written next to its final
// name and renamed when complete. A reader that has gone away is no error, and the texts of a design cannot control the
// terminal.

import {
  accessSync,
  closeSync,
  constants,
  fchmodSync,
  fsyncSync,
  openSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from "node:fs";
import { basename, dirname, extname, join } from "node:path";
import { refuseOption } from "../base/asked.js";
import { enumerated } from "../base/quantity.js";
import { isInput } from "../files/filesread.js";
import { visible } from "../report/markup.js";
import { schemaVersion } from "../waveforms/csvjson.js";
import { EarlyEnd, reasonOf, status } from "./refusal.js";

/** Characters collected before they are written. */
const block = 1 << 16;
/** Bytes after which signals get a chance. */
const breath = 1 << 20;

/** Writes data to standard output; does nothing if the reader has gone away. */
export function say(text: string): void {
  put(1, text);
}

/**
 * Plain data as indented JSON text, with the version of its format. JSON cannot write non-finite numbers, so these become null.
 */
export function jsonText(data: object, indent = 2): string {
  const number = (_: string, value: unknown) =>
    typeof value !== "number" ? value : Number.isFinite(value) ? value + 0 : null;
  return `${JSON.stringify({ schemaVersion, ...data }, number, indent)}\n`;
}

/** Writes words for people to standard error, with a line end. */
export function tell(text: string): void {
  put(2, `${text}\n`);
}

/** A text of a design for a terminal: control characters and marks that change the direction have no effect. */
export function printable(text: string): string {
  return visible(text);
}

/** A written file as messages call it: `-` is standard output. */
export function toldPath(path: string): string {
  return path === "-" ? "standard output" : printable(path);
}

// writeSync, so that everything is out before the process ends, whatever is at the other end.
function put(descriptor: 1 | 2, data: string | Uint8Array): void {
  const bytes = typeof data === "string" ? Buffer.from(data) : data;
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
      throw new EarlyEnd(`standard output cannot be written: ${reasonOf(error)}`, status.stopped);
    }
  }
}

/** The name for standard output. */
const standard = "-";

/**
 * The writer for a file, by the ending of its name; standard output has no ending and gets the first writer.
 * @throws DesignError `bad-option` for an ending that no writer handles
 */
export function writerOf<W>(path: string, writers: Readonly<Record<string, W>>): W {
  const endings = Object.keys(writers);
  const ending = path === standard ? endings[0] : extname(path);
  if (Object.hasOwn(writers, ending)) return writers[ending];
  return refuseOption("--out", `${printable(path)}: a file to write ends in ${enumerated(endings, "or")}`);
}

/** Where a file is to be written: its path behind links, what is there now, and its name until it is complete. */
interface Target {
  readonly path: string;
  /** A pipe or a device: written directly. */
  readonly special: boolean;
  readonly mode?: number;
  readonly temporary: string;
}

/**
 * Checks that a file can be written, before the work whose result it is for. Leaves no trace.
 * @throws EarlyEnd if it cannot
 */
export function tryFile(path: string): void {
  if (path === standard) return;
  guarded(path, () => {
    const { path: real, special, temporary } = followed(path);
    if (special) return accessSync(real, constants.W_OK);
    try {
      closeSync(openSync(temporary, "wx", 0o600));
    } finally {
      rmSync(temporary, { force: true });
    }
  });
}

/**
 * Writes a file from pieces of text or bytes: first next to its final name, then renamed, with the mode of the file that it
 * replaces. Anything but a plain file (a pipe, a device) is written directly. Signals to end are handled between blocks.
 * @throws EarlyEnd if it cannot be written, or the work is interrupted; nothing is left behind
 */
export async function writeFile(path: string, pieces: Iterable<string | Uint8Array>): Promise<void> {
  if (path === standard) {
    for (const piece of pieces) put(1, piece);
    return;
  }
  const target = guarded(path, () => followed(path));
  const { special, temporary, mode } = target;
  let interrupted = false;
  const heard = () => {
    interrupted = true;
  };
  for (const signal of endings) process.on(signal, heard);
  try {
    const descriptor = guarded(path, () =>
      special ? openSync(target.path, "w") : openSync(temporary, "wx", mode ?? 0o666),
    );
    await pour(descriptor, pieces, target, () => interrupted);
    if (!special) renameSync(temporary, target.path);
  } catch (error) {
    if (!special) rmSync(temporary, { force: true });
    throw unwritable(path, error);
  } finally {
    for (const signal of endings) process.removeListener(signal, heard);
  }
}

/** Signals that end a process. */
const endings = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

function unwritable(path: string, error: unknown): EarlyEnd {
  if (error instanceof EarlyEnd) return error;
  return new EarlyEnd(`${printable(path)} cannot be written: ${reasonOf(error)}`, status.stopped);
}

function guarded<T>(path: string, action: () => T): T {
  try {
    return action();
  } catch (error) {
    throw unwritable(path, error);
  }
}

function followed(path: string): Target {
  const beside = (file: string) =>
    join(dirname(file), `.${basename(file).slice(0, 200)}.${process.pid}.part`);
  try {
    const real = realpathSync(path);
    const found = statSync(real);
    if (found.isDirectory()) throw Object.assign(new Error("folder"), { code: "EISDIR" });
    const special = !found.isFile();
    if (isInput(real)) throw new Error("it is read here, and would be lost; name another file");
    // A superuser could replace a read-only file too, but does not mean to.
    if (!special && (found.mode & 0o222) === 0) throw new Error("it is read-only");
    return { path: real, special, mode: found.mode & 0o777, temporary: beside(real) };
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOENT") throw error;
    return { path, special: false, temporary: beside(path) };
  }
}

async function pour(
  descriptor: number,
  pieces: Iterable<string | Uint8Array>,
  { special, mode }: Target,
  interrupted: () => boolean,
): Promise<void> {
  try {
    let waiting = "";
    let since = 0;
    const write = (bytes: Uint8Array) => {
      for (let at = 0; at < bytes.length; ) at += writeSync(descriptor, bytes, at);
      since += bytes.length;
    };
    const flush = async () => {
      write(Buffer.from(waiting));
      waiting = "";
      if (since < breath) return;
      since = 0;
      // Signals are delivered between two turns of the event loop.
      await new Promise((resolve) => setImmediate(resolve));
      if (interrupted()) throw new Error("interrupted");
    };
    for (const piece of pieces) {
      if (typeof piece === "string") waiting += piece;
      if (typeof piece !== "string" || waiting.length >= block) await flush();
      if (typeof piece !== "string") write(piece);
    }
    since = breath;
    await flush();
    if (special) return;
    // Restores what the umask took from the mode of the old file.
    if (mode !== undefined) fchmodSync(descriptor, mode);
    fsyncSync(descriptor);
  } finally {
    closeSync(descriptor);
  }
}

/** True if colour is welcome: on a terminal unless it is declined (no-color.org), or if it is asked for (force-color.org). */
export function colourful(): boolean {
  const { NO_COLOR, FORCE_COLOR, TERM } = process.env;
  if (NO_COLOR) return false;
  return FORCE_COLOR ? FORCE_COLOR !== "0" : process.stdout.isTTY === true && TERM !== "dumb";
}
