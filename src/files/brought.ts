// What a design brings, kept as plain data, so that a thread compiles exactly what the process read.
// A text or picture that has been asked for is read once, and one that was not there is not there again.
import type { Pixels } from "../design/videowave.js";
import type { Capture } from "../instruments/capture.js";
import type { Resolvers } from "./neighbours.js";

/** Texts, pictures and captures by the path they were asked for; undefined where there was none. Plain data. */
export interface Brought {
  readonly texts: Map<string, string | undefined>;
  readonly pictures: Map<string, Pixels | undefined>;
  /** By path and interval. */
  readonly captures: Map<string, Capture | undefined>;
}

/** The same resolvers, and what has been brought by them so far. */
export function remembering(source: Resolvers): Resolvers & { readonly brought: Brought } {
  const brought: Brought = { texts: new Map(), pictures: new Map(), captures: new Map() };
  return {
    brought,
    resolve: once(brought.texts, source.resolve),
    pictures: once(brought.pictures, source.pictures),
    captures: (path, interval) =>
      once(brought.captures, () => source.captures(path, interval))(captureKey(path, interval)),
  };
}

/** The resolvers of what was brought before; nothing else is there. */
export function remembered({ texts, pictures, captures }: Brought): Resolvers {
  return {
    resolve: (path) => texts.get(path),
    pictures: (path) => pictures.get(path),
    captures: (path, interval) => captures.get(captureKey(path, interval)),
  };
}

function captureKey(path: string, interval: number | undefined): string {
  return `${interval ?? ""} ${path}`;
}

function once<T>(known: Map<string, T | undefined>, read: (path: string) => T | undefined) {
  return (path: string): T | undefined => {
    if (!known.has(path)) known.set(path, read(path));
    return known.get(path);
  };
}
