// A drawing as PNG, for programs that take no SVG. Its letters come from a font installed with the package, so that the same
// drawing gives the same bytes on every machine, whatever fonts it has. The renderer and the font are optional dependencies:
// they are larger than everything else, and all else works without them.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { darkened, inTheDark } from "../report/darkness.js";
import { printable, tell } from "./output.js";
import { EarlyEnd, status } from "./refusal.js";

/** Pixels per unit of the drawing, and most pixels of a picture: a larger one is drawn less finely. */
const fine = 2;
const mostPixels = 64e6;

const family = "Noto Sans";
const folder = "@fontsource/noto-sans";
const weights = [400, 600];

let ready: Promise<Drawer> | undefined;

/** The renderer and the fonts. */
interface Drawer {
  readonly Resvg: typeof import("@resvg/resvg-wasm").Resvg;
  /** The sets of letters in the order in which they are looked into: whoever asks for a weight is given it by the first that has any. */
  readonly sets: readonly LetterSet[];
}

/** A part of the font: its letters stand in files of their own. */
interface LetterSet {
  readonly has: (point: number) => boolean;
  /** The files, read once, when a drawing has a letter of them. */
  readonly files: () => readonly Uint8Array[];
}

/** A drawing (SVG text) as a PNG file. @param dark true for its colours for a dark background, if it has any */
export async function bitmap(drawn: string, dark = false): Promise<Uint8Array> {
  const svg = dark ? darkened(drawn) : drawn;
  ready ??= loaded();
  const { Resvg, sets } = await ready;
  const fontBuffers = lettersOf(svg, sets);
  const font = { fontBuffers, sansSerifFamily: family, defaultFontFamily: family };
  const [width, height] = ["width", "height"].map((word) =>
    Number(new RegExp(`^<svg[^>]* ${word}="([\\d.]+)"`).exec(svg)?.[1]),
  );
  const value = Math.min(fine, Math.sqrt(mostPixels / (width * height)));
  const drawing = new Resvg(svg, {
    font,
    background: svg === drawn ? "#ffffff" : inTheDark["#ffffff"],
    fitTo: { mode: "zoom", value },
  });
  try {
    return drawing.render().asPng();
  } finally {
    drawing.free();
  }
}

/** The contents of a file of this name: PNG if the name says so, else the drawing itself. */
export async function asNamed(path: string, svg: string, dark = false): Promise<string | Uint8Array> {
  return path.endsWith(".png") ? bitmap(svg, dark) : svg;
}

/** The letters that a drawing needs; which of them there are none for is told, since boxes stand in their places. */
function lettersOf(svg: string, sets: readonly LetterSet[]): Uint8Array[] {
  // Spaces and what only steers other letters are never seen.
  const seen = [...new Set(svg.match(/[^\p{Z}\p{Cc}\p{Cf}\p{Variation_Selector}]/gu))];
  const points = seen.map((letter) => letter.codePointAt(0)!);
  const lacking = seen.filter((_, i) => !sets.some(({ has }) => has(points[i])));
  if (lacking.length > 0) {
    const shown = lacking.slice(0, 12).map(printable).join(" ") + (lacking.length > 12 ? " and more" : "");
    tell(
      `rampwright: the font of pictures in PNG has no letters for ${shown}: boxes stand for them; take .svg`,
    );
  }
  return sets.filter(({ has }) => points.some(has)).flatMap(({ files }) => files());
}

/** The sets of the font by its own list, such as `{ "latin": "U+0000-00FF,U+0131" }`, in whose order the commonest comes last. */
function setsOf(listed: Readonly<Record<string, string>>, read: (file: string) => Uint8Array): LetterSet[] {
  return Object.entries(listed)
    .reverse()
    .map(([set, ranges]) => {
      const spans = ranges.split(",").map((one) => {
        const [from, to = from] = one
          .replace("U+", "")
          .split("-")
          .map((digits) => Number.parseInt(digits, 16));
        return { from, to };
      });
      const named = weights.map((weight) => `${folder}/files/noto-sans-${set}-${weight}-normal.woff2`);
      let files: readonly Uint8Array[] | undefined;
      return {
        has: (point) => spans.some(({ from, to }) => from <= point && point <= to),
        files: () => {
          files ??= named.map(read);
          return files;
        },
      };
    });
}

/** What draws, made ready, and the fonts. @throws EarlyEnd where they were not installed */
async function loaded(): Promise<Drawer> {
  const { resolve } = createRequire(import.meta.url);
  try {
    const { initWasm, Resvg } = await import("@resvg/resvg-wasm");
    await initWasm(readFileSync(resolve("@resvg/resvg-wasm/index_bg.wasm")));
    const listed = JSON.parse(readFileSync(resolve(`${folder}/unicode.json`), "utf8"));
    return { Resvg, sets: setsOf(listed, (file) => readFileSync(resolve(file))) };
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code !== "ERR_MODULE_NOT_FOUND" && code !== "MODULE_NOT_FOUND") throw error;
    const packages = `@resvg/resvg-wasm and ${folder}`;
    throw new EarlyEnd(`no PNG can be made of a drawing: ${packages} are not installed`, status.stopped);
  }
}
