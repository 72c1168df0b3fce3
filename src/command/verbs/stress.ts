// The verb `stress`: the demands of a run on its parts, against their ratings.
import { dimension } from "../../base/dimension.js";
import { stress } from "../../judging/stresses.js";
import { simulate } from "../../simulation/simulate.js";
import { load } from "../load.js";
import { tellDoubts } from "../onerun.js";
import { quantityText } from "../option.js";
import { printable } from "../output.js";
import { status } from "../refusal.js";
import { oneCase, otherValues, simulateAsked, simulating } from "../sharedoptions.js";
import { stressLines } from "../stresstext.js";
import { designFile, verb } from "../verb.js";

export const stressVerb = verb({
  word: "stress",
  summary: "shows power, current and voltage of every part, against what it is rated for",
  operand: designFile,
  options: {
    ...oneCase,
    after: quantityText(dimension.time, "TIME", "look at the time from then on (default: all of the run)"),
    before: quantityText(dimension.time, "TIME", "look at the time until then"),
    ...otherValues,
    ...simulating,
  },
  more: "A part is rated as the design says, in words such as ', rated 0.25 W' or ', rated 300 mA peak'.",
  example: 'stress line.ramp --case "switch stuck"',
  statuses: {
    0: "every rating holds",
    1: "one does not",
    2: "the design or an option is wrong",
    3: "the run stopped early (what there is is shown)",
  },
  async run({ operands: [file], options }) {
    const loaded = await load(file, options);
    const { case: caseName, after, before } = options;
    const run = simulate(loaded.design, { ...simulateAsked(options), case: caseName });
    tellDoubts(run);
    const found = stress(run, { after, before });
    return { run, found, loaded };
  },
  text: ({ found }) => `${stressLines(found).map(printable).join("\n")}\n`,
  json: ({ run, found }) => ({ status: run.status, ...found }),
  status: ({ run, found }) => {
    if (run.status === "stopped") return status.stopped;
    return found.pass ? status.good : status.fails;
  },
  designs: ({ loaded }) => [loaded],
});
