// The verb `picture`: what a run draws on a tube.
import { dimension } from "../../base/dimension.js";
import { simulate } from "../../simulation/simulate.js";
import { caption, png } from "../../tube/image.js";
import { raster } from "../../tube/raster.js";
import { load } from "../load.js";
import { tellDoubts } from "../onerun.js";
import { anyText, needed, path, quantityText, whole } from "../option.js";
import { printable, tell, tryFile, writeFile, writerOf } from "../output.js";
import { status } from "../refusal.js";
import { oneCase, otherValues, simulateAsked, simulating } from "../sharedoptions.js";
import { designFile, verb } from "../verb.js";

export const pictureVerb = verb({
  word: "picture",
  summary: "writes what a run draws on a picture tube",
  operand: designFile,
  options: {
    out: needed(path("FILE", "file to write, .png; - is standard output")),
    ...oneCase,
    tube: anyText("NAME", "the tube, where the design has several"),
    width: whole("pixels (default: 768)"),
    height: whole("pixels (default: 576)"),
    from: quantityText(
      dimension.time,
      "TIME",
      "start of the time shown (default: of the last whole frame, else of the last whole field)",
    ),
    to: quantityText(dimension.time, "TIME", "end of the time shown (default: the end of the run)"),
    ...otherValues,
    ...simulating,
  },
  example: "picture nestbox.ramp --out screen.png",
  statuses: {
    0: "written",
    2: "the design or an option is wrong",
    3: "the run stopped early (what it drew is written) or nothing was written",
  },
  async run({ operands: [file], options }) {
    const { out, case: caseName, tube, width, height, from, to } = options;
    writerOf(out, { ".png": png });
    const loaded = await load(file, options);
    tryFile(out);
    const run = simulate(loaded.design, { ...simulateAsked(options), case: caseName });
    tellDoubts(run);
    const image = raster(run, { tube, from, to, width, height });
    await writeFile(out, [png(image)]);
    tell(`${printable(out)}: ${image.width} by ${image.height}, ${caption(image)}`);
    return { run, loaded };
  },
  text: () => "",
  status: ({ run }) => (run.status === "complete" ? status.good : status.stopped),
  designs: ({ loaded }) => [loaded],
});
