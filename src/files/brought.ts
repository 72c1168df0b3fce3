// What a design brings, kept as plain data, so that a thread compiles exactly what the process read. Each text, picture or
// capture is read once; one that was missing stays missing.
import type { Pixels } from "../design/videowave.js";
import type { Capture } from "../instruments/capture.js";
import type { Resolvers } from "./neighbours.js";

/** Texts, pictures and captures by the path they were asked for under; undefined where there was none. Plain data. */
export interface Brought {
  readonly texts: Map<string, string | undefined>;
  readonly pictures: Map<string, Pixels | undefined>;
  /** By path and interval. */
  readonly captures: Map<string, Capture | undefined>;
}

/** Resolvers that remember, with what they have brought so far. */
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

/** Resolvers that find only what was brought before. */
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
