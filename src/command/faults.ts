// The verb `faults`: what happens when something fails.
// Takes FILE; prints a table or one JSON object. Status: 0 the design as drawn passes its checks and no fault asks another part
// for more than it is rated for, 1 not so (that checks fail under a fault is what the table is about, and no mistake), 2 the
// design or an option is wrong, 3 the design as drawn could not be run to its end, or not all faults were.
import { drivesTube } from "../report/cautions.js";
import { type Fault, type FaultTable, faults } from "../studies/faults.js";
import { watched } from "./bar.js";
import { tellCautions } from "./check.js";
import { columns, plainJson } from "./columns.js";
import { attempt, load, schemaVersion } from "./design.js";
import { plain, say } from "./output.js";
import { excessText } from "./stress.js";
import { status } from "./trouble.js";

/** Options of the verb. */
export interface FaultsVerbOptions {
  readonly until?: string;
  readonly parts?: string;
  readonly json?: boolean;
}

/** Runs the verb; gives the status. */
export function faultsVerb(file: string, options: FaultsVerbOptions): number {
  const json = options.json === true;
  const { design, source } = load(file, json);
  const { until, parts } = options;
  const found = attempt(
    () =>
      watched("faults", (bar) =>
        faults(design, {
          ...(until !== undefined && { simulate: { until } }),
          ...(parts !== undefined && { parts: parts.split(",").map((name) => name.trim()) }),
          progress: (done, of) => bar.at(done, of),
        }),
      ),
    json,
  );
  if (json) say(plainJson({ schemaVersion, ...found }));
  else say(`${lines(found).map(plain).join("\n")}\n`);
  if (!json && drivesTube(source.text, design)) tellCautions();
  if (found.faults.some((f) => f.kind === "as drawn" && f.status !== "complete")) return status.stopped;
  return found.pass ? status.good : status.fails;
}

function lines(table: FaultTable): string[] {
  const rows = [["fault", "checks that fail", "ratings that do not hold"]];
  for (const f of table.faults) rows.push([faultText(f), checksText(f), excess(f)]);
  const notes = table.faults.flatMap((f) =>
    f.status === "complete"
      ? []
      : [`  ${faultText(f)}: ${f.status === "refused" ? "cannot be run" : "stopped early"}: ${f.reason}`],
  );
  return [
    table.title,
    "",
    ...columns(rows, new Set()).map((text) => `  ${text}`),
    ...(notes.length > 0 ? ["", ...notes] : []),
    "",
    summary(table),
  ];
}

/** A fault in words: `guard open`, `case "camera unplugged"`. */
function faultText({ kind, name }: Fault): string {
  if (kind === "as drawn") return "none";
  return kind === "case" ? `case "${name}"` : `${name} ${kind}`;
}

function checksText({ failing, checks, status: ended }: Fault): string {
  if (ended === "refused") return "not known";
  if (failing.length === 0) return "none";
  return failing.length === checks.length && checks.length > 1 ? `all ${checks.length}` : failing.join(", ");
}

function excess({ exceeded }: Fault): string {
  return exceeded.map(({ part, rating }) => excessText(part, rating)).join(", ");
}

function summary({ faults: rows, rated }: FaultTable): string {
  const real = rows.filter((f) => f.kind !== "as drawn" && f.kind !== "case");
  const seen = real.filter((f) => f.failing.length > 0).length;
  const words = [`${seen} of ${real.length} faults fail a check.`];
  const over = rows.filter((f) => f.exceeded.length > 0).length;
  if (!rated) words.push("No part is rated; write ', rated 0.25 W' behind one to have it judged.");
  else
    words.push(
      over === 0
        ? "No other part is asked for more than it is rated for."
        : `Ratings do not hold in ${over} rows.`,
    );
  return words.join(" ");
}
