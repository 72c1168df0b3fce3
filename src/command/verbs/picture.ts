// The verb `picture`: what a run draws on a tube.
import { refuseOption } from "../../base/asked.js";
import { dimension } from "../../base/dimension.js";
import { engineering } from "../../base/quantity.js";
import { simulate } from "../../simulation/simulate.js";
import { animated } from "../../tube/animated.js";
import { type Film, film, strip } from "../../tube/film.js";
import { caption, png } from "../../tube/image.js";
import { raster } from "../../tube/raster.js";
import { tubeOf } from "../../tube/screen.js";
import { load } from "../load.js";
import { tellDoubts } from "../onerun.js";
import { anyText, needed, path, quantityText, whole } from "../option.js";
import { tell, toldPath, tryFile, writeFile, writerOf } from "../output.js";
import { status } from "../refusal.js";
import { oneCase, otherValues, simulateAsked, simulating } from "../sharedoptions.js";
import { designFile, verb } from "../verb.js";

export const pictureVerb = verb({
  word: "picture",
  summary: "writes what a run draws on a picture tube",
  operand: designFile,
  options: {
    out: needed(path("FILE", "file to write, .png, or .apng for fields that move; - is standard output")),
    ...oneCase,
    tube: anyText("NAME", "the tube, where the design has several"),
    fields: whole("so many fields instead, the last ones, beside each other or in turn", 1, 200),
    width: whole("pixels (default: 768; 256 a field)"),
    height: whole("pixels (default: 576; 192 a field)"),
    from: quantityText(
      dimension.time,
      "TIME",
      "start of the time shown (default: of the last whole frame, else of the last whole field)",
    ),
    to: quantityText(dimension.time, "TIME", "end of the time shown (default: the end of the run)"),
    ...otherValues,
    ...simulating,
  },
  example: "picture board.ramp --out screen.png",
  statuses: {
    0: "written",
    2: "the design or an option is wrong",
    3: "the run stopped early (what it drew is written) or nothing was written",
  },
  async run({ operands: [file], options }) {
    const { out, case: caseName, tube, fields, width, height, from, to } = options;
    const write = writerOf(out, { ".png": strip, ".apng": animated });
    if (write === animated && fields === undefined)
      refuseOption("--out", "an .apng shows fields that move", "give --fields too");
    const loaded = await load(file, options);
    tryFile(out);
    // Told before the run, which may take its time.
    tubeOf(loaded.design.parts, { tube });
    const run = simulate(loaded.design, { ...simulateAsked(options), case: caseName });
    tellDoubts(run);
    const size = { tube, from, to, width, height };
    if (fields !== undefined) {
      const shown = film(run, { ...size, fields });
      await writeFile(out, [write(shown)]);
      tell(`${toldPath(out)}: ${filmText(shown, fields, to === undefined)}`);
      return { run, loaded };
    }
    const image = raster(run, size);
    await writeFile(out, [png(image)]);
    tell(`${toldPath(out)}: ${image.width} by ${image.height}, ${caption(image)}`);
    return { run, loaded };
  },
  text: () => "",
  status: ({ run }) => (run.status === "complete" ? status.good : status.stopped),
  designs: ({ loaded }) => [loaded],
});

/** @param open whether the time shown goes on to the run's end */
function filmText({ width, height, frames, around }: Film, asked: number, open: boolean): string {
  const span = `${engineering(frames[0].from, "s")} to ${engineering(frames[frames.length - 1].to, "s")}`;
  const dark = frames.filter((frame) => frame.dark).length;
  const count = frames.length === 1 ? "1 field" : `${frames.length} fields`;
  const fewer =
    frames.length < asked
      ? `; ${asked} were asked for, but the time shown has no more whole ones${open ? ": a later --until gives them" : ""}`
      : "";
  const drawn =
    around === undefined ? "" : "; the screen's edges are drawn as a frame, and around it where the beam is";
  const none = dark > 0 ? `, ${dark} of them with a dark screen${drawn}` : "";
  return `${count} of ${width} by ${height}, ${span}${none}${fewer}`;
}
