// The verb `run`: waveforms to a file.
// Takes FILE, how long, and where to; writes comma-separated values, JSON or a picture by the name's ending. Status: 0,
// 2 the design or an option is wrong, 3 the run stopped early (what it has is written) or the file cannot be written.
import { extname } from "node:path";
import type { Design } from "../../design/design.js";
import type { Run } from "../../reading/result.js";
import { tracePicture } from "../../report/svg.js";
import { simulate } from "../../simulation/simulate.js";
import type { Trace } from "../../waveforms/trace.js";
import { csvLines, toJson } from "../../waveforms/writing.js";
import { attempt, load } from "../load.js";
import { printable, tell, tryFile, writeFile } from "../output.js";
import { EarlyEnd, status } from "../refusal.js";
import { tellEnd } from "./check.js";

/** Options of the verb. */
export interface RunOptions {
  readonly until?: string;
  readonly out: string;
  readonly case?: string;
  readonly traces?: string;
}

const writers: Readonly<Record<string, (run: Run, traces: readonly Trace[]) => Iterable<string>>> = {
  ".csv": (_, traces) => csvLines(traces),
  ".json": (run, traces) => [
    `${toJson(traces, {
      title: run.design.title,
      case: run.design.caseName,
      status: run.status,
      reached: run.reached,
      ...(run.status === "stopped" && { reason: run.reason, code: run.code }),
    })}\n`,
  ],
  ".svg": (run, traces) => {
    const { title, caseName } = run.design;
    const panels = traces.map((t) => ({ title: t.name, traces: [t] }));
    return [tracePicture(panels, { title: caseName === "" ? title : `${title}: ${caseName}` })];
  },
};

/** Runs the verb; gives the status. */
export async function run(file: string, options: RunOptions): Promise<number> {
  const write = Object.hasOwn(writers, extname(options.out)) ? writers[extname(options.out)] : undefined;
  if (!write) {
    throw new EarlyEnd(
      `${printable(options.out)}: a file to write ends in .csv, .json or .svg`,
      status.wrong,
    );
  }
  const { design } = load(file);
  tryFile(options.out);
  const { until, case: name } = options;
  const done = attempt(
    () =>
      simulate(design, { ...(until !== undefined && { until }), ...(name !== undefined && { case: name }) }),
    false,
  );
  const traces = attempt(() => chosen(design, options.traces).map((t) => done.trace(t)), false);
  tellEnd(done);
  await writeFile(options.out, write(done, traces));
  tell(`${printable(options.out)}: ${traces.map((t) => printable(t.name)).join(", ")}`);
  return done.status === "complete" ? status.good : status.stopped;
}

// Without a choice: every place that the design itself names, those inside blocks left out.
function chosen(design: Design, traces: string | undefined): string[] {
  if (traces !== undefined) {
    const names = traces.split(",").map((name) => name.trim());
    return names.filter((name) => name !== "");
  }
  const own = design.places.slice(1).filter((place) => !place.includes("."));
  return own.length > 0 ? own : design.places.slice(1);
}
