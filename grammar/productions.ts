// The grammar as plain data, for the language reference. Takes the parser's own serialised rules; gives a small
// tree for each rule. What always holds: nothing is written down a second time, so the reference cannot differ
// from the parser; every rule that `design` leads to is there once.
import type { ISerializedGast } from "chevrotain";
import { grammar } from "../src/syntax/grammar.js";

/** A piece of a rule. */
export type Piece =
  | { readonly type: "sequence"; readonly items: readonly Piece[] }
  | { readonly type: "choice"; readonly items: readonly Piece[] }
  | { readonly type: "optional"; readonly item: Piece }
  /** Once or more, with something between. */
  | { readonly type: "repeat"; readonly item: Piece; readonly between?: Piece }
  /** A word or sign as written. */
  | { readonly type: "literal"; readonly text: string }
  /** A token that is described in words: a name, a number, a text. */
  | { readonly type: "token"; readonly text: string }
  | { readonly type: "rule"; readonly name: string };

/** A rule of the grammar. */
export interface Production {
  readonly name: string;
  readonly piece: Piece;
}

// The library's types leave out what each kind of node carries.
type Node = ISerializedGast & {
  readonly name?: string;
  readonly label?: string;
  readonly separator?: Node;
  readonly definition?: Node[];
};

/** All rules, each behind the one that first speaks of it. */
export function productions(): Production[] {
  const all = new Map(
    (grammar().getSerializedGastProductions() as Node[]).map((rule) => [
      rule.name!,
      sequence(rule.definition!),
    ]),
  );
  const names = ["design"];
  // The list grows while it is walked.
  for (const name of names) {
    for (const other of mentioned(all.get(name)!)) if (!names.includes(other)) names.push(other);
  }
  return names.map((name) => ({ name, piece: all.get(name)! }));
}

function mentioned(piece: Piece): string[] {
  switch (piece.type) {
    case "rule":
      return [piece.name];
    case "sequence":
    case "choice":
      return piece.items.flatMap(mentioned);
    case "optional":
    case "repeat":
      return mentioned(piece.item);
    default:
      return [];
  }
}

function sequence(nodes: readonly Node[]): Piece {
  const items = nodes.map(piece);
  return items.length === 1 ? items[0] : { type: "sequence", items };
}

function piece(node: Node): Piece {
  switch (node.type) {
    case "NonTerminal":
      return { type: "rule", name: node.name! };
    case "Terminal": {
      const label = node.label ?? node.name!;
      // One token, but two signs in the text.
      if (label === "'/ +'")
        return { type: "sequence", items: ["/", "+"].map((text) => ({ type: "literal", text })) };
      return label.startsWith("'")
        ? { type: "literal", text: label.slice(1, -1) }
        : { type: "token", text: label.replace(/^an? |^the /, "") };
    }
    case "Alternation": {
      const items = node.definition!.map((one) => sequence(one.definition!));
      return items.length === 1 ? items[0] : { type: "choice", items };
    }
    case "Option":
      return { type: "optional", item: sequence(node.definition!) };
    case "RepetitionMandatory":
      return { type: "repeat", item: sequence(node.definition!) };
    case "RepetitionMandatoryWithSeparator":
      return { type: "repeat", item: sequence(node.definition!), between: piece(node.separator!) };
    case "Repetition":
      return { type: "optional", item: { type: "repeat", item: sequence(node.definition!) } };
    default:
      throw new Error(`a rule has a node of type ${node.type}, which the reference cannot show`);
  }
}
