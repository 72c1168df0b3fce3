// The verb `report`: one self-contained page about the design and all its cases.
// Takes FILE and where to; writes HTML. Status: 0 also where checks fail (the page says so), 2 the design is wrong, 3 a
// run could not be completed (the page says so too) or the page cannot be written.
import { drivesTube } from "../report/cautions.js";
import { type Exhibit, exhibit, page } from "../report/page.js";
import { summaryText } from "../report/verdicts.js";
import { drawAll, everything, tellEnd } from "./check.js";
import { attempt, load } from "./design.js";
import { plain, tell, writeFile } from "./output.js";
import { status } from "./trouble.js";

/** Options of the verb. */
export interface ReportOptions {
  readonly until?: string;
  readonly out: string;
}

/** Runs the verb; gives the status. */
export function report(file: string, options: ReportOptions): number {
  const { design, source } = load(file);
  const runs: Exhibit[] = [];
  const results = attempt(
    () =>
      everything(design, options.until, (run) => {
        tellEnd(run);
        drawAll(run);
        runs.push(exhibit(run, runs.length));
      }),
    false,
  );
  const tube = drivesTube(source.text, design);
  writeFile(options.out, [page({ runs, results, tube })]);
  tell(`${plain(options.out)}: ${plain(summaryText(results))}`);
  return runs.every((run) => run.status === "complete") ? status.good : status.stopped;
}
