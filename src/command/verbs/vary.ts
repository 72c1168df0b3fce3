// The verb `vary`: what checks measure while one value goes along a range.
// Takes FILE, the value and its range; prints a table, one JSON object, or writes comma-separated values, JSON or a picture
// by the name's ending. Status: 0, 2 the design or an option is wrong, 3 a run stopped early (what there is is written) or
// the file cannot be written.
import { extname } from "node:path";
import { engineering } from "../../base/quantity.js";
import type { Spacing } from "../../base/spacing.js";
import { overlayPicture } from "../../report/overlay.js";
import { variationPicture } from "../../report/variedplot.js";
import { measuredText } from "../../report/verdicts.js";
import { type Variation, vary } from "../../variation/variation.js";
import { csvCell, schemaVersion } from "../../waveforms/writing.js";
import { watched } from "../bar.js";
import { columns, plainJson } from "../columns.js";
import { attempt, load } from "../load.js";
import { printable, say, tell, tryFile, writeFile } from "../output.js";
import { EarlyEnd, status } from "../refusal.js";

/** Options of the verb. */
export interface VaryVerbOptions {
  readonly value: string;
  readonly from: string;
  readonly to: string;
  readonly points?: string;
  readonly spacing?: string;
  readonly case?: string;
  readonly checks?: string;
  readonly traces?: string;
  readonly until?: string;
  readonly out?: string;
  readonly json?: boolean;
}

const writers: Readonly<Record<string, (v: Variation) => string>> = {
  ".csv": csv,
  ".json": asJson,
  ".svg": (v) => (v.traces.length > 0 ? overlayPicture(v) : variationPicture(v)),
};

/** Runs the verb; gives the status. */
export async function varyVerb(file: string, options: VaryVerbOptions): Promise<number> {
  const json = options.json === true;
  const { out } = options;
  const ending = out === undefined ? "" : extname(out);
  const write = Object.hasOwn(writers, ending) ? writers[ending] : undefined;
  if (out !== undefined && !write)
    throw new EarlyEnd(`${printable(out)}: a file to write ends in .csv, .json or .svg`, status.wrong);
  if (options.traces !== undefined && !json && ending !== ".svg" && ending !== ".json")
    throw new EarlyEnd("traces need --json, or --out with a name in .svg or .json", status.wrong);
  const { design } = load(file, json);
  if (out !== undefined) tryFile(out);
  const { value, from, to, points, spacing, case: name, until } = options;
  const v = attempt(
    () =>
      watched("points", (bar) =>
        vary(design, {
          progress: (done, of) => bar.at(done, of),
          value,
          from,
          to,
          ...(points !== undefined && { points: Number(points) }),
          ...(spacing !== undefined && { spacing: spacing as Spacing }),
          ...(name !== undefined && { case: name }),
          ...(options.checks !== undefined && { checks: list(options.checks) }),
          ...(options.traces !== undefined && { traces: list(options.traces) }),
          ...(until !== undefined && { simulate: { until } }),
        }),
      ),
    json,
  );
  if (ending === ".svg" && v.checks.length === 0 && v.traces.length === 0)
    throw new EarlyEnd("there is nothing to draw: the case has no checks", status.wrong);
  if (out !== undefined) {
    await writeFile(out, [write!(v)]);
    tell(printable(out));
  }
  if (json) say(asJson(v));
  else if (out === undefined) say(`${table(v).map(printable).join("\n")}\n`);
  for (const { point, reason } of v.stopped) {
    const at = engineering(v.points[point], v.value.unit);
    tell(`rampwright: ${printable(v.value.name)} ${at}: the run stopped early: ${printable(reason)}`);
  }
  return v.stopped.length > 0 ? status.stopped : status.good;
}

function list(text: string): string[] {
  return text
    .split(",")
    .map((name) => name.trim())
    .filter((name) => name !== "");
}

function table(v: Variation): string[] {
  const title = v.case === "" ? v.title : `${v.title}: ${v.case}`;
  const rows = [
    [v.value.name, ...v.checks.flatMap((c) => [c.name, ""])],
    ...v.points.map((p, i) => [
      engineering(p, v.value.unit, 6),
      ...v.checks.flatMap((c) => [measuredText(c, c.measured[i]), c.pass[i] ? "pass" : "FAIL"]),
    ]),
  ];
  const right = new Set(rows[0].map((_, c) => c).filter((c) => c === 0 || c % 2 === 1));
  return [title, "", ...columns(rows, right).map((text) => `  ${text}`)];
}

// RFC 4180, numbers in the shortest form that reads back; what has no value is NaN.
function csv(v: Variation): string {
  const unit = (text: string) => (text === "" ? "" : ` (${text})`);
  const heads = [
    v.value.name + unit(v.value.unit),
    ...v.checks.map((c) => c.name + (c.case === "" || c.case === v.case ? "" : `, ${c.case}`) + unit(c.unit)),
  ];
  const rows = v.points.map((p, i) => [p, ...v.checks.map((c) => c.measured[i])].join(","));
  return [heads.map(csvCell).join(","), ...rows, ""].join("\r\n");
}

function asJson(v: Variation): string {
  const traces = v.traces.map(({ name, unit, runs }) => ({
    name,
    unit,
    runs: runs.map((t) => t && { time: [...t.time], value: [...t.value] }).map((t) => t ?? null),
  }));
  return plainJson({ schemaVersion, ...v, traces });
}
