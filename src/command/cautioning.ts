// The cautions for the designs of a verb: one line for people, since reports and the page have them in full, and all the
// sentences for programs.
import { cautionLine, cautions, drivesTube, standing } from "../report/cautions.js";
import type { Loaded } from "./load.js";
import { tell } from "./output.js";

/** Prints the cautions on standard error, in one line. */
export function tellCautions(designs: readonly Loaded[]): void {
  if (drive(designs)) tell(cautionLine);
}

/** The JSON output with the sentences of the cautions; an empty list if nothing has to do with a tube. */
export function withCautions(data: object, designs: readonly Loaded[]): object {
  return { ...data, cautions: drive(designs) ? [...cautions, standing] : [] };
}

function drive(designs: readonly Loaded[]): boolean {
  return designs.some(({ source, design }) => drivesTube(source.text, design));
}
