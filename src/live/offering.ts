// Completion in the page's editor: the same offers as the language server makes (src/editor/suggestions.ts), in a page that has
// no files. Takes a text and a position in it; gives what may be written there.
import { shipped } from "../blocks/shipped.js";
import { vocabularyOf } from "../design/vocabulary.js";
import { blocksIn, familyOf } from "../editor/family.js";
import { type Page, pageOf } from "../editor/named.js";
import { type Suggestion, suggestions } from "../editor/suggestions.js";
import { read } from "../syntax/read.js";
import type { PackedBrought } from "./messages.js";

/** The address of the text itself here; what it brings goes by its path. */
const own = "";
const vocabulary = vocabularyOf();

/** What may be written at a line, from 0, and a position in it, in UTF-16 code units. */
export function offered(
  text: string,
  position: { readonly line: number; readonly character: number },
  { texts }: Pick<PackedBrought, "texts">,
): Suggestion[] {
  const page = named(own, text);
  const behind = (path: string): Page | undefined => {
    const block = path.startsWith("shipped/") ? shipped.get(path.slice("shipped/".length)) : texts[path];
    return block === undefined ? undefined : named(path, block);
  };
  const names = {
    vocabulary,
    text: (name: string) => (name === own ? text : undefined),
    page: (name: string) => (name === own ? page : undefined),
    blocksOf: () => blocksIn(familyOf(page, behind)),
  };
  return suggestions(names, own, position);
}

function named(name: string, text: string): Page {
  return pageOf(name, read(text).tree, (word) => vocabulary.kind(word));
}
