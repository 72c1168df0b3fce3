// The verb `check`: runs designs and all their cases, judges every check.
import { refuseOption } from "../../base/asked.js";
import { DesignError, type Diagnostic } from "../../base/diagnostic.js";
import type { ShownFigure } from "../../judging/shownfigures.js";
import type { CheckResult } from "../../judging/verify.js";
import { everyCase } from "../allruns.js";
import { gallery } from "../gallery.js";
import { type Loaded, load } from "../load.js";
import { choice, flag, path } from "../option.js";
import { colourful, say, tell } from "../output.js";
import { asTyped, EarlyEnd, type Status, status } from "../refusal.js";
import { type Checked, checkedData, designsOf, reporters } from "../reporters.js";
import {
  demandTraces,
  inDark,
  moreTraces,
  otherValues,
  simulateAsked,
  simulating,
  workers,
} from "../sharedoptions.js";
import { tellDiagnostics } from "../telling.js";
import { type Asked, designFile, verb } from "../verb.js";
import { type Round, watching } from "../watching.js";

const options = {
  ...otherValues,
  ...simulating,
  reporter: choice(
    "HOW",
    ["text", "json", "junit", "github", "tap"],
    "how the verdicts are printed (default: text)",
  ),
  pictures: path(
    "FOLDER",
    "leave pictures there: the waveforms of each run (SVG), the screen of each tube (PNG)",
  ),
  png: flag("leave the waveforms there as PNG besides, for where no SVG is taken"),
  ...inDark,
  ...moreTraces,
  watch: flag("look again after each save of a file, until Ctrl-C"),
  ...workers,
};

export const checkVerb = verb({
  word: "check",
  summary: "runs the design and every case, and prints each check's verdict",
  operand: { ...designFile, many: true },
  options,
  more: "A check 'in capture' is judged of the capture that the design names, laid over its run.",
  example: "check line.ramp --pictures out",
  statuses: {
    0: "all pass",
    1: "a check fails",
    2: "a design or an option is wrong",
    3: "a run stopped early",
  },
  run(asked) {
    const { json, options } = asked;
    if (json && (options.reporter ?? "json") !== "json")
      refuseOption(
        "--json",
        `--reporter ${options.reporter} asks for something else`,
        "leave one of them out",
      );
    return options.watch ? watched(asked) : checkedAll(asked);
  },
  text: ({ checked }, { options }) =>
    options.watch ? "" : reporters[options.reporter ?? "text"](checked, colourful()),
  json: ({ checked }) => checkedData(checked),
  status: ({ checked }) => statusOf(checked),
  designs: ({ checked }) => designsOf(checked),
});

type CheckAsked = Asked<typeof options>;

async function checkedAll(asked: CheckAsked, round?: Round): Promise<{ checked: Checked[] }> {
  const checked: Checked[] = [];
  const taken = new Set<string>();
  for (const file of asked.operands) {
    try {
      checked.push(await checkedOf(file, asked, taken, round));
    } catch (error) {
      // A mistake in one of several designs does not stop the others, and with --watch none stops the watch.
      if (asked.operands.length === 1 && !round) throw error;
      checked.push({ file, diagnostics: toldOf(error) });
    }
  }
  return { checked };
}

/** Checks again after each save and prints each time; the last round is the result. */
async function watched(asked: CheckAsked): Promise<{ checked: Checked[] }> {
  const { operands, options, json } = asked;
  if (json || (options.reporter ?? "text") !== "text")
    refuseOption("--watch", "it prints for people, again and again: leave --json and --reporter out");
  if (operands.includes("-")) refuseOption("--watch", "standard input is read once");
  let last: Checked[] = [];
  await watching(
    operands,
    async (round) => {
      const { checked } = await checkedAll(asked, round);
      if (round.stop.aborted) return;
      last = checked;
      say(reporters.text(checked, colourful()));
    },
    (count) => tell(`rampwright: watching ${count === 1 ? "1 file" : `${count} files`}; Ctrl-C ends it`),
  );
  return { checked: last };
}

async function checkedOf(
  file: string,
  { options: asked, json }: CheckAsked,
  taken: Set<string>,
  round: Round | undefined,
): Promise<Checked> {
  const { pictures, png, dark, traces = [], workers } = asked;
  const loaded: Loaded = await load(file, { ...asked, asking: round?.asking });
  if (traces.length > 0 && pictures === undefined)
    refuseOption("--traces", "they are drawn in pictures", "give --pictures too");
  demandTraces(loaded.design, traces);
  if (png && pictures === undefined) refuseOption("--png", "it is about pictures", "give --pictures too");
  if (dark && !png) refuseOption("--dark", "it is about a .png", "give --png too");
  const leave =
    pictures === undefined ? undefined : gallery(pictures, file, taken, { quiet: json, png, dark });
  const wanted = { simulate: simulateAsked(asked), pictures: leave !== undefined, traces, captured: true };
  const runs: { status: "complete" | "stopped"; data: object }[] = [];
  const results: CheckResult[] = [];
  const figures: ShownFigure[] = [];
  await everyCase(
    loaded,
    wanted,
    workers,
    async (left) => {
      for (const line of json ? left.doubts : [...left.doubts, ...left.limits])
        tell(`rampwright: ${asTyped(line)}`);
      await leave?.(left);
      runs.push({ status: left.status, data: left.data });
      for (const result of left.results) results.push(result);
      for (const figure of left.figures) figures.push(figure);
    },
    round?.stop,
  );
  return { file, loaded, runs, results, figures };
}

/** Tells the mistakes of one of several designs, and returns them. */
function toldOf(error: unknown): readonly Diagnostic[] {
  if (error instanceof DesignError) {
    tellDiagnostics(error);
    return error.diagnostics;
  }
  if (!(error instanceof EarlyEnd) || error.code === undefined) throw error;
  tell(`rampwright: ${error.message}`);
  return [error.diagnostic(error.code)];
}

function statusOf(checked: readonly Checked[]): Status {
  if (checked.some((one) => "diagnostics" in one)) return status.wrong;
  const sound = checked.flatMap((one) => ("loaded" in one ? [one] : []));
  if (sound.some(({ runs }) => runs.some((run) => run.status === "stopped"))) return status.stopped;
  return sound.every(({ results }) => results.every((r) => r.pass)) ? status.good : status.fails;
}
