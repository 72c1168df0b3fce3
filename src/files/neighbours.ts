// The texts, pictures and captures that a design brings. They come from the folder of the design or below it, links resolved;
// nothing else on the machine can be read that way.
import { readdirSync, realpathSync, statSync } from "node:fs";
import { dirname, isAbsolute, relative, resolve, sep } from "node:path";
import type { Pictures, Pixels, Unusable } from "../design/videowave.js";
import type { Capture } from "../instruments/capture.js";
import { designText } from "../instruments/encoding.js";
import { captureIn } from "./capturefile.js";
import { inputBytes } from "./filesread.js";

/** Where the texts, pictures and captures that a design brings come from. */
export interface Resolvers {
  /** Gives the text of a `bring`. */
  readonly resolve: (path: string) => string | undefined;
  /** Gives the pixels of a picture that video shows: a PNG file. */
  readonly pictures: Pictures;
  /** Reads a capture: a table or a sound file. */
  readonly captures: (path: string, interval?: number) => Capture | Unusable | undefined;
}

export type Decode = (bytes: Uint8Array) => Pixels | Unusable | undefined;

/** The most bytes of a file. The language allows half as many characters and has its own diagnostic for that. */
export const mostBytes = 32 * 1024 * 1024;

/** The folder from which a design brings texts and pictures. */
export function folderOf(file: string): string {
  return file === "-" ? "." : dirname(file);
}

/** What a design brings from a folder. */
export function resolvers(folder: string, decode: Decode): Resolvers {
  const near = (path: string) => {
    const file = neighbour(folder, path);
    try {
      return file !== undefined && statSync(file).size <= mostBytes ? inputBytes(file) : undefined;
    } catch {
      return undefined;
    }
  };
  return {
    resolve: (path) => {
      const bytes = near(path);
      return bytes && designText(bytes);
    },
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

/** The most files that are listed, and the most folders that are searched for them. */
const mostListed = 500;
const mostFolders = 200;

/** Files in and below a folder with one of these endings, as paths from there with `/`; those in the folder itself first. */
export function filesBelow(folder: string, endings: readonly string[]): string[] {
  const found: string[] = [];
  const folders = [""];
  // The list grows while it is walked. Links are not followed; hidden folders and installed packages are skipped.
  for (const at of folders) {
    for (const entry of entriesOf(resolve(folder, at))) {
      const path = at + entry.name;
      if (entry.isDirectory() && !/^\.|^node_modules$/.test(entry.name) && folders.length < mostFolders)
        folders.push(`${path}/`);
      else if (entry.isFile() && endings.some((end) => entry.name.toLowerCase().endsWith(end)))
        found.push(path);
    }
    if (found.length >= mostListed) break;
  }
  return found.slice(0, mostListed);
}

function entriesOf(folder: string) {
  try {
    return readdirSync(folder, { withFileTypes: true }).sort((a, b) => (a.name < b.name ? -1 : 1));
  } catch {
    return [];
  }
}

/** The file at a path in a folder or below it, links resolved; undefined for anything else. */
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
