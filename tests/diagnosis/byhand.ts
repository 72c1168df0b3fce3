// Symptom tables small enough to reckon by hand: faults `a`, `b`, ... after nothing failed.
import type { SymptomTable } from "../../src/index.js";

/** A column: what is read, in which case. */
interface HandColumn {
  readonly case?: string;
  readonly what: string;
  readonly unit?: string;
}

/** What else a table holds; unless given nothing is spread and nothing sampled. */
interface HandTable {
  /** By column what each tolerance does: `spread` where nothing has failed, `spreadAlike` under every fault too. */
  readonly spread?: readonly (readonly number[])[];
  readonly spreadAlike?: readonly (readonly number[])[];
  /** Whether the levels of a suspect are sampled. */
  readonly sampled?: (suspect: number) => boolean;
}

/** @param values by suspect what each column shows */
export function tableByHand(
  columns: readonly HandColumn[],
  values: readonly (readonly number[])[],
  { spread, spreadAlike, sampled }: HandTable = {},
): SymptomTable {
  const cases = [...new Set(columns.map((c) => c.case ?? ""))];
  const known = spread ?? spreadAlike ?? [];
  return {
    title: "by hand",
    fingerprint: "",
    suspects: [
      { name: "", kind: "none" },
      ...values.slice(1).map((_, i) => ({ name: "abcdefgh"[i], kind: "open" as const })),
    ],
    columns: columns.map(({ case: name = "", what, unit = "V" }) => ({
      case: name,
      what,
      unit,
      shown: "value" as const,
      key: name + what,
    })),
    tolerances: (known[0] ?? []).map((_, i) => `t${i}`),
    left: [],
    measures: [],
    rows: values.flatMap((own, suspect) =>
      cases.map((name) => {
        const its = [...columns.keys()].filter((k) => (columns[k].case ?? "") === name);
        return {
          suspect,
          case: name,
          status: "complete" as const,
          reason: "",
          columns: its,
          values: its.map((k) => own[k]),
          ...(sampled?.(suspect) && { sampled: true as const }),
          ...((suspect === 0 || !spread) && { spread: its.map((k) => known[k] ?? []) }),
        };
      }),
    ),
    missing: 0,
  };
}
