// A text and the texts that it brings, and these in turn: what blocks it may use.
import type { Named, Page } from "./named.js";

/** Texts that one text may bring, those that these bring among them. */
const mostBrought = 200;

/** A text and all that it brings, itself first. @param behind what stands behind a path; nothing where nothing does */
export function familyOf(own: Page, behind: (path: string) => Page | undefined): Page[] {
  const pages = [own];
  const met = new Set<string>();
  // The list grows while it is walked. A path counts from the folder of the design, whoever brings it.
  for (const page of pages)
    for (const { text: path } of page.brings) {
      if (met.has(path) || met.size >= mostBrought) continue;
      met.add(path);
      const next = behind(path);
      if (next && !pages.includes(next)) pages.push(next);
    }
  return pages;
}

/** The blocks of some texts by their names; of those that are alike the first. */
export function blocksIn(pages: readonly Page[]): Map<string, Named> {
  const found = new Map<string, Named>();
  for (const page of pages)
    for (const [name, block] of page.blocks) if (!found.has(name)) found.set(name, block);
  return found;
}
