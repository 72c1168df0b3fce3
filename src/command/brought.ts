// What a design brings, kept as plain data, so that a thread compiles exactly what the process read.
// Takes a source; gives it again with a memory of what it gave. Always: a text or picture that has been asked for is read
// once, and one that was not there is not there again.
import type { Pixels } from "../design/videowave.js";
import type { Source } from "./input.js";

/** Texts and pictures by the path they were asked for; undefined where there was none. Plain data. */
export interface Brought {
  readonly texts: Map<string, string | undefined>;
  readonly pictures: Map<string, Pixels | undefined>;
}

/** The source, and what has been brought from it so far. */
export function remembering(source: Source): Source & { readonly brought: Brought } {
  const brought: Brought = { texts: new Map(), pictures: new Map() };
  return {
    ...source,
    brought,
    resolve: once(brought.texts, source.resolve),
    pictures: once(brought.pictures, source.pictures),
  };
}

/** The resolvers of what was brought before; nothing else is there. */
export function remembered({ texts, pictures }: Brought): Pick<Source, "resolve" | "pictures"> {
  return { resolve: (path) => texts.get(path), pictures: (path) => pictures.get(path) };
}

function once<T>(known: Map<string, T | undefined>, read: (path: string) => T | undefined) {
  return (path: string): T | undefined => {
    if (!known.has(path)) known.set(path, read(path));
    return known.get(path);
  };
}
