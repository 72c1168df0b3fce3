// Words in a picture, and the colours of ink.
// Takes plain text, a place and a style; gives SVG text. Always: text is escaped, and its width is judged without
// a font at hand, on the safe side, so that nothing that was fitted is cut off or runs into its neighbour.
import { element, safe } from "./markup.js";

// Colours that stay apart under the common colour-vision deficiencies, by hue and by lightness: the blue,
// vermilion and green proposed by M. Okabe & K. Ito, "Color Universal Design" (2008), darkened for thin lines on
// white.
export const inks = ["#00609c", "#c24a00", "#00795a"];
export const ink = "#1d2733";
export const faint = "#5b6773";
/** Width of a text in pixels, on the safe side: no font is at hand to measure with. */
export function textWidth(text: string, size: number): number {
  let units = 0;
  for (const c of text) {
    const code = c.codePointAt(0)!;
    units += code >= 0x1100 ? 1.05 : /[MWmw@%]/.test(c) ? 0.92 : /[A-Z_]/.test(c) ? 0.7 : 0.58;
  }
  return units * size;
}

/** Cuts a text to a width, with an ellipsis. */
export function shorten(text: string, size: number, width: number): string {
  if (textWidth(text, size) <= width) return text;
  const kept = [...text];
  while (kept.length > 1 && textWidth(`${kept.join("")}…`, size) > width) kept.pop();
  return `${kept.join("").trimEnd()}…`;
}

/** A line of text; `inside` is plain text and is escaped. */
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
    safe(inside),
  );
}
