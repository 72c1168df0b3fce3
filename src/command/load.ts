// From FILE to a design, the same for every verb.
import { join } from "node:path";
import { inspect } from "../compile.js";
import type { Design } from "../design/design.js";
import { type Brought, remembering } from "../files/brought.js";
import { type Decode, folderOf, type Resolvers, resolvers as resolversOf } from "../files/neighbours.js";
import { withGiven } from "../judging/settable.js";
import { readSource, type Source } from "./input.js";
import { showAll, TextError } from "./telling.js";

/** A design that compiled. */
export interface Loaded {
  readonly design: Design;
  readonly source: Source & { readonly brought: Brought };
}

/** How a verb reads a design. */
export interface LoadOptions {
  /** Values that replace those of the text. */
  readonly with?: Readonly<Record<string, string>>;
  /** Called with each file that the design asks for, before it is read, whether or not it exists. */
  readonly asking?: (file: string) => void;
}

/**
 * Reads and compiles a design, telling its warnings.
 * @throws TextError if it has mistakes, EarlyEnd if it cannot be read
 */
export async function load(file: string, { with: values, asking }: LoadOptions): Promise<Loaded> {
  const source = readSource(file);
  const look = (decode: Decode) => {
    const { brought, ...resolvers } = remembering(
      announced(resolversOf(folderOf(file), decode), (path) => asking?.(join(folderOf(file), path))),
    );
    return { ...inspect(source.text, { name: source.name, ...resolvers }), brought };
  };
  let shows = false;
  let found = look(() => {
    shows = true;
    return undefined;
  });
  // The picture reader takes a while to load and few designs need it: those that do are looked at again.
  if (shows) found = look((await import("../files/pixels.js")).luminance);
  const { design, diagnostics, brought } = found;
  if (!design) throw new TextError(diagnostics, source);
  showAll(diagnostics, source);
  return {
    design: values ? withGiven(design, values, "with") : design,
    source: { ...source, values, brought },
  };
}

/** The same resolvers, which announce each file before it is read. */
function announced({ resolve, pictures, captures }: Resolvers, asking: (path: string) => void): Resolvers {
  const first =
    <A extends [string, ...unknown[]], T>(read: (...words: A) => T) =>
    (...words: A): T => {
      asking(words[0]);
      return read(...words);
    };
  return { resolve: first(resolve), pictures: first(pictures), captures: first(captures) };
}
