// Words in a picture, and the colours of ink. Text widths are estimated on the safe side, without a font, so that nothing that
// was fitted is cut off or runs into its neighbour.
import { element, safeFigure, typeset, visible } from "./markup.js";

// Colours that stay distinct under the common colour-vision deficiencies, by hue and by lightness: the blue,
// vermilion and green proposed by M. Okabe & K. Ito, "Color Universal Design" (2008), darkened for thin lines on
// white.
export const inks = ["#00609c", "#c24a00", "#00795a"];
export const ink = "#1d2733";
export const faint = "#5b6773";
const letter = /[\p{Lu}\p{Lt}\u0370-\u058f]/u;
/** What is wider than other letters of Latin, Greek, Cyrillic and Armenian: by the widths in DejaVu Sans. */
const wide =
  /[¼-¾ÆæŒœŴŵƊƕƜƠƢƣƴǄ-ǌǢǣǱ-ǳǶǼǽȡȵȸȹϠϢѠѡѤѦѨ-ѳѸ-ѿЖМШЩЪЫЮФЉЊжмшщъыюфљњҖҗҘ-ҧҴ-ҹҨҼ-ҿӁӂӍӔӕӜӝӸӹԂ-ԋԐ-ԧԱ-Ֆա-և]/u;
/** Pictures, as wide as in the widest of the usual colour fonts. */
const pictured = /\p{Extended_Pictographic}/u;

/**
 * Width of a text in pixels, on the safe side: there is no font to measure with, so this assumes the widest of the usual
 * sans-serif faces.
 * @param bold true for any weight from 600 up
 */
export function textWidth(text: string, size: number, bold = false): number {
  let units = 0;
  for (const c of visible(typeset(text))) {
    const code = c.codePointAt(0)!;
    if (code >= 0x590) units += pictured.test(c) ? 1.4 : 1.1;
    // Ohms are never without their figures and a space, which are narrower than what they count for.
    else if (code > 0x7f && c !== "Ω" && (wide.test(c) || letter.test(c))) units += wide.test(c) ? 1.1 : 0.86;
    else if (/[MWmw@%<>=+±~&#\u2212]/.test(c)) units += 0.96;
    else if (/[A-Z]/.test(c)) units += 0.74;
    else units += /[iljtfrI.,:;'|! ()[\]]/.test(c) ? 0.41 : 0.64;
  }
  return units * size * (bold ? 1.1 : 1);
}

/** Cuts a text to a width in pixels, ending it with an ellipsis. */
export function shorten(text: string, size: number, width: number, bold = false): string {
  const seen = visible(text);
  if (textWidth(seen, size, bold) <= width) return seen;
  const kept = [...seen];
  while (kept.length > 1 && textWidth(`${kept.join("")}…`, size, bold) > width) kept.pop();
  return `${kept.join("").trimEnd()}…`;
}

/** A line of text; `inside` is plain text and gets escaped. */
export function text(
  x: number,
  y: number,
  inside: string,
  style: { size: number; fill: string; anchor?: "start" | "middle" | "end"; weight?: number; halo?: boolean },
): string {
  return element(
    "text",
    {
      x,
      y,
      "font-size": style.size,
      fill: style.fill,
      "text-anchor": style.anchor === "start" ? undefined : style.anchor,
      "font-weight": style.weight,
      class: style.halo ? "halo" : undefined,
    },
    safeFigure(inside),
  );
}
