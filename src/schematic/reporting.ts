/**
 * Pictures and the page of a design, for programs: waveforms and schematics as SVG, a whole report as one page. Nothing here
 * needs Node or a browser. Pictures of a tube's screen are made by `raster` and `png` of the main entry.
 *
 * @module rampwright/report
 */
import { asked } from "../base/asked.js";
import { handed } from "../base/handed.js";
import { asksAnything, type Design } from "../design/design.js";
import { caseLength } from "../design/length.js";
import { type CheckResult, verify } from "../judging/verify.js";
import type { Run } from "../reading/result.js";
import { drivesTube } from "../report/cautions.js";
import { type Exhibit, exhibit, page } from "../report/page.js";
import { panelGroups } from "../report/selection.js";
import { tracePicture } from "../report/svg.js";
import { type Limits, plan, type SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";
import { schematicOf } from "./schematic.js";

export { type DrawOptions, draw } from "./schematic.js";
export type { CheckResult, Design, Limits, Run, SimulateOptions };

/** How the runs of a report are made. */
export interface ReportOptions {
  /** When the design as drawn ends, as text or in seconds; each case ends as it says. */
  readonly until?: SimulateOptions["until"];
  /** The most that a run may take. */
  readonly limits?: Limits;
  /** The text of the design, which the page shows. If it mentions a picture tube, the page has the cautions. */
  readonly text?: string;
  /**
   * SHA-256 of a UTF-8 text, in base64, by which the page allows only its own styles: use Node's `createHash`.
   * Without it any style is allowed.
   */
  readonly digest?: (text: string) => string;
}

/**
 * The waveforms of a run as one picture (SVG): one panel for comparable traces, with checks and their limits drawn in.
 *
 * @category Pictures
 * @example
 * ```ts
 * writeFileSync("line.svg", waveforms(run) ?? "");
 * ```
 * @returns undefined if the run has nothing to show
 */
export function waveforms(run: Run): string | undefined {
  handed("run", run);
  const { title, caseName } = run.design;
  const groups = panelGroups(run);
  if (groups.length === 0) return undefined;
  return tracePicture(groups, { title: caseName === "" ? title : `${title}: ${caseName}` });
}

/**
 * Runs a design and every case that has checks or figures, and returns one self-contained page (HTML) about them. The page is
 * still: the command's page moves, and the command runs the cases side by side.
 *
 * @category Pictures
 * @example
 * ```ts
 * const digest = (words: string) => createHash("sha256").update(words).digest("base64");
 * writeFileSync("line.html", report(design, { text, digest }));
 * ```
 * @throws DesignError for unknown options, or an end that makes no sense
 */
export function report(design: Design, options: ReportOptions = {}): string {
  handed("design", design);
  asked(options, { until: "any", limits: "object", text: "text", digest: "function" });
  const { until, limits, text = "", digest } = options;
  const first = plan(design, { until }).until;
  const all = [design, ...design.cases.filter(asksAnything)];
  const runs: Exhibit[] = [];
  const results: CheckResult[] = [];
  for (const [index, one] of all.entries()) {
    const end = index === 0 ? first : caseLength(one, first);
    const run = simulate(one, { until: end, limits });
    const verdicts = verify(run);
    runs.push(exhibit(run, index, verdicts));
    for (const verdict of verdicts) results.push(verdict);
  }
  const tube = drivesTube(text, design);
  return page({ design, runs, results, schematic: schematicOf(design), tube, text, digest }).join("");
}
