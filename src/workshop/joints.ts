// What is joined to what, place by place: for board layout.
import { handed } from "../base/handed.js";
import type { Design } from "../design/design.js";

/** One end of a part. */
export interface JointEnd {
  /** Full name of the part. */
  readonly part: string;
  /** Its kind, in the language's word. */
  readonly kind: string;
  /** `tail` at the start of its arrow, `head` at the end, `control` where it only reads, else the property's word: `tap`. */
  readonly end: string;
}

/** A place and all that is joined there. */
export interface Joint {
  /** Name of the place; `ground` is the first. */
  readonly place: string;
  /** In the order of the text. */
  readonly ends: readonly JointEnd[];
}

/**
 * What is joined to what, place by place.
 *
 * @category Bench and stock
 * @example
 * ```ts
 * const ramp = joints(design).find(({ place }) => place === "ramp");
 * ramp?.ends.map(({ part, end }) => `${part} ${end}`); // ["feed head", "hold tail", "reset tail", "guard tail"]
 * ```
 */
export function joints(design: Design): Joint[] {
  handed("design", design);
  const found = design.places.map((place) => ({ place, ends: [] as JointEnd[] }));
  for (const part of design.parts) {
    if (part.couples) continue;
    const join = (place: number, end: string) =>
      found[place].ends.push({ part: part.name, kind: part.kind.word, end });
    join(part.tail, "tail");
    join(part.head, "head");
    for (const [word, place] of part.places) join(place, word);
    if (part.control?.type === "level") join(part.control.place, "control");
  }
  return found.filter(({ ends }) => ends.length > 0);
}
