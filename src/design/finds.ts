// Turns find statements into unknowns (full names of numbers with their ranges) and goals (names of checks). It takes the
// design with its cases, so that all names are known. Each mistake is reported once, at its place, with the nearest name.
import type { Report } from "../base/diagnostic.js";
import type { Fraction } from "../base/fraction.js";
import { quantity, show } from "../base/quantity.js";
import { readSeries, seriesNames } from "../base/series.js";
import { inRange, rangeText } from "../parts/range.js";
import type { Statement, Title, UnknownClause } from "../syntax/tree.js";
import type { Design, FindSpec, UnknownSpec } from "./design.js";
import { type SettableValue, settableValues } from "./revalue.js";
import { pathText, type ValueReader } from "./values.js";
import { reportName } from "./words.js";

type Find = Statement & { type: "find" };
type Goal = FindSpec["goals"][number];

export function readFinds(
  statements: readonly Statement[],
  drawn: Design,
  values: ValueReader,
  report: Report,
): FindSpec[] {
  const finds = statements.filter((s): s is Find => s.type === "find");
  if (finds.length === 0) return [];
  const known = settableValues(drawn);
  return finds.flatMap((s): FindSpec[] => {
    const sought = new Set<string>();
    const unknowns = s.unknowns.flatMap((u) => {
      const name = pathText(u.target);
      if (sought.size === sought.add(name).size) {
        report.error("repeated-unknown", `'${name}' is to be found twice here`, u.target.span, {
          hint: "delete one of them",
        });
        return [];
      }
      const read = unknown(u, known, drawn, values, report);
      return read ? [read] : [];
    });
    const met = new Set<string>();
    const goals = s.goals.flatMap((g) => {
      if (met.size === met.add(g.text).size) {
        report.error("repeated-goal", `"${g.text}" is a goal here already`, g.span, {
          hint: "delete one of them",
        });
        return [];
      }
      const found = goal(g, drawn, report);
      return found ? [found] : [];
    });
    const sound = unknowns.length === s.unknowns.length && goals.length === s.goals.length;
    return sound ? [{ unknowns, goals, span: s.span }] : [];
  });
}

function unknown(
  u: UnknownClause,
  known: ReadonlyMap<string, SettableValue>,
  drawn: Design,
  values: ValueReader,
  report: Report,
): UnknownSpec | undefined {
  const name = pathText(u.target);
  const found = known.get(name);
  const { span } = u.target;
  if (!found) {
    const part = drawn.parts.find((p) => p.name === name);
    const word = name.slice(name.lastIndexOf(".") + 1);
    const owner = drawn.parts.find((p) => `${p.name}.${word}` === name);
    if (owner?.kind.properties.some((p) => p.word === word && typeof p.takes === "object")) {
      report.error("no-number", `'${owner.name}' does not say '${word}'`, span, {
        hint: `write '${word}' and a value at the part, so that there is one to start from`,
      });
    } else if (part) {
      const words = [...part.amounts.keys()].map((word) => `'${name}.${word}'`);
      report.error(
        "no-number",
        `'${name}' is a ${part.kind.word} and has no value that could be found`,
        span,
        {
          hint:
            words.length > 0 ? `it has: ${words.join(", ")}` : "name a value with 'given' and use it there",
        },
      );
    } else {
      const message = `nothing that is a number is called '${name}'`;
      reportName(report, "unknown-value", message, { text: name, span }, [...known.keys()]);
    }
  }
  const series = u.series && readSeries(u.series.text);
  if (u.series && !series)
    reportName(
      report,
      "unknown-series",
      `there is no series '${u.series.text}' of preferred values`,
      u.series,
      seriesNames,
    );
  if (!found) return undefined;
  const dim = found.amount.dimension;
  const end = (e: UnknownClause["from"], which: string) =>
    values.fraction(e, dim, `the ${which} of the range of '${name}'`, found.range);
  const from = end(u.from, "start");
  const to = end(u.to, "end");
  if (!from || !to || (u.series && !series)) return undefined;
  const wrong = rangeFault(from, to, series !== undefined);
  if (!wrong) return { name, from, to, series };
  const [low, high] = [from, to].map((v) => show(quantity(v, dim)));
  return report.error(wrong.code, `the range of '${name}', ${low} to ${high}, ${wrong.reason}`, u.from.span, {
    hint: "write the range from its lower end to its upper one",
  });
}

/** What is wrong with a range in which to seek a value; undefined if nothing is. */
export function rangeFault(
  from: Fraction,
  to: Fraction,
  preferred: boolean,
): { code: string; reason: string } | undefined {
  if (!to.gt(from)) return { code: "range-order", reason: "does not rise from its start to its end" };
  if (preferred && !inRange(from, "positive"))
    return { code: "out-of-range", reason: `holds no preferred values: they are ${rangeText.positive}` };
  return undefined;
}

/** The check that a goal names: in the design as drawn, or else in the only case that has it. */
function goal({ text, span }: Title, drawn: Design, report: Report): Goal | undefined {
  const found = casesWith(text, drawn);
  if (found.length === 1) return { check: text, case: found[0] };
  if (found.length === 0) {
    const names = () => [...casesOf(drawn).keys()];
    return reportName(
      report,
      "unknown-check",
      `no check is called "${text}"`,
      { text, span, quote: '"' },
      names,
    );
  }
  const where = found.map((name) => `"${name}"`).join(" and ");
  return report.error("ambiguous-goal", `a check called "${text}" stands in the cases ${where}`, span, {
    hint: "give the one that is meant a name of its own",
  });
}

/** Where a check of that name is: only the given design's own case if that has it, else the names of all cases that do. */
export function casesWith(check: string, design: Design): string[] {
  const found = casesOf(design).get(check) ?? [];
  return found[0] === design.caseName ? [design.caseName] : found;
}

const indexes = new WeakMap<Design, ReadonlyMap<string, string[]>>();

/** The names of the cases, the design's own first, in which each check stands; found once, since goals may be as many as checks. */
function casesOf(design: Design): ReadonlyMap<string, string[]> {
  let found = indexes.get(design) as Map<string, string[]> | undefined;
  if (found) return found;
  found = new Map();
  for (const { checks, caseName } of [design, ...design.cases])
    for (const { name } of checks) {
      const cases = found.get(name);
      if (!cases) found.set(name, [caseName]);
      else if (cases.at(-1) !== caseName) cases.push(caseName);
    }
  indexes.set(design, found);
  return found;
}
