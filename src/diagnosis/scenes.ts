// The cases that a table of symptoms looks at besides the design as drawn, for how long, and what in each of them.
import { type Fraction, toNumber } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import { caseLength } from "../design/length.js";
import { caseNamed, plan, type SimulateOptions } from "../simulation/options.js";
import { columnsOf, type Looked, specOf } from "./columns.js";
import type { SymptomsOptions } from "./symptomtable.js";

/** A case that is examined. */
export interface Scene {
  readonly one: Design;
  readonly until: Fraction;
  readonly columns: readonly Looked[];
  /** Index of its first column in the table. */
  readonly first: number;
}

/** The cases examined besides the design as drawn. @param room the most of them */
export function casesFor(
  design: Design,
  names: readonly string[] | undefined,
  room: number,
): readonly Design[] {
  if (names) return names.map((name) => caseNamed(design, name)).filter((one) => one !== design);
  return design.cases.filter((one) => !laysFault(one, design)).slice(0, Math.max(0, room));
}

/** Whether a case contains a fault: with a second one, no single fault would explain the readings. */
function laysFault({ parts }: Design, design: Design): boolean {
  return parts.some((part) => {
    const own = design.parts.find((p) => p.name === part.name);
    if (part.fault !== own?.fault) return true;
    // A supply that dies: its voltage is then a wave, not a constant.
    return part.kind.rail !== undefined && part.wave !== own?.wave;
  });
}

/** The design as drawn and its cases, in the order of the columns. */
export function scenesOf(
  design: Design,
  cases: readonly Design[],
  measures: readonly string[],
  how: NonNullable<SymptomsOptions["simulate"]>,
): Scene[] {
  const { until } = plan(design, how as SimulateOptions);
  let first = 0;
  return [design, ...cases].map((one): Scene => {
    const length = how.until !== undefined || one === design ? until : caseLength(one, until);
    const columns = columnsOf(
      one,
      toNumber(length),
      measures.map((phrase) => specOf(one, phrase)),
    );
    first += columns.length;
    return { one, until: length, columns, first: first - columns.length };
  });
}
