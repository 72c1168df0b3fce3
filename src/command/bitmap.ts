// A drawing as PNG, for where no SVG is taken. Its letters are those of a font that comes with the command, so that the same
// drawing gives the same bytes on every machine, whatever fonts that has.
import { readdirSync, readFileSync } from "node:fs";
import { initWasm, Resvg } from "@resvg/resvg-wasm";

/** Pixels a unit of the drawing, and the most of a whole picture: a larger one is drawn less finely. */
const fine = 2;
const mostPixels = 64e6;

const family = "Noto Sans";
let fonts: Promise<Uint8Array[]> | undefined;

/** A drawing (SVG text) as a PNG file, light on any ground. */
export async function bitmap(svg: string): Promise<Uint8Array> {
  fonts ??= loaded();
  const font = { fontBuffers: await fonts, sansSerifFamily: family, defaultFontFamily: family };
  const [width, height] = ["width", "height"].map((word) =>
    Number(new RegExp(`^<svg[^>]* ${word}="([\\d.]+)"`).exec(svg)?.[1]),
  );
  const value = Math.min(fine, Math.sqrt(mostPixels / (width * height)));
  const drawing = new Resvg(svg, { font, background: "#ffffff", fitTo: { mode: "zoom", value } });
  try {
    return drawing.render().asPng();
  } finally {
    drawing.free();
  }
}

/** What is written to a file of this name: the drawing itself, or as PNG where the name says so. */
export async function asNamed(path: string, svg: string): Promise<string | Uint8Array> {
  return path.endsWith(".png") ? bitmap(svg) : svg;
}

/** What draws, made ready, and the fonts in the order of their names; the build puts both beside the command. */
async function loaded(): Promise<Uint8Array[]> {
  const beside = (name: string) => new URL(name, import.meta.url);
  await initWasm(readFileSync(beside("./resvg.wasm")));
  const names = readdirSync(beside("./fonts/")).filter((name) => name.endsWith(".woff2"));
  return names.sort().map((name) => readFileSync(beside(`./fonts/${name}`)));
}
