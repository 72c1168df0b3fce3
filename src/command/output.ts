// Writing: data to standard output, words to standard error, files whole or not at all: a file is written beside its name and
// renamed when it is complete. A reader that has gone away is no error, and the texts of a design cannot steer the terminal.
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
import { visible } from "../report/markup.js";
import { schemaVersion } from "../waveforms/csvjson.js";
import { EarlyEnd, reasonOf, status } from "./refusal.js";

/** Characters gathered before they are written. */
const block = 1 << 16;
/** Bytes after which a signal is listened for. */
const breath = 1 << 20;

/** Writes data to standard output; where the reader has gone away, nothing happens. */
export function say(text: string): void {
  put(1, text);
}

/**
 * Plain data as JSON text, indented, with the version of its form. JSON has no word for what is not finite, so that is null.
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

/** A text of a design on its way to a terminal: no control character and no mark that turns the direction acts. */
export function printable(text: string): string {
  return visible(text);
}

/** A file that was written, as it is told of: `-` is standard output. */
export function toldPath(path: string): string {
  return path === "-" ? "standard output" : printable(path);
}

// writeSync, so that everything is out before the process ends, whatever stands at the other end.
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

/** The name that stands for standard output. */
const standard = "-";

/**
 * What writes a file, by the ending of its name; standard output has no ending, and takes the first.
 * @throws DesignError `bad-option` for an ending that nothing writes
 */
export function writerOf<W>(path: string, writers: Readonly<Record<string, W>>): W {
  const endings = Object.keys(writers);
  const ending = path === standard ? endings[0] : extname(path);
  if (Object.hasOwn(writers, ending)) return writers[ending];
  const known = `${endings.slice(0, -1).join(", ")}${endings.length > 1 ? " or " : ""}${endings.at(-1)}`;
  return refuseOption("--out", `${printable(path)}: a file to write ends in ${known}`);
}

/** Where a file is to be written: its path behind links, what stands there, and the name it has until it is whole. */
interface Target {
  readonly path: string;
  /** A pipe, a device: written directly. */
  readonly special: boolean;
  readonly mode?: number;
  readonly temporary: string;
}

/**
 * Tries whether a file can be written, before the work whose result it is to take. Nothing is left or changed.
 * @throws Trouble when it cannot
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
 * Writes a file from pieces of text or of bytes: beside its final name first, then renamed, with the mode of the file that
 * stood there. What is no plain file (a pipe, a device) is written directly. A signal to end is heard between blocks.
 * @throws Trouble when it cannot be written, or the work is interrupted; nothing is left behind
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

/** What ends a process from outside. */
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
    // Who may do everything may replace read-only files as well, and did not mean to.
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
      // Signals are told between two turns of the loop.
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
    // What a mask took from the mode of the file that stood there.
    if (mode !== undefined) fchmodSync(descriptor, mode);
    fsyncSync(descriptor);
  } finally {
    closeSync(descriptor);
  }
}

/** True where colour is welcome: a terminal, and nobody asked for none (no-color.org); or someone asked for it (force-color.org). */
export function colourful(): boolean {
  const { NO_COLOR, FORCE_COLOR, TERM } = process.env;
  if (NO_COLOR) return false;
  return FORCE_COLOR ? FORCE_COLOR !== "0" : process.stdout.isTTY === true && TERM !== "dumb";
}
