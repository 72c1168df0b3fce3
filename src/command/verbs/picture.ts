// The verb `picture`: what a run draws on a tube, as a file.
// Takes FILE, where to, and which tube, case and time; writes PNG. Status: 0 written, 2 the design or an option is wrong,
// 3 the run stopped early (what it drew is written) or the file cannot be written.
import { extname } from "node:path";
import { engineering } from "../../base/quantity.js";
import { drivesTube } from "../../report/cautions.js";
import { simulate } from "../../simulation/simulate.js";
import { png } from "../../tube/image.js";
import { raster } from "../../tube/raster.js";
import { attempt, load } from "../load.js";
import { printable, tell, tryFile, writeFile } from "../output.js";
import { EarlyEnd, status } from "../refusal.js";
import { tellCautions, tellEnd } from "./check.js";

/** Options of the verb. */
export interface PictureOptions {
  readonly out: string;
  readonly case?: string;
  readonly tube?: string;
  readonly width?: string;
  readonly height?: string;
  readonly until?: string;
  readonly from?: string;
  readonly to?: string;
}

/** Runs the verb; gives the status. */
export async function picture(file: string, options: PictureOptions): Promise<number> {
  const { out, until, tube, from, to, case: name } = options;
  if (extname(out) !== ".png") throw new EarlyEnd(`${printable(out)}: a picture ends in .png`, status.wrong);
  const width = pixels(options.width, "width");
  const height = pixels(options.height, "height");
  const { design, source } = load(file);
  tryFile(out);
  const { run, image } = attempt(() => {
    const run = simulate(design, {
      ...(until !== undefined && { until }),
      ...(name !== undefined && { case: name }),
    });
    const image = raster(run, {
      ...(tube !== undefined && { tube }),
      ...(from !== undefined && { from }),
      ...(to !== undefined && { to }),
      ...(width !== undefined && { width }),
      ...(height !== undefined && { height }),
    });
    return { run, image };
  }, false);
  tellEnd(run);
  await writeFile(out, [png(image)]);
  const span = `${engineering(image.from, "s")} to ${engineering(image.to, "s")}`;
  tell(`${printable(out)}: ${image.width} by ${image.height}, ${span}`);
  if (drivesTube(source.text, design)) tellCautions();
  return run.status === "complete" ? status.good : status.stopped;
}

/** A count as the command line has it; what is none is refused by the picture itself, in its words. */
function pixels(given: string | undefined, word: string): number | undefined {
  if (given === undefined) return undefined;
  if (!/^\d{1,9}$/.test(given))
    throw new EarlyEnd(`${word}: ${printable(given)} is not a whole number of pixels`, status.wrong);
  return Number(given);
}
