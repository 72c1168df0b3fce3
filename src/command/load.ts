// From FILE to a design, for every verb alike.
import { inspect } from "../compile.js";
import type { Design } from "../design/design.js";
import { type Brought, remembering } from "./brought.js";
import { readSource, type Source } from "./input.js";
import { showAll, TextError } from "./telling.js";

/** A design that compiled. */
export interface Loaded {
  readonly design: Design;
  readonly source: Source & { readonly brought: Brought };
}

/**
 * Reads and compiles a design; warnings are told on the way.
 * @throws TextError where it is wrong, EarlyEnd where it cannot be read
 */
export function load(file: string): Loaded {
  const source = remembering(readSource(file));
  const { text, name, resolve, pictures } = source;
  const { design, diagnostics } = inspect(text, { name, resolve, pictures });
  if (!design) throw new TextError(diagnostics, source);
  showAll(diagnostics, source);
  return { design, source };
}
