// The verb `report`: one self-contained page about the design and all its cases.
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import type { CheckResult } from "../../judging/verify.js";
import { drivesTube } from "../../report/cautions.js";
import { type Exhibit, page } from "../../report/page.js";
import { summaryText } from "../../report/verdicts.js";
import { schematicOf } from "../../schematic/reporting.js";
import { everyCase } from "../allruns.js";
import { load } from "../load.js";
import { needed, path } from "../option.js";
import { printable, tell, tryFile, writeFile } from "../output.js";
import { asTyped, status } from "../refusal.js";
import { otherValues, simulateAsked, simulating, workers } from "../sharedoptions.js";
import { designFile, verb } from "../verb.js";

export const reportVerb = verb({
  word: "report",
  summary: "writes one self-contained page (HTML) about the design and its cases",
  operand: designFile,
  options: {
    out: needed(path("FILE", "file to write, .html; - is standard output")),
    ...workers,
    ...otherValues,
    ...simulating,
  },
  example: "report line.ramp --out line.html",
  statuses: {
    0: "written, also where a check fails: the page says so",
    2: "the design is wrong",
    3: "a run stopped early or nothing was written",
  },
  async run({ operands: [file], options }) {
    const { out, workers } = options;
    const loaded = await load(file, options);
    const { design, source } = loaded;
    tryFile(out);
    const runs: Exhibit[] = [];
    const results: CheckResult[] = [];
    await everyCase(loaded, { simulate: simulateAsked(options), page: true }, workers, (left) => {
      for (const line of left.doubts) tell(`rampwright: ${asTyped(line)}`);
      runs.push(left.exhibit!);
      results.push(...left.results);
    });
    const tube = drivesTube(source.text, design);
    const schematic = schematicOf(design);
    const program = readFileSync(new URL("./page.js", import.meta.url), "utf8");
    await writeFile(
      out,
      page({ design, runs, results, schematic, tube, text: source.text, program, digest }),
    );
    tell(`${printable(out)}: ${printable(summaryText(results))}`);
    return { runs };
  },
  text: () => "",
  status: ({ runs }) => (runs.every((run) => run.status === "complete") ? status.good : status.stopped),
});

/** SHA-256 as a content policy names it. */
function digest(text: string): string {
  return createHash("sha256").update(text).digest("base64");
}
