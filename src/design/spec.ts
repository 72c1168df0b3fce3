// What a statement says of a part: its words by what they are about, and the part that they make.
import type { Kind } from "../parts/contract.js";
import type { Property, Statement } from "../syntax/tree.js";
import type { PartSpec } from "./design.js";
import { spreadWords } from "./spreading.js";

/** The words behind a part: how its value spreads, what it is rated for, and those of its kind. */
export function sorted(properties: readonly Property[]): Record<"spread" | "rated" | "own", Property[]> {
  const words: Record<"spread" | "rated" | "own", Property[]> = { spread: [], rated: [], own: [] };
  for (const p of properties) {
    const word = p.word.text;
    words[word === "rated" ? word : Object.hasOwn(spreadWords, word) ? "spread" : "own"].push(p);
  }
  return words;
}

/** A part of a statement. */
export function specOf(
  name: string,
  kind: Kind,
  s: Statement,
  rest: Pick<PartSpec, "tail" | "head" | "value" | "wave" | "fault" | "ratings" | "flags"> &
    Partial<Pick<PartSpec, "amounts">>,
): PartSpec {
  return { name, kind, amounts: new Map(), places: new Map(), span: s.span, ...rest };
}
