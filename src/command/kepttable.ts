// Tables of symptoms in files. With each stands the version of the package that made it, since another may measure otherwise.
import { readFileSync } from "node:fs";
import { DesignError } from "../base/diagnostic.js";
import { readSymptoms } from "../diagnosis/readsymptoms.js";
import type { SymptomTable } from "../diagnosis/symptomtable.js";
import { packageVersion } from "./command.js";
import { jsonText, printable, tell, writeFile } from "./output.js";
import { EarlyEnd, reasonOf, status } from "./refusal.js";

/** A table, and whether this version of the package made it. */
export interface KeptTable {
  readonly table: SymptomTable;
  readonly current: boolean;
}

/** Where a table is kept by default; undefined where the design has no file. */
export function tableBeside(file: string): string | undefined {
  return file === "-" ? undefined : `${file.replace(/\.ramp$/, "")}.symptoms.json`;
}

/** The table in a file; undefined where there is no file. @throws EarlyEnd if it cannot be read, or is something else */
export function tableIn(file: string): KeptTable | undefined {
  let text: string;
  try {
    text = readFileSync(file, "utf8");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return undefined;
    throw new EarlyEnd(`${printable(file)} cannot be read: ${reasonOf(error)}`, status.wrong);
  }
  try {
    const { version, ...data } = Object(JSON.parse(text));
    return { table: readSymptoms(data), current: version === packageVersion() };
  } catch (error) {
    if (error instanceof DesignError || error instanceof SyntaxError)
      throw new EarlyEnd(
        `${printable(file)} is no table of symptoms: name another with --table`,
        status.wrong,
      );
    throw error;
  }
}

export async function keepTable(file: string, table: SymptomTable): Promise<void> {
  await writeFile(file, [jsonText({ version: packageVersion(), ...table }, 0)]);
  tell(printable(file));
}
