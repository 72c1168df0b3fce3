// A drawing as PNG, for programs that take no SVG. Its letters come from a font installed with the package, so that the same
// drawing gives the same bytes on every machine, whatever fonts it has. The renderer and the font are optional dependencies:
// they are larger than everything else, and all else works without them.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { darkened, inTheDark } from "../report/darkness.js";
import { EarlyEnd, status } from "./refusal.js";

/** Pixels per unit of the drawing, and most pixels of a picture: a larger one is drawn less finely. */
const fine = 2;
const mostPixels = 64e6;

const family = "Noto Sans";
/** Searched in this order: a weight is served by the first font that has any letters. */
const letters = ["latin", "latin-ext", "greek", "cyrillic", "cyrillic-ext"];
const weights = [400, 600];

let ready: Promise<Drawer> | undefined;

/** The renderer and the fonts. */
interface Drawer {
  readonly Resvg: typeof import("@resvg/resvg-wasm").Resvg;
  readonly fontBuffers: Uint8Array[];
}

/** A drawing (SVG text) as a PNG file. @param dark true for its colours for a dark background, if it has any */
export async function bitmap(drawn: string, dark = false): Promise<Uint8Array> {
  const svg = dark ? darkened(drawn) : drawn;
  ready ??= loaded();
  const { Resvg, fontBuffers } = await ready;
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

/** The renderer, initialized, and the fonts. @throws EarlyEnd if they are not installed */
async function loaded(): Promise<Drawer> {
  const { resolve } = createRequire(import.meta.url);
  try {
    const { initWasm, Resvg } = await import("@resvg/resvg-wasm");
    await initWasm(readFileSync(resolve("@resvg/resvg-wasm/index_bg.wasm")));
    const files = letters.flatMap((set) =>
      weights.map((weight) => `@fontsource/noto-sans/files/noto-sans-${set}-${weight}-normal.woff2`),
    );
    return { Resvg, fontBuffers: files.map((file) => readFileSync(resolve(file))) };
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code !== "ERR_MODULE_NOT_FOUND" && code !== "MODULE_NOT_FOUND") throw error;
    const packages = "@resvg/resvg-wasm and @fontsource/noto-sans";
    throw new EarlyEnd(`no PNG can be made of a drawing: ${packages} are not installed`, status.stopped);
  }
}
