// The verb `faults`: what happens when something fails. Rows are printed as they come.
import { FaultStudy, type FaultsOptions } from "../../faults/survey.js";
import { Bar } from "../bar.js";
import { FaultLines, footLines } from "../faulttext.js";
import { type Loaded, load } from "../load.js";
import { flag, names, path } from "../option.js";
import { printable, say, tryFile } from "../output.js";
import { status } from "../refusal.js";
import { otherValues, simulateAsked, simulating, workers } from "../sharedoptions.js";
import { sliceStudied, studied } from "../studied.js";
import {
  mergedSlices,
  refuseBesideMerge,
  refuseLoneOut,
  refuseUnsliced,
  slicedLine,
  slicing,
} from "../studyslices.js";
import { designFile, verb } from "../verb.js";

export const faultsVerb = verb({
  word: "faults",
  summary: "shows what fails when one part is open or short, one supply dead, one signal stopped",
  operand: { ...designFile, many: true },
  options: {
    parts: names("what fails (default: everything, one at a time)"),
    drawn: flag("leave the cases out: the design as drawn alone"),
    ...workers,
    ...slicing,
    out: path("FILE", "with --slice: keep what it found in this file"),
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
  async run(asked) {
    const { operands, options } = asked;
    const { parts, drawn, workers, slice, out } = options;
    if (options.merge) {
      refuseBesideMerge(options, []);
      const merged = mergedSlices("faults", operands);
      return { table: merged.into(told(merged.loaded, merged.options, asked.json)), loaded: merged.loaded };
    }
    refuseUnsliced(operands, options);
    refuseLoneOut(options);
    const loaded = await load(operands[0], options);
    const simulate = simulateAsked(options);
    const wanted: FaultsOptions = { simulate, parts, cases: !drawn };
    const working = { asked: { study: "faults", options: wanted } as const, workers, bar: new Bar("runs") };
    if (slice) {
      tryFile(out!);
      const study = new FaultStudy(loaded.design, wanted);
      return { sliced: await sliceStudied(loaded, study, working, { slice, out: out! }), loaded };
    }
    const study = told(loaded, wanted, asked.json, working.bar);
    return { table: await studied(loaded, study, working), loaded };
  },
  text: ({ table, sliced }) =>
    table ? `\n${footLines(table).map(printable).join("\n")}\n` : slicedLine(sliced),
  json: ({ table, sliced }) => table ?? sliced,
  status: ({ table, sliced }) => {
    if (!table) return sliced.made < sliced.asked ? status.stopped : status.good;
    if (table.missing > 0 || table.faults[0]?.status !== "complete") return status.stopped;
    return table.pass ? status.good : status.fails;
  },
  designs: ({ loaded }) => [loaded],
});

/** The study; prints its head now, and its rows as they come. */
function told({ design }: Loaded, wanted: FaultsOptions, json: boolean, bar?: Bar): FaultStudy {
  if (json) return new FaultStudy(design, wanted);
  let lines: FaultLines | undefined;
  const study = new FaultStudy(design, wanted, (fault) => {
    bar?.clear();
    say(`${printable(lines!.row(fault))}\n`);
  });
  lines = new FaultLines(study.titles);
  say(`${printable(design.title)}\n\n${printable(lines.head)}\n`);
  return study;
}
