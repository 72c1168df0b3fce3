// A table of the page, in a box of its own that can be pushed from side to side where the screen is narrow.
// Whoever has no pointer can reach that box with the keyboard and push it with the arrow keys; so it has a name, that of what it
// holds.
import { safe } from "./markup.js";

/** A table as HTML. @param name what it is called, unlike any other of the page; @param head names of the columns, and `n` where they hold numbers; @param rows as HTML */
export function table(name: string, head: readonly (readonly string[])[], rows: readonly string[]): string {
  const heads = head
    .map(([of, kind]) => `<th scope="col"${kind ? ` class="${kind}"` : ""}>${of}</th>`)
    .join("");
  return (
    `<div class="wide" tabindex="0" role="region" aria-label="${safe(name)}"><table>\n<thead><tr>${heads}</tr></thead>\n` +
    `<tbody>\n${rows.join("\n")}\n</tbody></table></div>`
  );
}
