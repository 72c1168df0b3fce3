// What an editor offers to write, and the names that stand for something in a body.
import type { IToken } from "chevrotain";
import type { Vocabulary } from "../design/vocabulary.js";
import type { Body, Named, Page } from "./named.js";

/** Files that a design may name, by what they hold. */
export type FileSort = "text" | "picture" | "capture";

/** Texts and their names, as offers need them. */
export interface NamedTexts {
  readonly vocabulary: Vocabulary;
  text(uri: string): string | undefined;
  page(uri: string): Page | undefined;
  /** The blocks that a text may use: its own, and those of the texts that it brings. */
  blocksOf(uri: string): ReadonlyMap<string, Named>;
  /** Files that a text may name, if there are any. */
  filesNear?(uri: string, sort: FileSort): readonly string[];
}

/** What sort of thing is offered, in the terms of the Language Server Protocol (CompletionItemKind). */
export type OfferKind =
  | "Class"
  | "Constant"
  | "EnumMember"
  | "Event"
  | "Field"
  | "File"
  | "Function"
  | "Keyword"
  | "Module"
  | "Property"
  | "Struct"
  | "Unit"
  | "Value"
  | "Variable";

/** What is offered, before it is placed in the line. */
export interface Offer {
  readonly label: string;
  readonly kind: OfferKind;
  readonly detail?: string;
  /** How many of the preceding words belong to it: one for `sweep error`. */
  readonly words?: number;
}

/** A statement up to the cursor. */
export interface Typed {
  readonly tokens: readonly IToken[];
  readonly body: Body;
  readonly page: Page;
  readonly desk: NamedTexts;
}

const item: Readonly<Record<Named["sort"], OfferKind>> = {
  value: "Constant",
  supply: "Event",
  signal: "Event",
  part: "Struct",
  use: "Module",
  place: "Variable",
  block: "Class",
  case: "Value",
  check: "Value",
};

export function offerOf({ name, sort, statement }: Named): Offer {
  const detail = sort === "part" && statement.type === "part" ? statement.kind.text : `a ${sort}`;
  return { label: name, kind: item[sort], detail };
}

export function valueNames(body: Body): Offer[] {
  const outer = body.outer ? [...body.outer.values.values()] : [];
  const signals = [...body.parts.values()].filter(({ sort }) => sort === "signal");
  return [...body.values.values(), ...outer, ...signals].map(offerOf);
}

export function placeNames(body: Body): Offer[] {
  const own = [...body.parts.values()].filter(
    ({ sort }) => sort === "supply" || sort === "signal" || sort === "use",
  );
  const ground = { label: "ground", kind: "Variable" as const, detail: "0 V" };
  return [...[...body.places.values(), ...own].map(offerOf), ground];
}
