// Pictures of runs in a folder, named after the design's file and the case: waveforms as SVG (and PNG), each tube's screen as
// PNG.
import { mkdirSync } from "node:fs";
import { basename, join } from "node:path";
import type { RunRemains } from "./onerun.js";
import { printable, tell, tryFile, writeFile } from "./output.js";
import { EarlyEnd, reasonOf, status } from "./refusal.js";

/**
 * Returns a function that saves the pictures of one run of the design in `file`.
 * @param taken names already used
 * @throws EarlyEnd if the folder cannot be written to
 */
export function gallery(
  folder: string,
  file: string,
  taken: Set<string>,
  { quiet, png, dark }: { readonly quiet: boolean; readonly png: boolean; readonly dark: boolean },
): (left: RunRemains) => Promise<void> {
  try {
    mkdirSync(folder, { recursive: true });
  } catch (error) {
    throw new EarlyEnd(`${folder} cannot be made: ${reasonOf(error)}`, status.stopped);
  }
  const base = file === "-" ? "design" : slug(basename(file).replace(/\.ramp$/u, ""));
  tryFile(join(folder, `${base}.svg`));
  return async ({ caseName, pictures }) => {
    const name = caseName === "" ? base : `${base}-${slug(caseName)}`;
    const put = async (path: string, bytes: string | Uint8Array) => {
      await writeFile(join(folder, path), [bytes]);
      if (!quiet) tell(`picture: ${printable(join(folder, path))}`);
    };
    for (const { tube, bytes } of pictures) {
      await put(
        tube === undefined ? fresh(name, ".svg", taken) : fresh(`${name}-${slug(tube)}`, ".png", taken),
        bytes,
      );
      if (png && typeof bytes === "string") {
        const { bitmap } = await import("./bitmap.js");
        await put(fresh(name, ".png", taken), await bitmap(bytes, dark));
      }
    }
  };
}

// The names of two cases may give the same file name.
function fresh(name: string, ending: string, taken: Set<string>): string {
  let tried = name + ending;
  for (let k = 2; taken.has(tried); k++) tried = `${name}-${k}${ending}`;
  taken.add(tried);
  return tried;
}

function slug(text: string): string {
  const word = text
    .normalize("NFC")
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .replace(/^-|-$/g, "");
  return [...word].slice(0, 40).join("") || "case";
}
