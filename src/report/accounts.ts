// How the runs of a page were simulated: one row each, with the residuals of the current and energy laws where they are computed.
import { engineering } from "../base/quantity.js";
import { balance } from "../reading/balance.js";
import type { Run } from "../reading/result.js";
import { safe, safeFigure } from "./markup.js";
import { table } from "./tablemarkup.js";
import { caseTitle } from "./verdicts.js";

/** Most samples of a run for which currents and energy are balanced: a longer balance takes longer than its run. */
const accounted = 4000;

export function accountRow(run: Run): string {
  const whole = run.recording.count <= accounted && !carried(run);
  const { steps, rejected, events } = run.statistics;
  const laws = whole ? balance(run) : undefined;
  const end = run.status === "complete" ? "complete" : `stopped: ${run.reason}`;
  const share = (x: number) => (x === 0 ? "0" : x.toExponential(1));
  const counts = [steps, rejected, events].map(String);
  const sums = laws ? [share(laws.currentLaw), share(laws.energy)] : ["", ""];
  const numbers = [engineering(run.reached, "s"), ...counts, ...sums];
  return (
    `<tr><td>${safe(caseTitle(run.design.caseName))}</td><td>${safe(end)}</td>` +
    `${numbers.map((n) => `<td class="n">${safeFigure(n)}</td>`).join("")}` +
    `<td><small>${safe(run.warnings.join("; "))}</small></td></tr>`
  );
}

/** The section as HTML. @param rows one per run */
export function accounts(rows: readonly string[]): string {
  const head = [
    ["run"],
    ["end"],
    ["reached", "n"],
    ["steps", "n"],
    ["steps taken back", "n"],
    ["events", "n"],
    ["current law", "n"],
    ["energy", "n"],
    ["doubts"],
  ];
  return (
    "<section>\n<h2>How it was simulated</h2>\n<p>By modified nodal analysis and the trapezoidal rule: from one corner of a " +
    "signal or event to the next in leaps, each of them very many very short trapezoids at once; a large circuit by steps " +
    "that follow the local error. Edges of the signals are met exactly. " +
    "“Current law” is the largest sum of the currents at a place, as a share of the largest current there; “energy” " +
    "is what the account of energy delivered, dissipated and stored lacks, as a share; of a run with colour, or of more than " +
    `${accounted} samples, neither is drawn up.</p>\n${table("How it was simulated", head, rows)}\n</section>`
  );
}

/** Whether a signal carries colour: the balance would follow every cycle of its carrier. */
function carried({ assembly }: Run): boolean {
  return assembly.waves.some(({ shape }) => shape.kind === "packed" && shape.carrier !== undefined);
}
