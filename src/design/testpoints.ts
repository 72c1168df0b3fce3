// Turns testpoint statements into the traces that are seen there. Each mistake is reported once, at its place; a name stands for
// one testpoint.
import type { Report } from "../base/diagnostic.js";
import type { Statement, Title } from "../syntax/tree.js";
import type { Checks } from "./checks.js";
import type { TestpointSpec } from "./design.js";

/** Reads the test points of a text. */
export function readTestpoints(
  statements: readonly Statement[],
  reader: Pick<Checks, "trace">,
  report: Report,
): TestpointSpec[] {
  const met = new Map<string, Title>();
  return statements.flatMap((s): TestpointSpec[] => {
    if (s.type !== "testpoint") return [];
    const { name, of, span } = s;
    const first = met.get(name.text);
    met.set(name.text, first ?? name);
    if (name.text.trim() === "")
      report.error("no-name", "a testpoint needs a name", name.span, {
        hint: "write what is seen there: 'testpoint \"line sync, clean\" at gate'",
      });
    else if (first)
      report.error(
        "name-twice",
        `a testpoint called "${name.text}" stands in line ${first.span.line}, column ${first.span.column} already`,
        name.span,
        { hint: "choose another name for one of them" },
      );
    const trace = reader.trace(of);
    return trace ? [{ name: name.text, of: trace.name, span }] : [];
  });
}
