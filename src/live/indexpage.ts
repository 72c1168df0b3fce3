// The index of pages that compute: each design's title, picture and link. It stands alone like the pages.
import { pageHead, safe } from "../report/markup.js";
import { liveStyle } from "./livestyle.js";

export interface IndexedPage {
  /** Name of its file, beside the index. */
  readonly file: string;
  readonly title: string;
  /** Its result in one line. */
  readonly words: string;
  /** Pictures as data addresses, each with a description. */
  readonly pictures: readonly { readonly address: string; readonly words: string }[];
}

const own = `
.pages{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,420px),1fr));gap:16px;margin:16px 0;padding:0;list-style:none;align-items:start}
.pages img{display:block;width:100%;border-radius:4px;border:1px solid var(--line);margin:8px 0 0}
.pages a{color:var(--focus);display:flex;min-height:var(--touch);align-items:center}`;

/** The index. @param digest the SHA-256 of a text, in base 64 */
export function indexPage(pages: readonly IndexedPage[], digest: (text: string) => string): string {
  const style = `${liveStyle}${own}`;
  const policy = `default-src 'none'; style-src 'sha256-${digest(style)}'; img-src data:; base-uri 'none'; form-action 'none'`;
  const items = pages.map(({ file, title, words, pictures }) => {
    const shown = pictures.map(({ address, words }) => `<img src="${safe(address)}" alt="${safe(words)}">`);
    return `<li class="card"><h2><a href="${safe(encodeURI(file))}">${safe(title)}</a></h2><p>${safe(words)}</p>${shown.join("")}</li>`;
  });
  return [
    pageHead("Designs that compute", style, policy),
    "<header><h1>Designs that compute</h1><p>Each page holds a design and the engine: turn a value, and see what comes of it.</p></header>",
    `<main><ul class="pages">${items.join("\n")}</ul></main>`,
    "<footer><p>Made by Rampwright.</p></footer>",
    "</body>",
    "</html>",
    "",
  ].join("\n");
}
