// Studies whose runs are numbered, so that threads and machines can share them: their options, and the studies themselves.
import type { Design } from "../design/design.js";
import { SymptomStudy } from "../diagnosis/symptomstudy.js";
import type { SymptomsOptions } from "../diagnosis/symptomtable.js";
import { FaultStudy, type FaultsOptions } from "../faults/survey.js";
import { type VaryOptions, VaryStudy } from "../variation/variation.js";

/** A study by run number. What a run finds is plain data; the table is the same in whatever order the runs are taken. */
export interface Study<Table = unknown> {
  readonly runs: number;
  perform(id: number): unknown;
  /** Runs that all others build on; they take their findings or, without them, make these runs themselves. */
  readonly first?: readonly number[];
  /** About how much a run has to do beside the others, in no unit; absent: all alike. */
  weight?(id: number): number;
  take(id: number, found: never): void;
  table(): Table;
}

/** The options of each sort of study, as plain data. */
export interface StudyOptions {
  readonly faults: FaultsOptions;
  readonly symptoms: SymptomsOptions;
  readonly vary: VaryOptions;
}

export type StudyAsked<S extends keyof StudyOptions = keyof StudyOptions> = {
  readonly [K in S]: { readonly study: K; readonly options: StudyOptions[K] };
}[S];

/** Makes the study. @throws DesignError for options that make no sense */
export function studyOf(design: Design, asked: StudyAsked): Study {
  switch (asked.study) {
    case "faults":
      return new FaultStudy(design, asked.options);
    case "symptoms":
      return new SymptomStudy(design, asked.options);
    default:
      return new VaryStudy(design, asked.options);
  }
}
