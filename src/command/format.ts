// The verb `format`: the canonical layout of a design text.
// Takes FILE; prints the text, or says whether it is laid out so already, or writes it back. Status: 0, 1 when it is
// not (with --check), 2 when the text has mistakes (it is then left as it is).
import { format as layOut } from "../syntax/format.js";
import { read, refuse } from "./design.js";
import { plain, say, tell, writeFile } from "./output.js";
import { status, Trouble } from "./trouble.js";

/** Options of the verb. */
export interface FormatOptions {
  readonly check?: boolean;
  readonly write?: boolean;
}

/** Runs the verb; gives the status. */
export function format(file: string, options: FormatOptions): number {
  if (options.write && file === "-") {
    throw new Trouble("standard input cannot be written back; leave out --write", status.wrong);
  }
  const source = read(file);
  const { text, diagnostics } = layOut(source.text);
  if (text === undefined) refuse(diagnostics, source, false);
  const same = text === source.text;
  if (options.check) {
    if (!same) tell(`${plain(source.name)}: not in the canonical layout`);
    return same ? status.good : status.fails;
  }
  if (!options.write) say(text!);
  else if (!same) writeFile(file, [text!]);
  return status.good;
}
