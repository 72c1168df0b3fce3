// The verb `check`: runs the design and every case, judges every check.
// Takes FILE; prints the verdicts as a table or as one JSON object, and leaves pictures where asked. Status: 0 all
// pass, 1 a check fails, 2 the design is wrong, 3 a run could not be completed.
import { mkdirSync } from "node:fs";
import { basename, join } from "node:path";
import type { CheckResult } from "../../judging/verify.js";
import type { Run } from "../../reading/result.js";
import { cautions, drivesTube, standing } from "../../report/cautions.js";
import { schemaVersion } from "../../waveforms/writing.js";
import { everyCase } from "../allruns.js";
import { attemptAll, load } from "../load.js";
import { doubtsOf, type RunRemains } from "../onerun.js";
import { colourful, printable, say, tell, tryFile, writeFile } from "../output.js";
import { EarlyEnd, reasonOf, status } from "../refusal.js";
import { table } from "../table.js";

/** Options of the verb. */
export interface CheckOptions {
  readonly until?: string;
  readonly json?: boolean;
  readonly pictures?: string;
  readonly workers?: string;
}

/** Runs the verb; gives the status. */
export async function check(file: string, options: CheckOptions): Promise<number> {
  const json = options.json === true;
  const loaded = load(file, json);
  const { until, pictures, workers } = options;
  const leave = pictures === undefined ? undefined : gallery(pictures, baseName(file), json);
  const ended: { status: Run["status"]; data: object }[] = [];
  const results: CheckResult[] = [];
  const wanted = { ...(until !== undefined && { until }), pictures: leave !== undefined };
  await attemptAll(
    () =>
      everyCase(loaded, wanted, workers, async (left) => {
        for (const line of json ? left.doubts : [...left.doubts, ...left.limits]) tell(`rampwright: ${line}`);
        await leave?.(left);
        ended.push({ status: left.status, data: left.data });
        results.push(...left.results);
      }),
    json,
  );
  const { design, source } = loaded;
  if (json)
    say(
      `${JSON.stringify({ ...checked(design.title, results), runs: ended.map((e) => e.data) }, null, 2)}\n`,
    );
  else say(table(design.title, results, colourful()));
  if (!json && drivesTube(source.text, design)) tellCautions();
  if (ended.some((run) => run.status === "stopped")) return status.stopped;
  return results.every((r) => r.pass) ? status.good : status.fails;
}

/** Says on standard error what is doubtful about a run, and why it stopped where it did. */
export function tellEnd(run: Run): void {
  for (const line of doubtsOf(run)) tell(`rampwright: ${line}`);
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

/** Leaves pictures of a run, named after the file and the case: one of its waveforms, and one of each tube's screen. */
function gallery(folder: string, base: string, json: boolean): (left: RunRemains) => Promise<void> {
  try {
    mkdirSync(folder, { recursive: true });
  } catch (error) {
    throw new EarlyEnd(`${printable(folder)} cannot be made: ${reasonOf(error)}`, status.stopped);
  }
  tryFile(join(folder, `${base}.svg`));
  const taken = new Set<string>();
  return async ({ caseName, pieces }) => {
    const name = caseName === "" ? base : `${base}-${slug(caseName)}`;
    for (const { tube, bytes } of pieces) {
      const path =
        tube === undefined ? fresh(name, ".svg", taken) : fresh(`${name}-${slug(tube)}`, ".png", taken);
      const file = join(folder, path);
      await writeFile(file, [bytes]);
      if (!json) tell(`picture: ${printable(file)}`);
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
