// The verb `draw`: the schematic of a design.
import { didYouMean } from "../../base/nearest.js";
import type { Design } from "../../design/design.js";
import { figuresOf } from "../../schematic/figures.js";
import { blockNames, draw } from "../../schematic/schematic.js";
import { simulate } from "../../simulation/simulate.js";
import { asNamed } from "../bitmap.js";
import { load } from "../load.js";
import { tellDoubts } from "../onerun.js";
import { flag, names, needed, path } from "../option.js";
import { printable, tell, tryFile, writeFile, writerOf } from "../output.js";
import { EarlyEnd, status } from "../refusal.js";
import { demandBitmap, inDark, oneCase, otherValues, simulateAsked, simulating } from "../sharedoptions.js";
import { designFile, verb } from "../verb.js";

export const drawVerb = verb({
  word: "draw",
  summary: "writes the schematic of a design",
  operand: designFile,
  options: {
    out: needed(path("FILE", "file to write, .svg or .png; - is standard output, as .svg")),
    open: names("blocks to be drawn open, `all` for every one (default: all closed)"),
    figures: flag("simulate first, and show each place's voltages, stressed parts and failing checks"),
    ...inDark,
    ...oneCase,
    ...otherValues,
    ...simulating,
  },
  example: "draw line.ramp --out line.svg",
  statuses: {
    0: "written",
    2: "the design or an option is wrong",
    3: "the run stopped early (what there is is drawn) or nothing was written",
  },
  async run({ operands: [file], options }) {
    const { out, open: asked = [], figures, dark, case: caseName } = options;
    demandBitmap(dark, out);
    writerOf(out, { ".svg": draw, ".png": draw });
    const loaded = await load(file, options);
    tryFile(out);
    const design = caseOf(loaded.design, caseName);
    const open = asked.includes("all") ? true : asked.map((block) => blockOf(design, block));
    const run = figures ? simulate(loaded.design, { ...simulateAsked(options), case: caseName }) : undefined;
    if (run) tellDoubts(run);
    const drawn = draw(design, { open, ...(run && figuresOf(run)) });
    await writeFile(out, [await asNamed(out, drawn, dark)]);
    const blocks =
      open === true ? "all blocks open" : open.length > 0 ? `${open.join(", ")} open` : "blocks closed";
    tell(`${printable(out)}: ${design.parts.length} parts, ${printable(blocks)}`);
    return { run, loaded };
  },
  text: () => "",
  status: ({ run }) => (run?.status === "stopped" ? status.stopped : status.good),
  designs: ({ loaded }) => [loaded],
});

function caseOf(design: Design, name: string | undefined): Design {
  if (name === undefined || name === "") return design;
  const found = design.cases.find(({ caseName }) => caseName === name);
  if (found) return found;
  const names = design.cases.map(({ caseName }) => caseName);
  throw new EarlyEnd(`case: no case is called '${name}'${behind(didYouMean(name, names))}`, status.wrong);
}

function blockOf(design: Design, name: string): string {
  const blocks = blockNames(design);
  if (blocks.has(name)) return name;
  throw new EarlyEnd(
    `open: no block is called '${name}'${behind(didYouMean(name, [...blocks]))}`,
    status.wrong,
  );
}

const behind = (hint: string | undefined) => (hint === undefined ? "" : `; ${hint}`);
