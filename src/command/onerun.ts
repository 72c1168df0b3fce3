// One run of a design, and its remains: verdicts, words, pictures, what a page shows. The remains are plain data that a thread
// can pass on; the run itself is dropped, since a long one takes much memory.
import { DesignError, type Diagnostic } from "../base/diagnostic.js";
import { engineering } from "../base/quantity.js";
import { verifyCaptured } from "../captures/capturedchecks.js";
import { asksAnything, type Design } from "../design/design.js";
import { caseLength } from "../design/length.js";
import { type ShownFigure, shownFigures } from "../judging/shownfigures.js";
import { type CheckResult, verify } from "../judging/verify.js";
import { clippings } from "../reading/atlimits.js";
import type { Run } from "../reading/result.js";
import { clippingText } from "../report/clipped.js";
import type { Exhibit } from "../report/page.js";
import { caseTitle } from "../report/verdicts.js";
import { plan } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";
import type { PictureFile } from "./drawnrun.js";
import { printable, tell } from "./output.js";
import { asTyped, EarlyEnd, status } from "./refusal.js";
import type { SimulateAsked } from "./sharedoptions.js";

/** What is wanted of every run, as plain data. */
export interface RunRequest {
  /** How the design as drawn is run; each case ends as it says. */
  readonly simulate: SimulateAsked;
  /** Pictures as files. */
  readonly pictures?: boolean;
  /** What the page shows. */
  readonly page?: boolean;
  /** Further traces to draw. */
  readonly traces?: readonly string[];
  /** The stress on the parts, for the page. */
  readonly stress?: boolean;
  /** Whether checks on captures are judged too. */
  readonly captured?: boolean;
}

/** The remains of a run, as plain data. */
export interface RunRemains {
  readonly caseName: string;
  readonly status: Run["status"];
  readonly results: readonly CheckResult[];
  readonly figures: readonly ShownFigure[];
  /** Doubts and why it stopped, then outputs at their limits. Lines for people. */
  readonly doubts: readonly string[];
  readonly limits: readonly string[];
  /** Its entry in the JSON. */
  readonly data: object;
  readonly pictures: readonly PictureFile[];
  readonly exhibit?: Exhibit;
}

/** The result of a run: its remains, or why its design was refused. */
export type RunOutcome = RunRemains | { readonly refused: readonly Diagnostic[] };

/** The runs of a design: as drawn, then each case that asks something. */
export function runsOf(design: Design, { captured }: Pick<RunRequest, "captured"> = {}): readonly Design[] {
  const asks = (one: Design) =>
    asksAnything(one) || (captured && one.captures.some(({ checks }) => checks.length > 0));
  return [design, ...design.cases.filter(asks)];
}

/** The length of each of these runs. @throws DesignError for an end that makes no sense */
export function lengths(design: Design, wanted: RunRequest) {
  const first = plan(design, wanted.simulate).until;
  return runsOf(design, wanted).map((one, index) => (index === 0 ? first : caseLength(one, first)));
}

export async function perform(design: Design, index: number, wanted: RunRequest): Promise<RunOutcome> {
  try {
    const until = lengths(design, wanted)[index];
    return await remainsOf(
      simulate(runsOf(design, wanted)[index], { ...wanted.simulate, until }),
      index,
      wanted,
    );
  } catch (error) {
    if (error instanceof DesignError) return { refused: error.diagnostics };
    throw error;
  }
}

async function remainsOf(run: Run, index: number, wanted: RunRequest): Promise<RunRemains> {
  const what = printable(caseTitle(run.design.caseName));
  const about = (words: string) => `${what}: ${printable(words)}`;
  const clipping = clippings(run);
  const results = verify(run);
  const drawing = wanted.pictures || wanted.page ? await import("./drawnrun.js") : undefined;
  return {
    caseName: run.design.caseName,
    status: run.status,
    doubts: doubtsOf(run),
    limits: clipping.map((row) => about(clippingText(row))),
    data: {
      case: run.design.caseName,
      status: run.status,
      reached: run.reached,
      ...(run.status === "stopped" && { code: run.code, reason: run.reason }),
      ...(run.warnings.length > 0 && { warnings: run.warnings }),
      clipping,
    },
    pictures: (wanted.pictures && drawing?.picturesOf(run, results, wanted.traces)) || [],
    exhibit: wanted.page ? drawing?.exhibited(run, index, results, wanted) : undefined,
    results: wanted.captured ? [...results, ...verifyCaptured(run)] : results,
    figures: shownFigures(run),
  };
}

/** The doubts about a run, and why it stopped if it did; lines for people. */
function doubtsOf(run: Run): string[] {
  const what = printable(caseTitle(run.design.caseName));
  const doubts = run.warnings.map((warning) => `${what}: ${printable(warning)}`);
  if (run.status === "complete") return doubts;
  return [...doubts, `${what}: stopped at ${engineering(run.reached, "s")}: ${printable(run.reason)}`];
}

/** Tells the doubts about a run, and why it stopped if it did; returns whether there is anything to show of it. */
export function doubtsTold(run: Run): boolean {
  for (const line of doubtsOf(run)) tell(`rampwright: ${asTyped(line)}`);
  return run.recording.count > 0;
}

/**
 * The same of the only run.
 * @throws EarlyEnd if it stopped before there was anything to show
 */
export function tellDoubts(run: Run): void {
  if (!doubtsTold(run)) throw new EarlyEnd("there is nothing to show", status.stopped);
}
