// The verb `report`: one self-contained page about the design and all its cases.
// Takes FILE and where to; writes HTML. Status: 0 also where checks fail (the page says so), 2 the design is wrong, 3 a
// run could not be completed (the page says so too) or the page cannot be written.

import type { CheckResult } from "../../judging/verify.js";
import { drivesTube } from "../../report/cautions.js";
import { type Exhibit, page } from "../../report/page.js";
import { summaryText } from "../../report/verdicts.js";
import { everyCase } from "../allruns.js";
import { attemptAll, load } from "../load.js";
import { printable, tell, tryFile, writeFile } from "../output.js";
import { status } from "../refusal.js";

/** Options of the verb. */
export interface ReportOptions {
  readonly until?: string;
  readonly out: string;
  readonly workers?: string;
}

/** Runs the verb; gives the status. */
export async function report(file: string, options: ReportOptions): Promise<number> {
  const loaded = load(file);
  const { design, source } = loaded;
  const { until, workers, out } = options;
  tryFile(out);
  const runs: Exhibit[] = [];
  const results: CheckResult[] = [];
  const wanted = { ...(until !== undefined && { until }), page: true };
  await attemptAll(
    () =>
      everyCase(loaded, wanted, workers, (left) => {
        for (const line of left.doubts) tell(`rampwright: ${line}`);
        runs.push(left.exhibit!);
        results.push(...left.results);
      }),
    false,
  );
  const tube = drivesTube(source.text, design);
  await writeFile(out, [page({ design, runs, results, tube })]);
  tell(`${printable(out)}: ${printable(summaryText(results))}`);
  return runs.every((run) => run.status === "complete") ? status.good : status.stopped;
}
