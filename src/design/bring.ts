// Blocks from other texts: the caller's resolver answers each `bring` (the core reads no files), and the blocks of
// that text join those of the design, as do the blocks that it brings itself. A mistake in a brought text is
// reported at the `bring` that asked for it, with its place in that text. A path that begins with `shipped/` names
// a block of the package.
import type { Report } from "../base/diagnostic.js";
import { didYouMeanOneOf, nearest } from "../base/nearest.js";
import { shipped } from "../blocks/shipped.js";
import { read } from "../syntax/read.js";
import type { Statement, Tree } from "../syntax/tree.js";
import { shown } from "./words.js";

/** The start of a path that names a block of the package. */
const ours = "shipped/";

/** Gives the text of a path as written in a `bring`, or undefined if there is none (or it may not be read). */
export type Resolver = (path: string) => string | undefined;

type Bring = Statement & { type: "bring" };

/** The statements of a tree with every `bring` replaced by the blocks it stands for. */
export function gather(
  tree: Tree,
  resolve: Resolver | undefined,
  kinds: readonly string[],
  report: Report,
): Tree {
  const texts = new Texts(resolve, kinds, report);
  for (const s of tree.statements) if (s.type === "bring") texts.bring(s);
  return { ...tree, statements: [...texts.blocks, ...tree.statements.filter((s) => s.type !== "bring")] };
}

/** The texts that one design brings, each read once. */
class Texts {
  readonly blocks: Statement[] = [];
  private readonly met = new Set<string>();

  constructor(
    private readonly resolve: Resolver | undefined,
    private readonly kinds: readonly string[],
    private readonly report: Report,
  ) {}

  // Texts may bring texts. A loop, not recursion: thousands in a chain would be too deep for the stack.
  bring(at: Bring): void {
    const open: { readonly path: string; readonly left: Iterator<Statement> }[] = [];
    const within = new Set<string>();
    for (let next: Bring | undefined = at; next !== undefined; next = this.next(open, within)) {
      const path = next.path.text;
      if (within.has(path)) {
        const message = `"${path}" brings itself: ${shown([...within, path]).join(" → ")}`;
        this.report.error("bring-cycle", message, at.span, {
          hint: "take one of these lines out: what both texts need may stand in a third",
        });
        continue;
      }
      if (this.met.has(path)) continue;
      this.met.add(path);
      const tree = this.read(next, at, within);
      if (!tree) continue;
      within.add(path);
      open.push({ path, left: tree.statements[Symbol.iterator]() });
    }
  }

  /** The next `bring`; the blocks on the way to it are collected. */
  private next(
    open: { readonly path: string; readonly left: Iterator<Statement> }[],
    within: Set<string>,
  ): Bring | undefined {
    for (let last = open.at(-1); last !== undefined; last = open.at(-1)) {
      for (let step = last.left.next(); !step.done; step = last.left.next()) {
        if (step.value.type === "bring") return step.value;
        if (step.value.type === "block") this.blocks.push({ ...step.value, from: last.path });
      }
      within.delete(last.path);
      open.pop();
    }
    return undefined;
  }

  private read(s: Bring, at: Bring, within: ReadonlySet<string>): Tree | undefined {
    const path = s.path.text;
    const inside = () =>
      within.size === 0
        ? ""
        : ` (brought by ${shown([...within])
            .map((p) => (p === "…" ? p : `"${p}"`))
            .join(" → ")})`;
    const ship = path.startsWith(ours) ? path.slice(ours.length) : undefined;
    const text = ship === undefined ? this.resolve?.(path) : shipped.get(ship);
    if (text === undefined) {
      if (ship === undefined) this.missing(path, at, inside());
      else this.unshipped(ship, s, at, inside());
      return undefined;
    }
    const { tree, report } = read(text, { kinds: this.kinds });
    for (const d of report.diagnostics) {
      const aid = d.hint === undefined ? {} : { hint: d.hint };
      const message = `in "${path}", line ${d.span.line}, column ${d.span.column}: ${d.message}${inside()}`;
      if (d.severity === "error") this.report.error(d.code, message, at.span, aid);
      else this.report.warn(d.code, message, at.span, aid);
    }
    return tree;
  }

  private missing(path: string, at: Bring, inside: string): void {
    const message = `"${path}" is not there to be brought${inside}`;
    const name = path.replace(/^.*\//, "").replace(/\.ramp$/, "");
    if (shipped.has(name) && inside === "") {
      const text = `"${ours}${name}"`;
      const fix = { span: at.path.span, text };
      this.report.error("bring-missing", message, at.path.span, { hint: `did you mean ${text}?`, fix });
      return;
    }
    this.report.error("bring-missing", message, at.path.span, {
      hint: this.resolve
        ? "the path counts from the folder of the design and stays inside it"
        : "hand a resolver to compile: { resolve: (path) => text }",
    });
  }

  private unshipped(name: string, s: Bring, at: Bring, inside: string): void {
    const known = [...shipped.keys()];
    const near = nearest(name, known);
    this.report.error("bring-missing", `no block ships as '${name}'${inside}`, at.path.span, {
      hint: didYouMeanOneOf(name, known),
      ...(near && at === s && { fix: { span: s.path.span, text: `"${ours}${near}"` } }),
    });
  }
}
