// A tree to a design: the circuit as drawn and the circuit of every case, each put together from the same
// statements, with the checks that are asked of it.
import type { Report } from "../base/diagnostic.js";
import * as dimension from "../base/dimension.js";
import { wholeText } from "../base/span.js";
import type { Statement, Title, Tree } from "../syntax/tree.js";
import { Changes } from "./cases.js";
import { Checks } from "./checks.js";
import { Circuit } from "./circuit.js";
import type { CheckSpec, Design, MeasureWords, Setting } from "./design.js";
import type { Films } from "./films.js";
import { readFinds } from "./finds.js";
import { numerals } from "./revalue.js";
import { Places, type Scope } from "./scope.js";
import { checkTracks } from "./spreading.js";
import { checkStructure } from "./structure.js";
import { reportName } from "./words.js";

type Of<T extends Statement["type"]> = Statement & { type: T };

/**
 * Gives the design meaning. Everything wrong goes to the report; the design is worth using only where that
 * holds no error.
 */
export function elaborate(
  tree: Tree,
  name: string,
  measures: readonly MeasureWords[],
  films: Films,
  report: Report,
): Design {
  const cases: Of<"case">[] = [];
  const checks: { statement: Of<"check">; under: string }[] = [];
  for (const s of tree.statements) {
    if (s.type === "case") {
      const first = cases.find((c) => c.name.text === s.name.text);
      // The design as drawn is the case without a name.
      if (s.name.text.trim() === "")
        report.error("no-name", "a case needs a name", s.name.span, {
          hint: "write what it is about: 'case \"camera unplugged\"'",
        });
      else if (first) twice(report, "case", s.name, first.name);
      else cases.push(s);
    }
    if (s.type === "check") {
      const under = s.scope?.type === "case" ? s.scope.name.text : (cases[cases.length - 1]?.name.text ?? "");
      const first = checks.find((c) => c.statement.name.text === s.name.text && c.under === under);
      if (first) twice(report, "check", s.name, first.statement.name);
      checks.push({ statement: s, under });
      if (
        s.scope?.type === "case" &&
        !tree.statements.some((c) => c.type === "case" && c.name.text === under)
      ) {
        const names = tree.statements.flatMap((c) => (c.type === "case" ? [c.name.text] : []));
        reportName(report, "unknown-case", `no case is called "${under}"`, s.scope.name, names, '"');
      }
    }
  }
  const one = (of: Of<"case"> | undefined, values: ReadonlyMap<string, Setting>, report: Report) => {
    const places = new Places();
    const circuit = new Circuit(places, new Changes(of?.changes ?? [], report, values), films, report);
    const scope = circuit.read(tree.statements);
    // Of a circuit with parts missing the graph says nothing.
    if (!report.failed) checkStructure(places, circuit.parts, report);
    if (!report.failed) checkTracks(numerals(circuit), report);
    const reader = new Checks(measures, places, circuit.parts, scope, report);
    const caseName = of?.name.text ?? "";
    const asked = checks.flatMap(({ statement, under }): CheckSpec[] => {
      if (under !== caseName && statement.scope?.type !== "every") return [];
      const read = reader.read(statement);
      return read ? [read] : [];
    });
    const design: Design = {
      title: titleOf(tree, report) ?? name,
      name,
      caseName,
      places: places.names,
      parts: circuit.parts,
      givens: circuit.givens,
      checks: asked,
      finds: [],
      cases: [],
      run: runOf(tree, caseName, scope, report),
      remake: (values, report) => one(of, values, report).design,
    };
    return { design, scope };
  };
  const whole = (
    values: ReadonlyMap<string, Setting>,
    report: Report,
    names = cases.map((c) => c.name.text),
  ) => {
    const { design, scope } = one(undefined, values, report);
    if (!report.failed && design.parts.length === 0)
      report.error("no-parts", "the design has no part", wholeText);
    const made = cases.filter((c) => names.includes(c.name.text));
    return { drawn: { ...design, cases: made.map((c) => one(c, values, report).design) }, scope };
  };
  const { drawn, scope } = whole(new Map(), report);
  // What is sought is read once: its ranges are those of the text, whatever values are tried.
  const finds = readFinds(tree.statements, drawn, scope.values, report);
  const remake: Design["remake"] = (values, report, names) => ({
    ...whole(values, report, names && [...names]).drawn,
    finds,
    remake,
  });
  return { ...drawn, finds, remake };
}

function titleOf(tree: Tree, report: Report): string | undefined {
  const titles = tree.statements.filter((s) => s.type === "title");
  for (const s of titles.slice(1)) report.error("statement-twice", "the design has a title already", s.span);
  return titles[0]?.text;
}

/** How to run a case: as it says itself below its first line, else as the design does before all cases. */
function runOf(tree: Tree, caseName: string, scope: Scope, report: Report): Design["run"] {
  let under = "";
  const said = new Map<string, Of<"run">>();
  for (const s of tree.statements) {
    if (s.type === "case") under = s.name.text;
    if (s.type !== "run") continue;
    // Told once, not in every case.
    if (said.has(under) && caseName === "")
      report.error("statement-twice", "the length of the run is given already", s.span);
    if (!said.has(under)) said.set(under, s);
  }
  const first = said.get(caseName) ?? said.get("");
  if (!first) return { start: "steady" };
  const length = scope.values.fraction(first.length, dimension.time, "the length of the run", "positive");
  const word = first.start?.text ?? "steady";
  const start = starts.find((known) => known === word);
  if (!start) reportName(report, "unknown-start", `a run cannot start from '${word}'`, first.start!, starts);
  return { start: start ?? "steady", ...(length && { length }) };
}

const starts = ["steady", "rest", "settled"] as const;

function twice(report: Report, what: string, again: Title, first: Title): void {
  report.error(
    "name-twice",
    `a ${what} called "${again.text}" stands in line ${first.span.line}, column ${first.span.column} already`,
    again.span,
    {
      hint: "choose another name for one of them",
      related: [{ message: `"${first.text}" is first named here`, span: first.span }],
    },
  );
}
