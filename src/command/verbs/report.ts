// The verb `report`: one self-contained page about the design and all its cases.
import { createHash } from "node:crypto";
import type { CheckResult } from "../../judging/verify.js";
import { drivesTube } from "../../report/cautions.js";
import { type Exhibit, page } from "../../report/page.js";
import { summaryText } from "../../report/verdicts.js";
import { schematicOf } from "../../schematic/schematic.js";
import { everyCase } from "../allruns.js";
import { type Loaded, load } from "../load.js";
import { flag, needed, path, whole } from "../option.js";
import { printable, tell, toldPath, tryFile, writeFile } from "../output.js";
import { asTyped, status } from "../refusal.js";
import {
  demandTraces,
  moreTraces,
  otherValues,
  simulateAsked,
  simulating,
  workers,
} from "../sharedoptions.js";
import { type Asked, designFile, verb } from "../verb.js";

const options = {
  out: needed(path("FILE", "file to write, .html; - is standard output")),
  ...moreTraces,
  stress: flag("tables of what each run asks of its parts, and its schematic with the figures"),
  spread: whole("what so many trials of the tolerances come to (e.g. 200)", 1, 1_000_000),
  ...workers,
  ...otherValues,
  ...simulating,
};

export const reportVerb = verb({
  word: "report",
  summary: "writes one self-contained page (HTML) about the design and its cases",
  operand: designFile,
  options,
  example: "report line.ramp --out line.html",
  statuses: {
    0: "written, also where a check fails: the page says so",
    2: "the design is wrong",
    3: "a run stopped early or nothing was written",
  },
  async run({ operands: [file], options }) {
    const { out, workers, traces = [], stress, spread } = options;
    const loaded = await load(file, options);
    const { design, source } = loaded;
    demandTraces(design, traces);
    tryFile(out);
    const runs: Exhibit[] = [];
    const results: CheckResult[] = [];
    const wanted = { simulate: simulateAsked(options), page: true, traces, stress };
    await everyCase(loaded, wanted, workers, (left) => {
      for (const line of left.doubts) tell(`rampwright: ${asTyped(line)}`);
      runs.push(left.exhibit!);
      for (const result of left.results) results.push(result);
    });
    const tube = drivesTube(source.text, design);
    const schematic = schematicOf(design);
    const { report: program } = (await import("../../live/assets.js")).assets;
    const tried = spread === undefined ? undefined : await spreadOf(file, loaded, options, spread);
    const contents = { design, runs, results, schematic, tube, text: source.text, program, digest };
    await writeFile(out, page({ ...contents, ...(tried && { spread: tried.section }) }));
    tell(`${toldPath(out)}: ${printable(summaryText(results))}`);
    return { runs, whole: tried?.whole ?? true };
  },
  text: () => "",
  status: ({ runs, whole }) =>
    whole && runs.every((run) => run.status === "complete") ? status.good : status.stopped,
});

/** The section about the tolerances; runs the trials of all cases. */
async function spreadOf(
  file: string,
  loaded: Loaded,
  asked: Asked<typeof options>["options"],
  trials: number,
): Promise<{ section: string; whole: boolean }> {
  const [{ randomTrials, trialling }, { summarise }, { spreadSection }, { histogramPicture }] =
    await Promise.all([
      import("../trialling.js"),
      import("../../spread/summary.js"),
      import("../../report/spreadtable.js"),
      import("../../report/histogram.js"),
    ]);
  const experiment = { cases: true, simulate: simulateAsked(asked) };
  const { workers } = asked;
  const trying = trialling(loaded, { file, experiment, workers, jobs: trials });
  const { trials: found, whole } = await randomTrials(trying, { from: 0, to: trials }, 1);
  return { section: spreadSection(summarise(found), histogramPicture(found)), whole };
}

/** SHA-256 as a content policy writes it. */
function digest(text: string): string {
  return createHash("sha256").update(text).digest("base64");
}
