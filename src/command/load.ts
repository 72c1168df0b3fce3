// From FILE to a design, for every verb alike.
import { inspect } from "../compile.js";
import type { Design } from "../design/design.js";
import { type Brought, remembering } from "../files/brought.js";
import { type Decode, folderOf, resolvers as resolversOf } from "../files/neighbours.js";
import { withValues } from "../judging/settable.js";
import { readSource, type Source } from "./input.js";
import { showAll, TextError } from "./telling.js";

/** A design that compiled. */
export interface Loaded {
  readonly design: Design;
  readonly source: Source & { readonly brought: Brought };
}

/** What a verb may ask of a design that it reads. */
export interface LoadOptions {
  /** Values in place of those of the text. */
  readonly with?: Readonly<Record<string, string>>;
}

/**
 * Reads and compiles a design; warnings are told on the way.
 * @throws TextError where it is wrong, EarlyEnd where it cannot be read
 */
export async function load(file: string, { with: values }: LoadOptions): Promise<Loaded> {
  const source = readSource(file);
  const look = (decode: Decode) => {
    const { brought, ...resolvers } = remembering(resolversOf(folderOf(file), decode));
    return { ...inspect(source.text, { name: source.name, ...resolvers }), brought };
  };
  let shows = false;
  let found = look(() => {
    shows = true;
    return undefined;
  });
  // What reads pictures takes a while to load, and few designs show one: these are looked at again.
  if (shows) found = look((await import("../files/pixels.js")).luminance);
  const { design, diagnostics, brought } = found;
  if (!design) throw new TextError(diagnostics, source);
  showAll(diagnostics, source);
  return { design: values ? withValues(design, values) : design, source: { ...source, values, brought } };
}
