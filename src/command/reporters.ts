// What `check` prints, for people and for programs. The formats are open: JSON (RFC 8259), the common XML format of test reports
// (common practice, no standard), the Test Anything Protocol 14, and the workflow commands of GitHub's runners.
import type { Diagnostic } from "../base/diagnostic.js";
import type { ShownFigure } from "../judging/shownfigures.js";
import type { CheckResult } from "../judging/verify.js";
import { element } from "../report/markup.js";
import { caseTitle, figureNote, limitText, lowestOf, measuredText, noteText } from "../report/verdicts.js";
import { withCautions } from "./cautioning.js";
import type { Loaded } from "./load.js";
import { jsonText, printable } from "./output.js";
import { asTyped } from "./refusal.js";
import { verdictTable } from "./verdicttable.js";

/** The result of a design: its verdicts, or its mistakes. Plain data except for the design. */
export type Checked = { readonly file: string } & (
  | {
      readonly loaded: Loaded;
      readonly runs: readonly { readonly status: "complete" | "stopped"; readonly data: object }[];
      readonly results: readonly CheckResult[];
      readonly figures: readonly ShownFigure[];
    }
  | { readonly diagnostics: readonly Diagnostic[] }
);

type Reporter = (checked: readonly Checked[], colour: boolean) => string;

/** The reporters by name. */
export const reporters = {
  text: (checked, colour) =>
    checked
      .flatMap((one) => ("results" in one ? [verdictTable(one.loaded.design.title, one, colour)] : []))
      .join("\n"),
  json: (checked) => jsonText(withCautions(checkedData(checked), designsOf(checked))),
  junit,
  github,
  tap,
} satisfies Record<string, Reporter>;

export function designsOf(checked: readonly Checked[]): Loaded[] {
  return checked.flatMap((one) => ("loaded" in one ? [one.loaded] : []));
}

/** The verdicts as plain data: an object for one design, a list for several. */
export function checkedData(checked: readonly Checked[]): object {
  const [first, ...more] = checked.map(dataOf);
  return more.length === 0 ? first : { designs: checked.map((one) => ({ file: one.file, ...dataOf(one) })) };
}

function dataOf(one: Checked): object {
  if (!("results" in one)) return { diagnostics: one.diagnostics };
  return {
    title: one.loaded.design.title,
    checks: one.results.map((r) => ({
      name: r.name,
      case: r.case,
      what: r.what,
      measure: r.measure,
      measured: r.measured,
      unit: r.unit,
      shown: r.shown,
      limit: { low: r.limit.low ?? null, high: r.limit.high ?? null },
      pass: r.pass,
      margin: r.margin,
      period: r.period,
      periods: r.period === undefined ? undefined : r.periods,
      first: r.first,
      left: r.left,
      reason: r.reason,
      capture: r.capture,
    })),
    figures: one.figures.map(figureData),
    runs: one.runs.map(({ data }) => data),
  };
}

/** The highest of many periods represents all, as in the table, together with their number and the lowest. */
function figureData(figure: ShownFigure): object {
  const { name, case: where, what, measure, value, unit, shown, instant, periods, reason } = figure;
  const many = periods && { periods: periods.length, lowest: lowestOf(periods) };
  return { name, case: where, what, measure, value, unit, shown, instant, ...many, reason };
}

/** A verdict as a sentence: `measured 3.315 V, limit 3.832 V to 4.069 V; worst of 8 periods, from 0 s`. */
function sentence(result: CheckResult): string {
  const note = asTyped(noteText(result));
  return `measured ${measuredText(result, result.measured)}, limit ${limitText(result)}${note === "" ? "" : `; ${note}`}`;
}

/** A figure as a sentence: `3.976 V; highest of 93 periods, the lowest 3.97 V`. */
function figureSentence(figure: ShownFigure): string {
  const note = figureNote(figure);
  return `${figure.text}${note === "" ? "" : `; ${note}`}`;
}

function junit(checked: readonly Checked[]): string {
  const suites = checked.map((one) => {
    if (!("results" in one)) {
      const cases = one.diagnostics.map((d) =>
        element(
          "testcase",
          { name: d.code, classname: one.file },
          element("error", { message: d.message, type: d.code }),
        ),
      );
      return suite(one.file, cases, { errors: cases.length });
    }
    const cases = one.results.map((r) =>
      element(
        "testcase",
        { name: r.name, classname: caseTitle(r.case) },
        r.pass ? "" : element("failure", { message: sentence(r), type: r.what }),
      ),
    );
    const shown = one.figures.map((figure) =>
      element("property", {
        name: `${caseTitle(figure.case)}: ${figure.name}`,
        value: figureSentence(figure),
      }),
    );
    return suite(one.file, cases, { failures: one.results.filter((r) => !r.pass).length, shown });
  });
  return `<?xml version="1.0" encoding="UTF-8"?>\n${element("testsuites", {}, `\n${suites.join("\n")}\n`)}\n`;
}

/** What a suite holds besides its cases: figures are no tests, so they are properties. */
interface SuiteMore {
  readonly failures?: number;
  readonly errors?: number;
  readonly shown?: readonly string[];
}

function suite(name: string, cases: readonly string[], more: SuiteMore): string {
  const { failures = 0, errors = 0, shown = [] } = more;
  const properties = shown.length === 0 ? [] : [element("properties", {}, `\n${shown.join("\n")}\n`)];
  const counts = { name, tests: cases.length, failures, errors };
  return element("testsuite", counts, `\n${[...properties, ...cases].join("\n")}\n`);
}

function github(checked: readonly Checked[]): string {
  return checked
    .flatMap((one) =>
      "results" in one
        ? [
            ...one.results
              .filter((r) => !r.pass)
              .map((r) => command("error", one.file, lineOf(one.loaded, r, "checks"), [r.name, sentence(r)])),
            ...one.figures.map((f) =>
              command("notice", one.file, lineOf(one.loaded, f, "shows"), [f.name, figureSentence(f)]),
            ),
          ]
        : one.diagnostics.map((d) => command("error", one.file, d.span.line, [d.code, d.message])),
    )
    .join("");
}

/** The line of a check or a figure in the text. */
function lineOf(
  { design }: Loaded,
  { name, case: where }: Pick<CheckResult, "name" | "case">,
  of: "checks" | "shows",
): number {
  const owner = design.cases.find((one) => one.caseName === where) ?? design;
  const asked =
    of === "shows" ? owner.shows : [...owner.checks, ...owner.captures.flatMap(({ checks }) => checks)];
  return asked.find((one) => one.name === name)?.span.line ?? 1;
}

// Characters that end a property or a command are percent-encoded, as the runner's own tools do.
function command(
  sort: "error" | "notice",
  file: string,
  line: number,
  [title, message]: readonly [string, string],
): string {
  const data = (text: string) => printable(text).replaceAll("%", "%25");
  const property = (text: string) => data(text).replaceAll(":", "%3A").replaceAll(",", "%2C");
  return `::${sort} file=${property(file)},line=${line},title=${property(title)}::${data(message)}\n`;
}

function tap(checked: readonly Checked[]): string {
  // A number sign in a description would start a directive.
  const description = (text: string) => printable(text).replace(/[\\#]/g, "\\$&");
  const lines = checked.flatMap((one) =>
    "results" in one
      ? one.results.map((r) => ({
          ok: r.pass,
          name: `${one.file}: ${caseTitle(r.case)}: ${r.name}`,
          message: sentence(r),
        }))
      : one.diagnostics.map((d) => ({ ok: false, name: `${one.file}: ${d.code}`, message: d.message })),
  );
  const points = lines.map(({ ok, name, message }, i) => {
    const point = `${ok ? "ok" : "not ok"} ${i + 1} - ${description(name)}`;
    return ok ? point : `${point}\n  ---\n  message: ${JSON.stringify(printable(message))}\n  ...`;
  });
  // Figures are no test points, so they are comments.
  const shown = checked.flatMap((one) =>
    "results" in one
      ? one.figures.map(
          (f) => `# ${printable(`${one.file}: ${caseTitle(f.case)}: ${f.name}: ${figureSentence(f)}`)}`,
        )
      : [],
  );
  return `${["TAP version 14", `1..${lines.length}`, ...points, ...shown].join("\n")}\n`;
}
