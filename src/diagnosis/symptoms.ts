// The table of symptoms in one go: every single fault at every place. Threads share the same work by rows (symptomstudy.ts).
import { handed } from "../base/handed.js";
import type { Design } from "../design/design.js";
import { SymptomStudy } from "./symptomstudy.js";
import type { SymptomsOptions, SymptomTable } from "./symptomtable.js";

/**
 * The table of symptoms of a design.
 *
 * @category Faults
 * @example
 * ```ts
 * const table = symptoms(design);
 * table.rows.length > 10; // true
 * ```
 * @throws DesignError `table-too-large`, `bad-option`, or the errors of a phrase
 */
export function symptoms(design: Design, options: SymptomsOptions = {}): SymptomTable {
  handed("design", design);
  const study = new SymptomStudy(design, options);
  const { runs } = study;
  for (let id = 0; id < runs && !options.signal?.aborted; id++) {
    study.take(id, study.perform(id));
    options.progress?.(id + 1, runs);
  }
  return study.table();
}
