// Pictures in the dark: the same drawing in colours for a dark background when the reader's screen is dark. A style rule
// overrides the colour set on an element. On paper, and where no dark mode is asked for, the picture stays light.

import { darkInk } from "./inkscale.js";

/** Colours of pictures, with their replacements on a dark background. */
export const inTheDark: Readonly<Record<string, string>> = {
  "#1d2733": "#e2e8ee",
  "#5b6773": "#a3afbb",
  "#00609c": "#6fb7ea",
  "#c24a00": "#f39a55",
  "#00795a": "#5fcba6",
  "#6b4a00": "#e9bd6b",
  "#a87400": "#d9a441",
  "#a3201c": "#ff9a8f",
  "#f3d9a4": "#584416",
  "#b4bcc5": "#56626d",
  "#c3cad1": "#46525d",
  "#e4e8ec": "#2a343d",
  "#ffffff": "#161c22",
  "#f8f9fa": "#10151a",
};

/** A style block for dark screens only. */
export function onDark(rules: string): string {
  return `@media screen and (prefers-color-scheme:dark){${rules}}`;
}

/** A drawing in its dark colours on any screen; unchanged if it has none. */
export function darkened(svg: string): string {
  // Names and titles cannot hold elements.
  return svg.replace(/<style>[^<]*<\/style>/g, (style) =>
    style.replace(/@media screen and \(prefers-color-scheme:dark\)\{((?:[^{}]*\{[^{}]*\})*)\}/g, "$1"),
  );
}

/** The dark style of a drawing; empty if it uses colours with no known replacement. */
export function darkStyle(drawn: string): string {
  const used = new Set([...drawn.matchAll(/ (?:fill|stroke)="(#[^"]*)"/g)].map(([, colour]) => colour));
  const darkOf = (colour: string) => inTheDark[colour] ?? darkInk(colour);
  if ([...used].some((colour) => darkOf(colour) === undefined)) return "";
  const rules = [...used].sort().map((colour) => {
    const to = darkOf(colour);
    return `[fill="${colour}"]{fill:${to}}[stroke="${colour}"]{stroke:${to}}`;
  });
  return onDark(rules.join(""));
}
