// What `match` prints: each capture with the checks measured on it and on the run, then what was fitted.
import { engineering } from "../base/quantity.js";
import type { Match } from "../captures/beside.js";
import type { Fit } from "../captures/fit.js";
import type { LaidCheck, LaidOver } from "../captures/layover.js";
import type { TellingApart } from "../captures/tellapart.js";
import { caseTitle, limitText, measuredText } from "../report/verdicts.js";
import { columns } from "./table.js";

const heads = ["check", "captured", "simulated", "difference", "of tolerance", "limit", "verdict", ""];
const right = new Set([1, 2, 3, 4]);

export function matchLines(title: string, found: Match): string[] {
  const lines = [title];
  for (const [k, one] of found.captures.entries()) lines.push("", ...captureLines(one, found.fitted?.[k]));
  if (found.fit) lines.push("", ...fitLines(found.fit, found.captures));
  for (const one of found.apart ?? []) lines.push(furtherLine(one));
  return [...lines, "", summary(found)];
}

function captureLines(one: LaidOver, again: LaidOver | undefined): string[] {
  const { capture, of, unit, delay, correlation, gain, offset, rms, largest, time, checks } = one;
  const scaled =
    gain === 1 && offset === 0
      ? ""
      : `, gain ${engineering(gain, "")}, offset ${engineering(offset, unit, 3)}`;
  const lines = [
    `${capture} over ${of}: ${caseTitle(one.case)}`,
    `  laid ${engineering(delay, "s")} later, correlation ${correlation.toFixed(4)}, ${time.length} samples${scaled}`,
    `  differs by ${engineering(rms, unit, 3)} (rms), most by ${engineering(largest.residual, unit, 3)} at ${engineering(largest.time, "s")}`,
  ];
  if (again) lines.push(`  with the values fitted by ${engineering(again.rms, unit, 3)} (rms)`);
  if (checks.length === 0) return lines;
  return [...lines, ...columns([heads, ...checks.map(cells)], right).map((row) => `  ${row}`)];
}

function cells(check: LaidCheck): string[] {
  const { captured, simulated, difference, share, told, pass, reason, inCapture } = check;
  return [
    check.name,
    measuredText(check, captured),
    measuredText(check, simulated),
    measuredText(check, difference),
    Number.isFinite(share) ? engineering(share, "%", 3) : "",
    limitText(check),
    !told ? "not told" : pass ? "pass" : "FAIL",
    [inCapture ? "asked of the capture" : "", reason ?? ""].filter((word) => word !== "").join("; "),
  ];
}

function fitLines(fit: Fit, laid: readonly LaidOver[]): string[] {
  const rows = fit.values.map(({ name, value, uncertainty, interval, atEnd }, k) => {
    const unit = fit.units[k];
    const known = Number.isFinite(uncertainty);
    return [
      name,
      engineering(value, unit, 5),
      known ? engineering(uncertainty, unit, 2) : "not known",
      known ? `${engineering(interval.low, unit, 5)} to ${engineering(interval.high, unit, 5)}` : "",
      atEnd ? "at the end of its range: the true value may lie beyond" : "",
    ];
  });
  const table = columns(
    [["fitted", "value", "uncertainty", "95 % of the time", ""], ...rows],
    new Set([1, 2]),
  );
  const bad = fit.instruments.flatMap(({ bad, samples }, k) =>
    bad > 0 ? [`  ${laid[k]?.capture}: ${bad} of ${bad + samples} samples are bad, and were left out`] : [],
  );
  const unsettled = fit.settled ? [] : ["  the fit did not come to rest: the values are where it was"];
  return [
    ...table.map((row) => `  ${row}`),
    ...correlationLines(fit),
    ...bad,
    ...unsettled,
    ...otherLines(fit),
    ...inseparableLines(fit),
  ];
}

/** Correlations from this size are listed. */
const close = 0.5;

function correlationLines({ values, correlation }: Fit): string[] {
  return values.flatMap((one, i) =>
    values.slice(i + 1).flatMap((other, j) => {
      const r = correlation[i][i + 1 + j];
      return Math.abs(r) >= close ? [`  correlation of ${one.name} and ${other.name}: ${r.toFixed(3)}`] : [];
    }),
  );
}

function otherLines({ values, units, others }: Fit): string[] {
  return others.map((other) => {
    const listed = values.map(({ name }, k) => `${name} ${engineering(other[k], units[k], 5)}`).join(", ");
    return `  about as close come the runs with ${listed}`;
  });
}

function inseparableLines({ inseparable }: Fit): string[] {
  return inseparable.map(({ text }) => `  ${text}`);
}

function furtherLine({ values, further }: TellingApart): string {
  const what = values.map((name) => `'${name}'`).join(", ");
  if (further.length === 0) return `  no place and no case of this design tells ${what} better`;
  const where = further.map(
    ({ of, case: name, uncertainty }) =>
      `${of}${name === "" ? "" : ` in case "${name}"`} (to some ${engineering(uncertainty, "%", 2)})`,
  );
  return `  a capture of ${where.join(", or of ")} would tell ${what}`;
}

function summary({ captures, stopped, pass }: Match): string {
  if (stopped.length > 0) return `Stopped early: ${stopped.map((one) => one.reason).join("; ")}.`;
  const checks = captures.flatMap((one) => one.checks);
  const told = checks.filter((check) => check.told);
  if (told.length === 0) return "No check of the design is told by what was captured.";
  const failing = told.filter((check) => !check.pass);
  if (pass)
    return told.length === 1
      ? "The one check that the captures tell holds in them."
      : `All ${told.length} checks that the captures tell hold in them.`;
  const names = failing.map((check) => `"${check.name}"`).join(", ");
  return `${failing.length} of ${told.length} ${told.length === 1 ? "check" : "checks"} ${failing.length === 1 ? "does" : "do"} not hold in what was captured: ${names}.`;
}
