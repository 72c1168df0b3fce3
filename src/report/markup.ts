// Text for SVG or HTML, safe between tags and inside quoted attributes of both. The result is well-formed XML 1.0 whatever came
// in; a mark that would change the direction of surrounding text is shown by its number instead.

const entities: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

/**
 * Text as it will be seen. Characters that XML 1.0 (section 2.2) does not allow, including lone surrogates, become
 * U+FFFD; line breaks and tabs become spaces; the direction marks of Unicode (UAX #9, table 1) become e.g.
 * `[U+202E]`. Idempotent.
 */
export function visible(text: string): string {
  let out = "";
  for (const c of text) {
    const code = c.codePointAt(0)!;
    if (code === 9 || code === 10 || code === 13) out += " ";
    else if (turns(code)) out += `[U+${code.toString(16).toUpperCase().padStart(4, "0")}]`;
    else out += allowed(code) ? c : "\ufffd";
  }
  return out;
}

/** Text for markup: made visible, with XML's five special characters escaped. */
export function safe(text: string): string {
  return visible(text).replace(/[&<>"']/g, (c) => entities[c]);
}

/** JSON in an element of a page: nothing in it can end the element, or turn the direction of what is read in the page's source. */
export function embedded(json: string): string {
  return json.replace(/[<\p{Bidi_Control}]/gu, (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, "0")}`);
}

/** Words whose numbers have true minus signs, as in print (ISO 80000-1:2009, 7.2), instead of hyphens. */
export function typeset(words: string): string {
  return words.replace(/(^|[\s(])-(?=[\d.])/g, "$1\u2212");
}

export function safeFigure(words: string): string {
  return safe(typeset(words));
}

/** The beginning of a page that stands alone, up to its body. @param policy what the browser may do, as the header of a server would say it */
export function pageHead(title: string, style: string, policy: string): string {
  return [
    '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<title>${safe(title)}</title>\n<style>${style}</style>\n</head>\n<body>`,
  ].join("\n");
}

// Embeddings, overrides and isolates act beyond the text they are in; the plain marks move its neighbours.
function turns(code: number): boolean {
  return (
    (code >= 0x202a && code <= 0x202e) ||
    (code >= 0x2066 && code <= 0x2069) ||
    code === 0x200e ||
    code === 0x200f ||
    code === 0x061c
  );
}

function allowed(code: number): boolean {
  if (code < 0x20 || (code >= 0x7f && code < 0xa0)) return false;
  return !(code >= 0xd800 && code <= 0xdfff) && (code & 0xfffe) !== 0xfffe;
}

/** One element. Attribute values are escaped; `inside` is already markup. An undefined attribute is left out. */
export function element(
  name: string,
  attributes: Readonly<Record<string, string | number | undefined>>,
  inside?: string,
): string {
  const written = Object.entries(attributes)
    .filter(([, v]) => v !== undefined)
    .map(([k, v]) => ` ${k}="${typeof v === "number" ? coordinate(v) : safe(v!)}"`)
    .join("");
  return inside === undefined ? `<${name}${written}/>` : `<${name}${written}>${inside}</${name}>`;
}

/** A coordinate to a hundredth of a pixel, without needless zeros; `toFixed` ignores the locale. */
export function coordinate(x: number): string {
  if (!Number.isFinite(x)) throw new RangeError("a coordinate is not finite");
  const text = x.toFixed(2).replace(/\.?0+$/, "");
  return text === "-0" ? "0" : text;
}
