// The cautions of the designs that a verb has looked at: a line for people, which reports and the page have in full, and all the
// sentences for programs.
import { cautionLine, cautions, drivesTube, standing } from "../report/cautions.js";
import type { Loaded } from "./load.js";
import { tell } from "./output.js";

/** The cautions on standard error, in a line. */
export function tellCautions(designs: readonly Loaded[]): void {
  if (drive(designs)) tell(cautionLine);
}

/** What is printed as JSON, with the sentences of the cautions; none where nothing has to do with a tube. */
export function withCautions(data: object, designs: readonly Loaded[]): object {
  return { ...data, cautions: drive(designs) ? [...cautions, standing] : [] };
}

function drive(designs: readonly Loaded[]): boolean {
  return designs.some(({ source, design }) => drivesTube(source.text, design));
}
