// The table of faults as lines of text, row by row as they come: the names of all rows are known in advance, so columns line up.
import type { Fault, FaultRun, FaultTable } from "../faults/blame.js";
import { width } from "../syntax/width.js";
import { excessText } from "./stresstext.js";

/** Least width of the column of checks; longer texts push the rest aside. */
const room = 36;
const heads = ["fault", "checks that it makes fail", "ratings that do not hold"] as const;

/** Lines of one table. */
export class FaultLines {
  private readonly names: number;

  /** @param titles of all rows to come */
  constructor(titles: readonly Pick<Fault, "kind" | "name">[]) {
    this.names = Math.max(...[heads[0], ...titles.map(faultText)].map(width));
  }

  get head(): string {
    return this.line(heads);
  }

  row(fault: Fault): string {
    return this.line([faultText(fault), checksText(fault), excess(fault)]);
  }

  private line([first, second, third]: readonly [string, string, string]): string {
    return `  ${padded(first, this.names)}  ${padded(second, room)}  ${third}`.trimEnd();
  }
}

function padded(text: string, to: number): string {
  return text + " ".repeat(Math.max(0, to - width(text)));
}

/** A fault in words: `guard open`, `case "camera unplugged"`. */
function faultText({ kind, name }: Pick<Fault, "kind" | "name">): string {
  if (kind === "as drawn") return "none";
  return kind === "case" ? caseText(name) : `${name} ${kind}`;
}

function caseText(name: string): string {
  return `case "${name}"`;
}

function checksText(fault: Fault): string {
  const { cases, shows, status } = fault;
  if (shows === "unknown") return "not known";
  if (shows === "never") return "none: latent";
  const drawn = status === "refused" ? "not known" : failingText(fault);
  const later = cases.flatMap((c) =>
    c.failing.length > 0 ? [`${caseText(c.case)}: ${failingText(c)}`] : [],
  );
  if (shows === "in a case") return `hidden until ${later.join("; ")}`;
  return [drawn, ...later].join("; ");
}

function failingText({ failing, checks }: FaultRun): string {
  if (failing.length === 0) return "none";
  return failing.length === checks.length && checks.length > 1 ? `all ${checks.length}` : failing.join(", ");
}

function excess(fault: Fault): string {
  const own = fault.exceeded.map(({ part, rating }) => excessText(part, rating));
  const later = fault.cases.flatMap((c) =>
    c.exceeded.length === 0
      ? []
      : [`${caseText(c.case)}: ${c.exceeded.map(({ part, rating }) => excessText(part, rating)).join(", ")}`],
  );
  return [...(own.length > 0 ? [own.join(", ")] : []), ...later].join("; ");
}

/** The lines below the table: runs that did not finish, then counts. */
export function footLines(table: FaultTable): string[] {
  const notes = table.faults.flatMap((fault) => {
    const reasons = new Set<string>();
    return [fault, ...fault.cases].flatMap((run) => {
      if (run.status === "complete" || reasons.has(run.reason)) return [];
      reasons.add(run.reason);
      const where = run === fault || run.case === "" ? "" : `, ${caseText(run.case)}`;
      const how = run.status === "refused" ? "cannot be run" : "stopped early";
      return [`  ${faultText(fault)}${where}: ${how}: ${run.reason}`];
    });
  });
  return [...(notes.length > 0 ? [...notes, ""] : []), ...summary(table)];
}

function summary({ faults, rated, missing }: FaultTable): string[] {
  const real = faults.filter((f) => f.shows !== undefined);
  const shown = (how: Fault["shows"]) => real.filter((f) => f.shows === how);
  const hidden = shown("in a case").length;
  const [latent, unknown] = [shown("never"), shown("unknown")];
  const seen = shown("as drawn").length + hidden;
  const later = hidden > 0 ? `, ${hidden} of them in a case only` : "";
  const lines = [`${seen} of ${real.length} faults fail a check${later}.`];
  if (latent.length > 0)
    lines.push(`Latent, shown by no check in any case: ${latent.map(faultText).join(", ")}.`);
  if (unknown.length > 0)
    lines.push(`Not known, for the reasons above: ${unknown.map(faultText).join(", ")}.`);
  const failing = faults.filter((f) => f.shows === undefined && f.failing.length > 0);
  if (failing.length > 0) lines.push("What fails without a fault as well is blamed on none.");
  const over = faults.filter((f) => [f, ...f.cases].some((run) => run.exceeded.length > 0)).length;
  if (!rated) lines.push("No part is rated; write ', rated 0.25 W' behind one to have it judged.");
  else if (over === 0) lines.push("No other part is asked for more than it is rated for.");
  else lines.push(`Ratings do not hold in ${over} rows.`);
  if (missing > 0) lines.push(`${missing} runs were not made.`);
  return lines;
}
