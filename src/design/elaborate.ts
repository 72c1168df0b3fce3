// Turns a tree into a design: the circuit as drawn and the circuit of every case, each put together from the same
// statements, with its checks.
import type { Report } from "../base/diagnostic.js";
import { dimension } from "../base/dimension.js";
import { wholeText } from "../base/span.js";
import type { Statement, StatementOf, Title, Tree } from "../syntax/tree.js";
import { CachedReading, StatementCache } from "./cache.js";
import { Changes } from "./cases.js";
import { Checks } from "./checks.js";
import type { Amount, CheckSpec, Design, HeldSpec, Settings, ShowSpec } from "./design.js";
import { tryDevice } from "./devicetrial.js";
import { readFinds } from "./finds.js";
import { type AskedCapture, capturesIn, readHeld } from "./heldcaptures.js";
import { checkLengths, runLengths, runLengthsText } from "./length.js";
import { readObserved } from "./observed.js";
import { fits } from "./openedsize.js";
import { CircuitReader } from "./opening.js";
import { Places } from "./places.js";
import { settableValues } from "./revalue.js";
import type { CaseReading, Scope } from "./scope.js";
import { checkTracks } from "./spreading.js";
import { checkStructure } from "./structure.js";
import { readTestpoints } from "./testpoints.js";
import type { Vocabulary } from "./vocabulary.js";
import type { Handed } from "./waveform.js";
import { reportName } from "./words.js";

/**
 * Makes the design of a tree. All mistakes go to the report; use the design only if that has no error.
 */
export function elaborate(
  tree: Tree,
  name: string,
  vocabulary: Vocabulary,
  handed: Handed,
  report: Report,
): Design {
  const text = new Elaboration(tree, name, vocabulary, handed, report);
  const { drawn, scope } = text.whole([], report);
  // Finds are read once: their ranges are those of the text, whatever values are tried.
  const finds = text.sound ? readFinds(tree.statements, drawn, scope.values, report) : [];
  const readings = text.sound ? readObserved(tree.statements, drawn, scope.values, report) : [];
  const testpoints = text.sound
    ? readTestpoints(tree.statements, new Checks(drawn.parts, scope), report)
    : [];
  const whole = (drawn: Design, layers: readonly Settings[]): Design => ({
    ...drawn,
    finds,
    readings,
    testpoints,
    remake: (values, report, names) => {
      const more = [...layers, values];
      return whole(text.whole(more, report, names && new Set(names)).drawn, more);
    },
  });
  return whole(drawn, []);
}

/** One text, whose circuits are put together anew for each set of values. */
class Elaboration {
  /** False if the design is too large to be put together. */
  readonly sound: boolean;
  /** False if a statement could not be read, so that the circuit is incomplete. */
  private readonly legible: boolean;
  private readonly title: string;
  private readonly statements: readonly Statement[];
  private readonly cases: ReadonlyMap<string, StatementOf<"case">>;
  private readonly runs: ReadonlyMap<string, StatementOf<"run">>;
  /** The checks and the figures to show of each case, by its name; the name of the design as drawn is empty. */
  private readonly asked: ReadonlyMap<string, readonly StatementOf<"check" | "show">[]>;
  private readonly captures: readonly AskedCapture[];
  /** For each case, what its first reading keeps, and the places that it made. */
  private readonly first = new Map<string, { readonly memory: StatementCache; readonly places: Places }>();

  constructor(
    tree: Tree,
    private readonly name: string,
    private readonly vocabulary: Vocabulary,
    private readonly handed: Handed,
    report: Report,
  ) {
    this.legible = !report.failed;
    this.cases = casesOf(tree, report);
    const inCases = askedIn(tree, this.cases, report);
    this.runs = runsOf(tree, report);
    this.title = titleOf(tree, report) ?? lastOf(name);
    this.captures = capturesIn(tree.statements, this.cases, report);
    const asking = tree.statements.filter((s) => s.type === "check" || s.type === "show");
    this.sound = fits(tree.statements, [...this.cases.values()], asking, report);
    this.statements = this.sound ? tree.statements.filter((s) => !asks.has(s.type)) : [];
    const asked = new Map<string, StatementOf<"check" | "show">[]>(
      ["", ...this.cases.keys()].map((name) => [name, []]),
    );
    for (const { statement, under } of this.sound ? inCases : []) {
      const every = statement.scope?.type === "every";
      for (const list of every ? asked.values() : [asked.get(under)]) list?.push(statement);
    }
    this.asked = asked;
  }

  /**
   * The design as drawn with its cases.
   * @param layers values that replace those of the text, later layers over earlier ones
   * @param names names of the cases to put together; all unless given
   */
  whole(
    layers: readonly Settings[],
    report: Report,
    names?: ReadonlySet<string>,
  ): { drawn: Design; scope: Scope } {
    const { design, scope } = this.one(undefined, layers, report);
    if (!report.failed && design.parts.length === 0)
      report.error("no-parts", "the design has no part", wholeText, {
        hint: "add a supply, a signal or a part, or 'use' a block",
      });
    const made = this.sound ? [...this.cases.values()].filter((c) => names?.has(c.name.text) ?? true) : [];
    return { drawn: { ...design, cases: made.map((c) => this.one(c, layers, report).design) }, scope };
  }

  /** One case by itself; the design as drawn without one. */
  private one(
    of: StatementOf<"case"> | undefined,
    layers: readonly Settings[],
    report: Report,
  ): { design: Design; scope: Scope } {
    const { vocabulary, handed } = this;
    const caseName = of?.name.text ?? "";
    // Each case counts its own errors, so that a mistake in one hides nothing in another.
    const before = report.errors;
    const known = this.first.get(caseName) ?? { memory: new StatementCache(), places: new Places() };
    this.first.set(caseName, known);
    const { memory, places } = known;
    const reading = new CachedReading(memory, report, layers);
    const changes = new Changes(of?.changes ?? [], report, layers);
    const at: CaseReading = { places, changes, vocabulary, handed, report, reading };
    const circuit = new CircuitReader(at);
    const scope = circuit.read(this.statements);
    if (this.legible && report.errors === before) this.judge(at, circuit, memory);
    const reader = new Checks(circuit.parts, scope);
    const checks: CheckSpec[] = [];
    const shows: ShowSpec[] = [];
    for (const [i, s] of this.asked.get(caseName)!.entries()) {
      if (s.type === "check") {
        const read = reading.of("check", String(i), undefined, () => reader.read(s));
        if (read) checks.push(read);
      } else {
        const read = reading.of("show", String(i), undefined, () => reader.measured(s));
        if (read) shows.push({ name: s.name.text, ...read });
      }
    }
    const captures = this.captures.flatMap((one, i): HeldSpec[] => {
      if (one.under !== caseName) return [];
      const read = reading.of("capture", String(i), undefined, () => readHeld(one, reader, scope));
      return read ? [read] : [];
    });
    const said = this.runs.get(caseName) ?? this.runs.get("");
    const run = reading.of("run", "", undefined, () => runOf(said, scope, report));
    reading.end(circuit.parts);
    const { parts, givens } = circuit;
    const remake: Design["remake"] = (values, report) => this.one(of, [...layers, values], report).design;
    // The case is read again, mostly from the cache, so that mistakes in a phrase go to a report of their own.
    const measuring: Design["measuring"] = (phrase, report) => {
      const { design, scope } = this.one(of, layers, report);
      return new Checks(design.parts, scope).measured(phrase);
    };
    const { title, name } = this;
    const asked = { checks, shows, captures, finds: [], readings: [], testpoints: [], cases: [], run };
    const rest = { places: places.names, parts, givens, ...asked, remake, measuring };
    const design: Design = { title, name, caseName, ...rest };
    if (report.errors === before) checkLengths(design, report);
    return { design, scope };
  }

  /** Reports what is wrong with a circuit as a whole; only for one that has all its parts. */
  private judge({ places, report }: CaseReading, circuit: CircuitReader, memory: StatementCache): void {
    const { parts } = circuit;
    const before = report.errors;
    // A structure that was sound before need not be checked again.
    if (!memory.sound(parts)) checkStructure(places, parts, report);
    if (report.errors === before && anyTracks(circuit)) checkTracks(settableValues(circuit), report);
    const { added } = this.vocabulary;
    if (added.size > 0)
      for (const p of parts) if (added.has(p.kind)) tryDevice(p, places.names.length, report);
  }
}

/** Whether a value tracks another; in most designs none does. */
function anyTracks({ givens, parts }: CircuitReader): boolean {
  const tracks = (amount: Amount | undefined) => amount?.spreading?.tracks !== undefined;
  if ([...givens.values()].some(tracks)) return true;
  return parts.some((p) => tracks(p.value) || (p.amounts.size > 0 && [...p.amounts.values()].some(tracks)));
}

/** Statements that are about the circuit and no part of it. */
const asks: ReadonlySet<Statement["type"]> = new Set([
  "title",
  "case",
  "check",
  "capture",
  "find",
  "reading",
  "show",
  "testpoint",
  "run",
]);

function casesOf(tree: Tree, report: Report): Map<string, StatementOf<"case">> {
  const cases = new Map<string, StatementOf<"case">>();
  for (const s of tree.statements) {
    if (s.type !== "case") continue;
    const first = cases.get(s.name.text);
    // The design as drawn is the case without a name.
    if (s.name.text.trim() === "")
      report.error("no-name", "a case needs a name", s.name.span, {
        hint: "write what it is about: 'case \"camera unplugged\"'",
      });
    else if (first) twice(report, "case", s.name, first.name);
    else cases.set(s.name.text, s);
  }
  return cases;
}

/** Every check and every figure to show with the name of its case; an empty name is the design as drawn. */
function askedIn(
  tree: Tree,
  cases: ReadonlyMap<string, StatementOf<"case">>,
  report: Report,
): { statement: StatementOf<"check" | "show">; under: string }[] {
  const asked: { statement: StatementOf<"check" | "show">; under: string }[] = [];
  const met = new Map<string, Title>();
  let last = "";
  for (const s of tree.statements) {
    if (s.type === "case" && cases.get(s.name.text) === s) last = s.name.text;
    if (s.type !== "check" && s.type !== "show") continue;
    const under = s.scope?.type === "case" ? s.scope.name.text : last;
    // No name contains quotes, so they separate the pieces of the key.
    const key = `${s.type}"${s.scope?.type === "capture" ? "\n" : under}"${s.name.text}`;
    const first = met.get(key);
    if (first) twice(report, s.type === "check" ? "check" : "figure", s.name, first);
    else met.set(key, s.name);
    if (s.scope?.type !== "capture") asked.push({ statement: s, under });
    if (s.scope?.type === "case" && !cases.has(under)) {
      const known = () => [...cases.keys()];
      reportName(
        report,
        "unknown-case",
        `no case is called "${under}"`,
        { ...s.scope.name, quote: '"' },
        known,
      );
    }
  }
  return asked;
}

/** The last part of a path: a picture is shown to others, and the folders of a machine are nobody else's business. */
const lastOf = (path: string) => path.split(/[\\/]/).at(-1) || path;

function titleOf(tree: Tree, report: Report): string | undefined {
  const titles = tree.statements.filter((s) => s.type === "title");
  for (const s of titles.slice(1))
    report.error("statement-twice", "the design has a title already", s.span, { hint: "delete one of them" });
  return titles[0]?.text;
}

/** The `run` statements by the case that they belong to; an empty name is the design as drawn. */
function runsOf(tree: Tree, report: Report): Map<string, StatementOf<"run">> {
  let under = "";
  const said = new Map<string, StatementOf<"run">>();
  for (const s of tree.statements) {
    if (s.type === "case") under = s.name.text;
    if (s.type !== "run") continue;
    if (said.has(under))
      report.error("statement-twice", "the length of the run is given already", s.span, {
        hint: "delete one of them; below a case 'run' belongs to that case",
      });
    else said.set(under, s);
  }
  return said;
}

/** How to run a case: as its own `run` says, else as the one before all cases. */
function runOf(said: StatementOf<"run"> | undefined, scope: Scope, report: Report): Design["run"] {
  if (!said) return { start: "steady" };
  const length = scope.values.fraction(said.length, dimension.time, "the length of the run", "positive");
  if (length && (length.lt(runLengths.from) || length.gt(runLengths.to)))
    report.error("out-of-range", runLengthsText, said.length.span, { hint: "give a length among these" });
  const word = said.start?.text ?? "steady";
  const start = startWords.find((known) => known === word);
  if (!start)
    reportName(report, "unknown-start", `a run cannot start from '${word}'`, said.start!, startWords);
  return { start: start ?? "steady", length };
}

/** The states from which a run may start. */
export const startWords = ["steady", "rest", "settled"] as const;

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
