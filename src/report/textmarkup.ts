// The design as written, line by line, each with the part or block that it makes; and what the page's script must know about
// these, as data blocks that no browser runs.
import type { Design } from "../design/design.js";
import { embedded, safe } from "./markup.js";

/** The text as HTML. */
export function written(design: Design, text: string): string {
  const lines = text.replace(/\r\n?/g, "\n").replace(/\n$/, "").split("\n");
  const makes = makers(design, lines);
  const shown = lines.map((line, i) => {
    const name = makes.get(i + 1);
    const of = name === undefined ? "" : ` data-part="${safe(name)}"`;
    return `<li><code${of}>${safe(line)}</code></li>`;
  });
  return `<section>\n<h2>The text</h2>\n<div class="wide" tabindex="0" role="region" aria-label="The text"><ol class="text">\n${shown.join("\n")}\n</ol></div>\n</section>`;
}

/** The part or block that each line makes, by number from 1. */
function makers({ parts }: Design, lines: readonly string[]): Map<number, string> {
  const found = new Map<number, string>();
  // The parts of a block are written elsewhere.
  for (const { name, span } of parts) if (!name.includes(".")) found.set(span.line, name);
  const blocks = new Set(
    parts.flatMap(({ name }) => (name.includes(".") ? [name.slice(0, name.indexOf("."))] : [])),
  );
  lines.forEach((line, i) => {
    const used = /^use\s+\S+\s+as\s+([^\s#]+)/.exec(line)?.[1];
    if (used !== undefined && blocks.has(used)) found.set(i + 1, used);
  });
  return found;
}

/** The places that each part joins, by its name. */
export function joined({ parts, places }: Design): string {
  const all = parts.map(({ name, tail, head, couples }) => [
    name,
    couples ? [] : [...new Set([places[tail], places[head]])],
  ]);
  return block("parts", JSON.stringify(Object.fromEntries(all)));
}

/** A block of data. Nothing in its contents can end it or start anything. */
export function block(name: string, data: string): string {
  return `<script type="application/octet-stream" class="${name}">${embedded(data)}</script>`;
}
