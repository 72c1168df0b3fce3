// What an editor offers to write, and the names that stand for something in a body.
import type { IToken } from "chevrotain";
import type { Desk } from "./desk.js";
import type { Body, Named, Page } from "./named.js";
import { CompletionItemKind } from "./protocol.js";

/** What is offered, before it has its place. */
export interface Offer {
  readonly label: string;
  readonly kind: CompletionItemKind;
  readonly detail?: string;
  /** How many of the words before belong to it: of `sweep error` one. */
  readonly words?: number;
}

/** What a statement says up to the place. */
export interface Typed {
  readonly tokens: readonly IToken[];
  readonly body: Body;
  readonly page: Page;
  readonly desk: Desk;
}

const item: Readonly<Record<Named["sort"], CompletionItemKind>> = {
  value: CompletionItemKind.Constant,
  supply: CompletionItemKind.Event,
  signal: CompletionItemKind.Event,
  part: CompletionItemKind.Struct,
  use: CompletionItemKind.Module,
  place: CompletionItemKind.Variable,
  block: CompletionItemKind.Class,
  case: CompletionItemKind.Value,
  check: CompletionItemKind.Value,
};

/** A name as an offer. */
export function offerOf({ name, sort, statement }: Named): Offer {
  const detail = sort === "part" && statement.type === "part" ? statement.kind.text : `a ${sort}`;
  return { label: name, kind: item[sort], detail };
}

/** Names of values as seen from a body. */
export function valueNames(body: Body): Offer[] {
  const outer = body.outer ? [...body.outer.values.values()] : [];
  const signals = [...body.parts.values()].filter(({ sort }) => sort === "signal");
  return [...body.values.values(), ...outer, ...signals].map(offerOf);
}

/** Names of places. */
export function placeNames(body: Body): Offer[] {
  const own = [...body.parts.values()].filter(
    ({ sort }) => sort === "supply" || sort === "signal" || sort === "use",
  );
  const ground = { label: "ground", kind: CompletionItemKind.Variable, detail: "0 V" };
  return [...[...body.places.values(), ...own].map(offerOf), ground];
}
