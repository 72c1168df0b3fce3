// Where a caution is printed for the designs of a verb: one line for people, since reports and the page have them in full, and all
// the sentences for programs.
import { cautionLine, cautions, drivesTube, standing } from "../report/cautions.js";
import type { Loaded } from "./load.js";
import { tell } from "./output.js";

/** A design, or what a file that was made of one says of it. */
export type Cautioned = Loaded | { readonly cautions: unknown };

/** The cautions on standard error, in a line. */
export function tellCautions(designs: readonly Cautioned[]): void {
  if (drive(designs)) tell(cautionLine);
}

/** What is printed as JSON, with the sentences of the cautions; none where nothing has to do with a tube. */
export function withCautions<T extends object>(
  data: T,
  designs: readonly Cautioned[],
): T & { cautions: string[] } {
  return { ...data, cautions: drive(designs) ? [...cautions, standing] : [] };
}

function drive(designs: readonly Cautioned[]): boolean {
  return designs.some((one) =>
    "design" in one
      ? drivesTube(one.source.text, one.design)
      : Array.isArray(one.cautions) && one.cautions.length > 0,
  );
}
