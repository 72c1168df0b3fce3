// A table of the page, in a box of its own that can be pushed from side to side where the screen is narrow.
// Whoever has no pointer can reach that box with the keyboard and push it with the arrow keys; so it has a name, that of what it
// holds.

/** A table as HTML. @param head names of the columns, and `n` where they hold numbers; @param rows as HTML */
export function table(head: readonly (readonly string[])[], rows: readonly string[]): string {
  const heads = head
    .map(([name, kind]) => `<th scope="col"${kind ? ` class="${kind}"` : ""}>${name}</th>`)
    .join("");
  const words = head.map(([name]) => name).join(", ");
  return (
    `<div class="wide" tabindex="0" role="region" aria-label="Table: ${words}"><table>\n<thead><tr>${heads}</tr></thead>\n` +
    `<tbody>\n${rows.join("\n")}\n</tbody></table></div>`
  );
}
