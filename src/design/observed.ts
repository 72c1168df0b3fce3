// Turns reading statements into readings: the phrase by the rules of checks, the figure in the unit of its measure. It takes the
// design with its cases, so that all names are known. Each mistake is reported once, at its place inside the quotes.
import { type Diagnostic, Report } from "../base/diagnostic.js";
import { nameOf, unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { readQuantity, show } from "../base/quantity.js";
import type { Span } from "../base/span.js";
import { readPhrase } from "../syntax/phrase.js";
import type { Expression, Statement, Title } from "../syntax/tree.js";
import type { Design, MeasureSpec, ReadingSpec } from "./design.js";
import type { ValueReader } from "./values.js";
import { reportName } from "./words.js";

type Read = Statement & { type: "reading" };

/** Reads the readings of instruments in a text. */
export function readObserved(
  statements: readonly Statement[],
  drawn: Design,
  values: ValueReader,
  report: Report,
): ReadingSpec[] {
  let under = "";
  return statements.flatMap((s): ReadingSpec[] => {
    if (s.type === "case") under = s.name.text;
    if (s.type !== "reading") return [];
    const where = caseOfReading(s, under, drawn, report);
    const one = where === "" ? drawn : drawn.cases.find((c) => c.caseName === where);
    if (where === undefined || !one) return [];
    const measured = measuredBy(s.phrase, one, report);
    const amount = values.amount(s.amount, undefined, "the reading");
    if (!measured || !amount) return [];
    if (unitOf(amount.dimension) !== measured.unit) {
      const wanted = measured.unit === "" ? "a plain number or a share in %" : `in ${measured.unit}`;
      report.error(
        "wrong-dimension",
        `'${s.phrase.text}' is ${wanted}, but the reading ${show(amount)} is ${nameOf(amount.dimension)}`,
        s.amount.span,
        { hint: `give the reading ${measured.unit === "" ? "without a unit, or in %" : wanted}` },
      );
      return [];
    }
    const within = toNumber(amount.high.sub(amount.low));
    const resolution = s.amount.tolerance ? within : lastPlace(s.amount.value);
    const value = toNumber(amount.value);
    return [{ phrase: s.phrase.text, measured, case: where, value, resolution, span: s.span }];
  });
}

function caseOfReading(
  { scope, span }: Read,
  under: string,
  { cases }: Design,
  report: Report,
): string | undefined {
  if (!scope) return under;
  if (scope.type === "every")
    return report.error("one-case", "a reading is taken in one case, not in every one", span, {
      hint: 'name it: in case "camera unplugged"',
    });
  if (cases.some((c) => c.caseName === scope.name.text)) return scope.name.text;
  const known = () => cases.map((c) => c.caseName);
  const asked = { ...scope.name, quote: '"' };
  return reportName(report, "unknown-case", `no case is called "${scope.name.text}"`, asked, known);
}

/** The measurement that a phrase in quotes asks for; its mistakes are reported at their places in the text. */
function measuredBy({ text, span }: Title, one: Design, report: Report): MeasureSpec | undefined {
  const { phrase, report: own } = readPhrase(text);
  const inner = new Report();
  const spec = phrase && one.measuring(phrase, inner);
  const wrong = [...own.diagnostics, ...inner.diagnostics].filter((d) => d.severity === "error");
  for (const one of wrong) report.add(moved(one, span));
  return wrong.length > 0 ? undefined : spec;
}

function moved({ span, fix, related: _, ...rest }: Diagnostic, quotes: Span): Diagnostic {
  // The first quote stands before the phrase.
  const at = ({ column, length }: Span): Span => ({
    line: quotes.line,
    column: quotes.column + column,
    length,
  });
  return { ...rest, span: at(span), ...(fix && { fix: { ...fix, span: at(fix.span) } }) };
}

/** One in the last place of a figure as written, SI; 0 for a computed value. */
export function lastPlace(e: Expression): number {
  if (e.type === "negative") return lastPlace(e.of);
  if (e.type !== "number") return 0;
  const places = /\.(\d+)/.exec(e.digits.text)?.[1].length ?? 0;
  const one = readQuantity(`1${e.unit ? ` ${e.unit.text}` : ""}${e.per ? `/${e.per.text}` : ""}`);
  return one.ok ? toNumber(one.value.value) * 10 ** -places : 0;
}
