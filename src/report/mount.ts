// The sheet of a picture: its size, its title, and a description for readers who cannot see it.
import { darkStyle, inTheDark, onDark } from "./darkness.js";
import { ink, shorten, text } from "./lettering.js";
import { element, safe } from "./markup.js";

/** Margin at all edges, px. */
export const margin = 24;
/** Height of the title band, px. */
export const titleBand = 58;

interface Sheet {
  /** Prefix of the ids in the picture. */
  readonly id: string;
  /** Pixels. */
  readonly width: number;
  readonly height: number;
  /** The heading of the picture. */
  readonly title: string;
  /** The picture's accessible name, if it says more than the heading. */
  readonly name?: string;
  readonly words: string;
}

/** The drawing as SVG text. */
export function sheet({ id, width, height, title, name, words }: Sheet, drawn: readonly string[]): string {
  const laid = [
    element("rect", { width, height, fill: "#f8f9fa" }),
    text(margin, 37, shorten(title, 19, width - 2 * margin, true), { size: 19, fill: ink, weight: 600 }),
    ...drawn,
  ];
  const dark = darkStyle(laid.join(""));
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}"` +
      ` role="img" aria-labelledby="${id}-title ${id}-words" font-family="system-ui, sans-serif">`,
    element("title", { id: `${id}-title` }, safe(name ?? title)),
    element("desc", { id: `${id}-words` }, safe(words)),
    element(
      "style",
      {},
      "text{font-variant-numeric:tabular-nums;unicode-bidi:isolate}" +
        ".halo{paint-order:stroke;stroke:#ffffff;stroke-width:3px;stroke-linejoin:round}" +
        (dark === "" ? "" : dark + onDark(`.halo{stroke:${inTheDark["#ffffff"]}}`)),
    ),
    ...laid,
    "</svg>",
    "",
  ].join("\n");
}
