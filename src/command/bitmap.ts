// A drawing as PNG, for where no SVG is taken. Its letters are those of a font that is installed with the package, so that the
// same drawing gives the same bytes on every machine, whatever fonts that has. What draws and the font are optional: they are
// larger than all the rest, and who leaves them out has everything else.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { darkened, inTheDark } from "../report/darkness.js";
import { EarlyEnd, status } from "./refusal.js";

/** Pixels a unit of the drawing, and the most of a whole picture: a larger one is drawn less finely. */
const fine = 2;
const mostPixels = 64e6;

const family = "Noto Sans";
/** In the order in which they are looked into: whoever asks for a weight is given it by the first that has any letters. */
const letters = ["latin", "latin-ext", "greek", "cyrillic", "cyrillic-ext"];
const weights = [400, 600];

let ready: Promise<Drawer> | undefined;

/** What draws, and the fonts. */
interface Drawer {
  readonly Resvg: typeof import("@resvg/resvg-wasm").Resvg;
  readonly fontBuffers: Uint8Array[];
}

/** A drawing (SVG text) as a PNG file. @param dark in its colours for a dark ground, where it has some */
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

/** What is written to a file of this name: the drawing itself, or as PNG where the name says so. */
export async function asNamed(path: string, svg: string, dark = false): Promise<string | Uint8Array> {
  return path.endsWith(".png") ? bitmap(svg, dark) : svg;
}

/** What draws, made ready, and the fonts. @throws EarlyEnd where they were not installed */
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
