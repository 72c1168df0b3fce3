// A table of the page, in its own box that scrolls sideways on a narrow screen.
// The keyboard can focus that box and scroll it with the arrow keys, so it has a name, which says what it holds.
import { safe } from "./markup.js";

/**
 * A table as HTML.
 * @param name unique in the page
 * @param head column names, with `n` for numbers
 * @param rows as HTML
 */
export function table(name: string, head: readonly (readonly string[])[], rows: readonly string[]): string {
  const heads = head
    .map(([of, kind]) => `<th scope="col"${kind ? ` class="${kind}"` : ""}>${of}</th>`)
    .join("");
  return (
    `<div class="wide" tabindex="0" role="region" aria-label="${safe(name)}"><table>\n<thead><tr>${heads}</tr></thead>\n` +
    `<tbody>\n${rows.join("\n")}\n</tbody></table></div>`
  );
}
