// The names that a text gives: values, supplies, signals, parts, uses of blocks, places, blocks, cases and checks, each in its
// own body. Takes the tree, which has every statement that could be read.
import type { Span } from "../base/span.js";
import type { Kind } from "../parts/contract.js";
import type { Property, Reference, Statement, Tree, Word } from "../syntax/tree.js";

/** What a name stands for. */
export type NamedSort = "value" | "supply" | "signal" | "part" | "use" | "place" | "block" | "case" | "check";

/** A name that a text gives to something. */
export interface Named {
  readonly sort: NamedSort;
  readonly name: string;
  /** The text that gives it. */
  readonly uri: string;
  /** Where it is given; for a place, where it is first joined. */
  readonly span: Span;
  /** The statement that gives it. */
  readonly statement: Statement;
  /** For a block: what it contains. */
  readonly inner?: Body;
}

/** One body of statements: the design itself, or the contents of a block. */
export class Body {
  readonly values = new Map<string, Named>();
  /** Supplies, signals, parts and uses. */
  readonly parts = new Map<string, Named>();
  /** Places that are neither supply nor signal. */
  readonly places = new Map<string, Named>();

  constructor(readonly outer?: Body) {}

  /** A value of this body or of the one around it. */
  value(name: string): Named | undefined {
    return this.values.get(name) ?? this.outer?.value(name);
  }

  /** A place; supplies and signals are places too. */
  place(name: string): Named | undefined {
    const part = this.parts.get(name);
    return part?.sort === "supply" || part?.sort === "signal" ? part : this.places.get(name);
  }

  all(): readonly Named[] {
    return [...this.values.values(), ...this.parts.values(), ...this.places.values()];
  }
}

/** All names of one text. */
export interface Page {
  readonly uri: string;
  readonly tree: Tree;
  readonly top: Body;
  readonly blocks: ReadonlyMap<string, Named>;
  readonly cases: ReadonlyMap<string, Named>;
  readonly checks: ReadonlyMap<string, Named>;
  /** What it brings; the spans include the quotes. */
  readonly brings: readonly Word[];
}

export type KindOf = (word: string) => Kind | undefined;

/** The names of a text. */
export function pageOf(uri: string, tree: Tree, kindOf: KindOf): Page {
  const blocks = new Map<string, Named>();
  const cases = new Map<string, Named>();
  const checks = new Map<string, Named>();
  const brings: Word[] = [];
  const top = new Body();
  const declare = (statements: readonly Statement[], body: Body) => {
    for (const s of statements) {
      const name = nameIn(s);
      const meet = (
        into: Map<string, Named>,
        sort: NamedSort,
        word: Word | undefined = name,
        inner?: Body,
      ) => {
        if (word && !into.has(word.text))
          into.set(word.text, { sort, name: word.text, uri, span: word.span, statement: s, inner });
      };
      if (s.type === "bring") brings.push(s.path);
      else if (s.type === "given") meet(body.values, "value");
      else if (s.type === "supply" || s.type === "signal" || s.type === "part" || s.type === "use")
        meet(body.parts, s.type);
      else if (s.type === "case") meet(cases, "case");
      else if (s.type === "check") meet(checks, "check");
      else if (s.type === "block") {
        const inner = new Body(top);
        meet(blocks, "block", s.name, inner);
        for (const place of s.places) meet(inner.places, "place", place);
        declare(s.body, inner);
      }
    }
    // A supply or signal declared further down is a place too.
    for (const s of statements)
      for (const word of placesOf(s, kindOf))
        if (word.text !== "ground" && !body.place(word.text))
          body.places.set(word.text, { sort: "place", name: word.text, uri, span: word.span, statement: s });
  };
  declare(tree.statements, top);
  return { uri, tree, top, blocks, cases, checks, brings };
}

function nameIn(s: Statement): Word | undefined {
  return "name" in s ? s.name : undefined;
}

/** The places that a statement creates if they do not exist yet. */
function placesOf(s: Statement, kindOf: KindOf): Word[] {
  const lone = ({ path }: Reference) => (path.length === 1 ? [path[0]] : []);
  if (s.type === "use") return s.places.flatMap(lone);
  if (s.type !== "part") return [];
  const kind = kindOf(s.kind.text);
  if (kind?.couples) return [];
  const named = s.properties.flatMap((p) => placeProperty(p, kind) ?? []);
  return [s.tail, s.head, ...named].flatMap(lone);
}

export function placeProperty({ word, value }: Property, kind: Kind | undefined): Reference | undefined {
  const takes = kind?.properties.find((one) => one.word === word.text)?.takes;
  if (takes !== "place" || value.type !== "amount") return undefined;
  const { value: e } = value.amount;
  return e.type === "name" ? e.reference : undefined;
}
