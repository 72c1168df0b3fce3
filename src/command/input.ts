// Reading: the design from a file or from standard input, and the texts and pictures that it brings. These come from the folder of
// the design or below it, links resolved; nothing else of the machine can be read that way.
import { closeSync, openSync, readFileSync, readSync, realpathSync, statSync } from "node:fs";
import { dirname, isAbsolute, relative, resolve, sep } from "node:path";
import { refusal } from "../base/diagnostic.js";
import type { Pictures, Pixels, Unusable } from "../design/videowave.js";
import type { Capture } from "../instruments/capture.js";
import { type ReadOptions, readCapture } from "../instruments/readcapture.js";
import { isSoundFile } from "../instruments/soundfile.js";
import { EarlyEnd, reasonOf, status } from "./refusal.js";

/** A design text and where it came from. */
export interface Source {
  readonly text: string;
  /** As shown in messages. */
  readonly name: string;
  /** Values in place of those of the text, by full name. */
  readonly values?: Readonly<Record<string, string>>;
}

/** Where the texts and pictures come from that a design brings. */
export interface Resolvers {
  /** Gives the text of a `bring`. */
  readonly resolve: (path: string) => string | undefined;
  /** Gives the pixels of a picture that video shows: a PNG file. */
  readonly pictures: Pictures;
  /** Gives a capture, read: a table or a sound file. */
  readonly captures: (path: string, interval?: number) => Capture | Unusable | undefined;
}

/** Makes pixels of a file's bytes. */
export type Decode = (bytes: Uint8Array) => Pixels | Unusable | undefined;

/** The code of a file that cannot be read. */
const unreadable = "unreadable-file";

/** Bytes; the language allows half of it, and says so itself. */
const most = 32 * 1024 * 1024;

/**
 * Reads a design; `-` is standard input.
 * @throws EarlyEnd when it cannot be read
 */
export function readSource(file: string): Source {
  const name = file === "-" ? "standard input" : file;
  try {
    if (file !== "-" && statSync(file).size > most) {
      throw new EarlyEnd(`${name}: longer than any design may be`, status.wrong, unreadable);
    }
    const text = readFileSync(file === "-" ? 0 : file).toString("utf8");
    return { text, name };
  } catch (error) {
    if (error instanceof EarlyEnd) throw error;
    // An empty or closed standard input reads as an empty text, which has a diagnostic of its own.
    if (file === "-" && (error as NodeJS.ErrnoException).code === "EOF") return { text: "", name };
    throw new EarlyEnd(`${name} cannot be read: ${reasonOf(error)}`, status.wrong, unreadable);
  }
}

/** The folder from which a design brings texts and pictures. */
export function folderOf(file: string): string {
  return file === "-" ? "." : dirname(file);
}

/** What a design brings from a folder. */
export function resolvers(folder: string, decode: Decode): Resolvers {
  const near = (path: string) => {
    const file = neighbour(folder, path);
    try {
      return file !== undefined && statSync(file).size <= most ? readFileSync(file) : undefined;
    } catch {
      return undefined;
    }
  };
  return {
    resolve: (path) => near(path)?.toString("utf8"),
    pictures: (path) => {
      const bytes = near(path);
      return bytes && decode(bytes);
    },
    captures: (path, interval) => {
      const file = neighbour(folder, path);
      return file === undefined ? undefined : captureIn(file, { name: path, interval });
    },
  };
}

/** Bytes that are read of a capture at a time, and the most that one may have. */
const piece = 1 << 20;
const mostOfCapture = 1.5e9;

/**
 * Reads a capture from a file, piece by piece.
 * @throws DesignError with what is wrong with it, and for a file beyond any that an instrument should have to write
 */
export function captureIn(file: string, options: ReadOptions): Capture {
  const { size } = statSync(file);
  if (size > mostOfCapture)
    throw refusal(
      "too-many-samples",
      `${options.name}: ${(size / 1e9).toFixed(1)} GB are more than is read of a capture`,
      "take fewer samples, or fewer channels",
    );
  const [head] = piecesOf(file);
  return readCapture(head && isSoundFile(head) ? readFileSync(file) : piecesOf(file), options);
}

function* piecesOf(file: string): Generator<Uint8Array> {
  const open = openSync(file, "r");
  try {
    for (;;) {
      const bytes = new Uint8Array(piece);
      const count = readSync(open, bytes);
      if (count === 0) return;
      yield bytes.subarray(0, count);
    }
  } finally {
    closeSync(open);
  }
}

/** The file of a path in a folder or below it, links resolved; nothing else is there. */
function neighbour(folder: string, path: string): string | undefined {
  if (path === "" || path.includes("\0") || isAbsolute(path) || /^[a-z][a-z0-9+.-]*:/iu.test(path))
    return undefined;
  try {
    const root = realpathSync(folder);
    const file = realpathSync(resolve(root, path));
    const inside = relative(root, file);
    if (inside === "" || inside === ".." || inside.startsWith(`..${sep}`) || isAbsolute(inside))
      return undefined;
    return statSync(file).isFile() ? file : undefined;
  } catch {
    return undefined;
  }
}
