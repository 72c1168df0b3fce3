// How large a design is once its blocks are opened, counted before anything is opened. The work grows with the text, however
// often a block is used.
import type { Report } from "../base/diagnostic.js";
import type { Statement, StatementOf } from "../syntax/tree.js";

/** How large a design may be. Each limit is far above what a person or a program would write. */
export const largest = {
  /** Parts, named values and uses of blocks of one circuit, all blocks opened. */
  parts: 200_000,
  /** The same for the circuit as drawn and all its cases together. */
  inCases: 500_000,
  /** Checks and figures to show, each counted once for every case that it applies to. */
  checks: 100_000,
} as const;

/** Whether a design is small enough to be put together; reports it if not. */
export function fits(
  statements: readonly Statement[],
  cases: readonly StatementOf<"case">[],
  asked: readonly StatementOf<"check" | "show">[],
  report: Report,
): boolean {
  const parts = opened(statements);
  if (parts > largest.parts) {
    const message = `the design has more than ${largest.parts} parts once its blocks are opened`;
    report.error("too-many-parts", message, beyond(statements, largest.parts).span, {
      hint: "use fewer blocks here, or blocks of fewer parts",
    });
    return false;
  }
  if (parts * (cases.length + 1) > largest.inCases) {
    const message = `${cases.length} cases of ${parts} parts each are more than ${largest.inCases} in all`;
    report.error("too-many-cases", message, cases[0].span, {
      hint: "put some of the cases in a text of their own",
    });
    return false;
  }
  const everywhere = asked.filter((s) => s.scope?.type === "every");
  if (asked.length + everywhere.length * cases.length > largest.checks) {
    const message = `the checks in all cases together are more than ${largest.checks}`;
    report.error("too-many-checks", message, (everywhere[0] ?? asked[0]).span, {
      hint: "ask fewer of them 'in every case'",
    });
    return false;
  }
  return true;
}

/** Parts, named values and uses of blocks, all blocks opened; a block inside itself counts once. */
export function opened(statements: readonly Statement[]): number {
  return sum(statements, sizesOf(statements));
}

/** The statement that goes beyond so many. */
function beyond(statements: readonly Statement[], most: number): Statement {
  const sizes = sizesOf(statements);
  let count = 0;
  return statements.find((s) => {
    count += sum([s], sizes);
    return count > most;
  })!;
}

/** What each block comes to. */
function sizesOf(statements: readonly Statement[]): ReadonlyMap<string, number> {
  const blocks = new Map<string, readonly Statement[]>();
  for (const s of statements)
    if (s.type === "block" && !blocks.has(s.name.text)) blocks.set(s.name.text, s.body);
  const sizes = new Map<string, number>();
  const open = new Set<string>();
  // The blocks that a block uses are counted before it. A loop, not recursion: a long chain would be too deep for the stack.
  const stack = [...blocks.keys()];
  for (let name = stack.at(-1); name !== undefined; name = stack.at(-1)) {
    const body = blocks.get(name)!;
    if (!sizes.has(name) && !open.has(name)) {
      open.add(name);
      for (const s of body) {
        const fresh = s.type === "use" && blocks.has(s.block.text) && !sizes.has(s.block.text);
        if (fresh && !open.has(s.block.text)) stack.push(s.block.text);
      }
      continue;
    }
    if (!sizes.has(name)) sizes.set(name, sum(body, sizes));
    open.delete(name);
    stack.pop();
  }
  return sizes;
}

function sum(body: readonly Statement[], sizes: ReadonlyMap<string, number>): number {
  let all = 0;
  for (const s of body) {
    if (s.type === "part" || s.type === "supply" || s.type === "signal" || s.type === "given") all++;
    if (s.type === "use") all += 1 + (sizes.get(s.block.text) ?? 0);
  }
  return all;
}
