// A text, the texts that it brings, and those that these bring: which blocks it may use.
import type { Named, Page } from "./named.js";

/** Most texts that one text may bring, directly or through others. */
const mostBrought = 200;

/** A text and all that it brings, starting with itself. @param behind the page of a path; nothing if there is none */
export function familyOf(own: Page, behind: (path: string) => Page | undefined): Page[] {
  const pages = [own];
  const met = new Set<string>();
  // The list grows as it is walked. A path is relative to the design's folder, whichever text brings it.
  for (const page of pages)
    for (const { text: path } of page.brings) {
      if (met.has(path) || met.size >= mostBrought) continue;
      met.add(path);
      const next = behind(path);
      if (next && !pages.includes(next)) pages.push(next);
    }
  return pages;
}

/** The blocks of some texts by name; the first of those with the same name. */
export function blocksIn(pages: readonly Page[]): Map<string, Named> {
  const found = new Map<string, Named>();
  for (const page of pages)
    for (const [name, block] of page.blocks) if (!found.has(name)) found.set(name, block);
  return found;
}
