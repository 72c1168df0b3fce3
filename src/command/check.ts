// The verb `check`: runs the design and every case, judges every check.
// Takes FILE; prints the verdicts as a table or as one JSON object, and leaves pictures where asked. Status: 0 all
// pass, 1 a check fails, 2 the design is wrong, 3 a run could not be completed.
import { mkdirSync } from "node:fs";
import { basename, join } from "node:path";
import { engineering } from "../base/quantity.js";
import { board, countedPlaces } from "../report/board.js";
import { cautions, drivesTube, standing } from "../report/cautions.js";
import { clippingText } from "../report/clipped.js";
import { picture } from "../report/picture.js";
import { screens, screenTraces } from "../report/screens.js";
import { caseTitle } from "../report/verdicts.js";
import { clippings } from "../simulation/clipping.js";
import type { Run } from "../simulation/run.js";
import { simulate } from "../simulation/simulate.js";
import { type CheckResult, verify } from "../studies/verify.js";
import { png } from "../tube/png.js";
import { attempt, load, schemaVersion } from "./design.js";
import { colourful, plain, say, tell, writeFile } from "./output.js";
import { table } from "./table.js";
import { reasonOf, status, Trouble } from "./trouble.js";

/** Options of the verb. */
export interface CheckOptions {
  readonly until?: string;
  readonly json?: boolean;
  readonly pictures?: string;
}

/** What is said of a run once it is over; the run itself is let go, since a long one takes much memory. */
interface Ended {
  readonly status: Run["status"];
  readonly data: object;
}

/** Runs the verb; gives the status. */
export function check(file: string, options: CheckOptions): number {
  const json = options.json === true;
  const { design, source } = load(file, json);
  const leave = options.pictures === undefined ? undefined : gallery(options.pictures, baseName(file), json);
  const ended: Ended[] = [];
  const results = attempt(
    () =>
      everything(design, options.until, (run) => {
        tellEnd(run);
        if (!json) tellClipping(run);
        leave?.(run);
        ended.push({ status: run.status, data: asData(run) });
      }),
    json,
  );
  if (json)
    say(
      `${JSON.stringify({ ...checked(design.title, results), runs: ended.map((e) => e.data) }, null, 2)}\n`,
    );
  else say(table(design.title, results, colourful()));
  if (!json && drivesTube(source.text, design)) tellCautions();
  if (ended.some((run) => run.status === "stopped")) return status.stopped;
  return results.every((r) => r.pass) ? status.good : status.fails;
}

/** All results of the design as drawn and of its cases; `ran` is told of each run. */
export function everything(
  design: Run["design"],
  until: string | undefined,
  ran: (run: Run) => void,
): CheckResult[] {
  const run = simulate(design, { ...(until !== undefined && { until }) });
  ran(run);
  return verify(run, { ran });
}

/** Draws all that checks and pictures look at in one go: a long run is played for it. */
export function drawAll(run: Run): void {
  const checked = run.design.checks.map((c) => c.target);
  if (run.recording.count > 0) run.draw([...checked, ...countedPlaces(run), ...screenTraces(run)]);
}

/** Says on standard error what is doubtful about a run, and why it stopped where it did. */
export function tellEnd(run: Run): void {
  const what = plain(caseTitle(run.design.caseName));
  for (const warning of run.warnings) tell(`rampwright: ${what}: ${plain(warning)}`);
  if (run.status === "complete") return;
  tell(`rampwright: ${what}: stopped at ${engineering(run.reached, "s")}: ${plain(run.reason)}`);
}

function tellClipping(run: Run): void {
  const what = plain(caseTitle(run.design.caseName));
  for (const row of clippings(run)) tell(`rampwright: ${what}: ${plain(clippingText(row))}`);
}

function checked(title: string, results: readonly CheckResult[]): object {
  const number = (x: number | undefined) => (x !== undefined && Number.isFinite(x) ? x + 0 : null);
  return {
    schemaVersion,
    title,
    checks: results.map((r) => ({
      name: r.name,
      case: r.case,
      what: r.what,
      measured: number(r.measured),
      unit: r.unit,
      limit: { low: number(r.limit.low), high: number(r.limit.high) },
      pass: r.pass,
      margin: number(r.margin),
      ...(r.period !== undefined && { period: r.period, periods: r.periods }),
      ...(r.first && { first: true }),
      ...(r.left && { left: { period: r.left.period, measured: number(r.left.measured) } }),
      ...(r.reason !== undefined && { reason: r.reason }),
    })),
  };
}

function asData(run: Run): object {
  return {
    case: run.design.caseName,
    status: run.status,
    reached: run.reached,
    ...(run.status === "stopped" && { code: run.code, reason: run.reason }),
    ...(run.warnings.length > 0 && { warnings: run.warnings }),
    clipping: clippings(run),
  };
}

/** Leaves pictures of a run, named after the file and the case: one of its waveforms, and one of each tube's screen. */
function gallery(folder: string, base: string, json: boolean): (run: Run) => void {
  try {
    mkdirSync(folder, { recursive: true });
  } catch (error) {
    throw new Trouble(`${plain(folder)} cannot be made: ${reasonOf(error)}`, status.stopped);
  }
  const taken = new Set<string>();
  return (run) => {
    drawAll(run);
    const { title, caseName } = run.design;
    const name = caseName === "" ? base : `${base}-${slug(caseName)}`;
    const leave = (file: string, piece: string | Uint8Array) => {
      writeFile(file, [piece]);
      if (!json) tell(`picture: ${plain(file)}`);
    };
    const groups = board(run);
    if (groups.length > 0) {
      const file = join(folder, fresh(name, ".svg", taken));
      leave(file, picture(groups, { title: caseName === "" ? title : `${title}: ${caseName}` }));
    }
    for (const { tube, image } of screens(run)) {
      leave(join(folder, fresh(`${name}-${slug(tube)}`, ".png", taken)), png(image));
    }
  };
}

// Two cases may have names that make one file name.
function fresh(name: string, ending: string, taken: Set<string>): string {
  let tried = name + ending;
  for (let k = 2; taken.has(tried); k++) tried = `${name}-${k}${ending}`;
  taken.add(tried);
  return tried;
}

function slug(text: string): string {
  const word = text
    .normalize("NFC")
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .replace(/^-|-$/g, "");
  return [...word].slice(0, 40).join("") || "case";
}

function baseName(file: string): string {
  return file === "-" ? "design" : slug(basename(file).replace(/\.ramp$/u, ""));
}

/** The cautions for work near a tube. */
export function tellCautions(): void {
  tell(
    ["", "CAUTION, before this meets a picture tube:", ...cautions.map((c) => `  ${c}`), standing].join("\n"),
  );
}
