// Blocks from other texts: each `bring` is answered by the caller's resolver (the core reads no files), the blocks
// of that text join those of the design, and so do the blocks that it brings itself. What is wrong in a brought
// text is told at the `bring` that asked for it, with the place in that text. A path that begins with `shipped/` names a
// block of the package.
import type { Report } from "../base/diagnostic.js";
import { nearest } from "../base/nearest.js";
import { shipped } from "../blocks/shipped.js";
import { read } from "../syntax/read.js";
import type { Statement, Tree } from "../syntax/tree.js";

/** What a path begins with that names a block of the package. */
const ours = "shipped/";

/** Gives the text of a path as written in a `bring`, or undefined where there is none (or it may not be read). */
export type Resolver = (path: string) => string | undefined;

type Bring = Statement & { type: "bring" };

/** The statements of a tree with every `bring` replaced by the blocks it stands for. */
export function gather(
  tree: Tree,
  resolve: Resolver | undefined,
  kinds: readonly string[],
  report: Report,
): Tree {
  const met = new Set<string>();
  const blocks: Statement[] = [];
  const fetch = (s: Bring, at: Bring, trail: readonly string[]): void => {
    const path = s.path.text;
    const inside = trail.length > 0 ? ` (brought by ${trail.map((p) => `"${p}"`).join(" → ")})` : "";
    if (trail.includes(path)) {
      report.error("bring-cycle", `"${path}" brings itself: ${[...trail, path].join(" → ")}`, at.span);
      return;
    }
    if (met.has(path)) return;
    met.add(path);
    const name = path.startsWith(ours) ? path.slice(ours.length) : undefined;
    const text = name === undefined ? resolve?.(path) : shipped.get(name);
    if (text === undefined && name !== undefined) {
      const known = [...shipped.keys()];
      const near = nearest(name, known);
      report.error("bring-missing", `no block ships as '${name}'${inside}`, at.path.span, {
        hint: near ? `did you mean '${near}'?` : `known here: ${known.join(", ")}`,
        ...(near && at === s && { fix: { span: s.path.span, text: `"${ours}${near}"` } }),
      });
      return;
    }
    if (text === undefined) {
      report.error("bring-missing", `"${path}" is not there to be brought${inside}`, at.path.span, {
        hint: resolve
          ? "the path counts from the folder of the design and stays inside it"
          : "hand a resolver to compile: { resolve: (path) => text }",
      });
      return;
    }
    const brought = read(text, { kinds });
    for (const d of brought.report.diagnostics) {
      const aid = d.hint === undefined ? {} : { hint: d.hint };
      const message = `in "${path}", line ${d.span.line}, column ${d.span.column}: ${d.message}${inside}`;
      if (d.severity === "error") report.error(d.code, message, at.span, aid);
      else report.warn(d.code, message, at.span, aid);
    }
    for (const inner of brought.tree.statements) {
      if (inner.type === "bring") fetch(inner, at, [...trail, path]);
      else if (inner.type === "block") blocks.push(inner);
    }
  };
  const own = tree.statements.filter((s) => s.type !== "bring");
  for (const s of tree.statements) if (s.type === "bring") fetch(s, s, []);
  return { ...tree, statements: [...blocks, ...own] };
}
