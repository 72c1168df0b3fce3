// The verb `faults`: what happens when something fails. Its rows are printed as they come.
import type { Fault } from "../../faults/blame.js";
import { FaultStudy, type FaultsOptions } from "../../faults/survey.js";
import { Bar } from "../bar.js";
import { FaultLines, footLines } from "../faulttext.js";
import { load } from "../load.js";
import { flag, names } from "../option.js";
import { printable, say } from "../output.js";
import { status } from "../refusal.js";
import { otherValues, simulateAsked, simulating, workers } from "../sharedoptions.js";
import { studied } from "../studied.js";
import { designFile, verb } from "../verb.js";

export const faultsVerb = verb({
  word: "faults",
  summary: "shows what fails when one part is open or short, one supply dead, one signal stopped",
  operand: designFile,
  options: {
    parts: names("what fails (default: everything, one at a time)"),
    drawn: flag("leave the cases out: the design as drawn alone"),
    ...workers,
    ...otherValues,
    ...simulating,
  },
  more:
    "Each fault is tried as drawn and in every case of which a check can change. What fails without the fault as well is " +
    "not blamed on it. A fault that no check shows in any case is called latent. Ctrl-C ends it, and keeps the rows that " +
    "are done.",
  example: "faults line.ramp --parts reset,guard",
  statuses: {
    0: "all checks pass where nothing fails, and no fault asks another part for more than it is rated for",
    1: "not so",
    2: "the design or an option is wrong",
    3: "the design as drawn could not be run to its end, or not all runs were made",
  },
  async run({ operands: [file], options, json }) {
    const loaded = await load(file, options);
    const { design } = loaded;
    const { parts, drawn, workers } = options;
    const simulate = simulateAsked(options);
    const asked: FaultsOptions = { simulate, parts, cases: !drawn };
    const bar = new Bar("runs");
    let lines: FaultLines | undefined;
    const print = (fault: Fault) => {
      if (json) return;
      bar.clear();
      say(`${printable(lines!.row(fault))}\n`);
    };
    const study = new FaultStudy(design, asked, print);
    lines = new FaultLines(study.titles);
    if (!json) say(`${printable(design.title)}\n\n${printable(lines.head)}\n`);
    const table = await studied(loaded, study, { asked: { faults: asked }, simulate, workers, bar });
    return { table, loaded };
  },
  text: ({ table }) => `\n${footLines(table).map(printable).join("\n")}\n`,
  json: ({ table }) => table,
  status: ({ table }) => {
    if (table.missing > 0 || table.faults[0]?.status !== "complete") return status.stopped;
    return table.pass ? status.good : status.fails;
  },
  designs: ({ loaded }) => [loaded],
});
