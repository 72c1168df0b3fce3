// The verb `diagnose`: which single fault explains the readings from the bench. Its table of symptoms is made once and kept
// beside the design.
import { refuseOption } from "../../base/asked.js";
import { DesignError } from "../../base/diagnostic.js";
import { specOf } from "../../diagnosis/columns.js";
import { type Diagnosis, diagnose } from "../../diagnosis/ranking.js";
import { hasColumn, type Reading, readingIn, readingsIn, takenReadings } from "../../diagnosis/readings.js";
import { SymptomStudy } from "../../diagnosis/symptomstudy.js";
import type { SymptomsOptions, SymptomTable } from "../../diagnosis/symptomtable.js";
import { readingsFrom, readingsHeld } from "../../diagnosis/tracereadings.js";
import { Bar } from "../bar.js";
import { captureOptions, heldFrom, refuseLone } from "../captureoptions.js";
import { diagnosisLines } from "../diagnosistext.js";
import { keepTable, tableBeside, tableIn } from "../kepttable.js";
import { type Loaded, load } from "../load.js";
import { anyText, names, type OptionValues, path, repeatable, whole } from "../option.js";
import { printable, tell, tryFile } from "../output.js";
import { readingFrom } from "../readingoption.js";
import { status } from "../refusal.js";
import { otherValues, simulateAsked, simulating, workers } from "../sharedoptions.js";
import { sliceStudied, studied } from "../studied.js";
import {
  mergedSlices,
  refuseBesideMerge,
  refuseLoneOut,
  refuseUnsliced,
  type SliceDone,
  slicedLine,
  slicing,
} from "../studyslices.js";
import { designFile, verb } from "../verb.js";

const options = {
  reading: repeatable("READING", "what an instrument showed, e.g. 'peak of ramp 5.6 V'", readingFrom),
  ...captureOptions,
  case: anyText("NAME", "the case that the capture was taken in (default: the design as drawn)"),
  parts: names("what may be at fault (default: everything)"),
  cases: names("cases to reckon with (default: those that lay no fault, while the runs allowed last)"),
  table: path("FILE", "the table of symptoms is kept here (default: beside the design, *.symptoms.json)"),
  most: whole("the most runs for the table (default: 600)", 1, 1e6),
  ...workers,
  ...slicing,
  out: path("FILE", "with --slice: keep what it found in this file"),
  ...otherValues,
  ...simulating,
};

type DiagnoseOptions = OptionValues<typeof options>;

export const diagnoseVerb = verb({
  word: "diagnose",
  summary: "ranks single faults by what was read on the bench, and says where to look next",
  operand: { ...designFile, many: true },
  options,
  more:
    'Readings stand in the design as well: reading "peak of ramp" 5.6 V. A figure is known to half of its last place, or to what ' +
    "stands behind +-. A capture is read for its floor, peak, mean and swing; so are those that the design names: " +
    'capture "ramp.csv" of ramp. The table of symptoms, every single fault at every place, is made once, and used as long as the design ' +
    "stays the same.",
  example: 'diagnose line.ramp --reading "peak of ramp 5.6 V"',
  statuses: {
    0: "a single fault, or none, explains the readings",
    1: "nothing single explains them",
    2: "the design, a reading or an option is wrong",
    3: "the table could not be made to its end, or not be kept",
  },
  async run({ operands, options }): Promise<Result> {
    if (options.merge) return mergedTable(operands, options);
    refuseUnsliced(operands, options);
    refuseLoneOut(options);
    const [file] = operands;
    const loaded = await load(file, options);
    const { design } = loaded;
    if (options.capture === undefined) refuseLone(options, ["case"]);
    const read = [
      ...[...readingsIn(design), ...(options.reading ?? [])].map((one) => readingIn(design, one)),
      ...readingsHeld(design),
      ...(options.capture === undefined ? [] : readingsFrom(design, heldFrom(options))),
    ];
    const wanted: SymptomsOptions = {
      parts: options.parts,
      cases: options.cases,
      most: options.most,
      simulate: simulateAsked(options),
    };
    if (options.slice) return { loaded, sliced: await slicedTable(loaded, wanted, read, options) };
    const kept = options.table ?? tableBeside(file);
    if (options.table !== undefined) tryFile(options.table);
    const table = await tableFor(loaded, wanted, read, { kept, workers: options.workers });
    const taken = takenReadings(table, read);
    return { loaded, ranked: { table, taken, read, told: diagnose(table, read) } };
  },
  text: ({ ranked, sliced, rows }) => {
    if (sliced) return slicedLine(sliced);
    if (!ranked) return `A table of ${rows} rows\n`;
    return `${diagnosisLines(ranked.table, ranked.taken, ranked.told).map(printable).join("\n")}\n`;
  },
  json: ({ ranked, sliced, rows }) =>
    ranked ? { title: ranked.table.title, readings: ranked.read, ...ranked.told } : (sliced ?? { rows }),
  status: ({ ranked, sliced, missing }) => {
    if (sliced ? sliced.made < sliced.asked : (missing ?? ranked!.table.missing) > 0) return status.stopped;
    return !ranked || ranked.told.explained ? status.good : status.fails;
  },
  designs: ({ loaded }) => [loaded],
});

/** The result: a ranking, a slice of the table, or merged slices. */
interface Result {
  readonly loaded: Loaded;
  readonly ranked?: {
    readonly table: SymptomTable;
    readonly read: readonly Reading[];
    readonly taken: ReturnType<typeof takenReadings>;
    readonly told: Diagnosis;
  };
  readonly sliced?: SliceDone;
  readonly rows?: number;
  readonly missing?: number;
}

/** Makes and keeps a slice of the table that these readings need. */
function slicedTable(
  loaded: Loaded,
  asked: SymptomsOptions,
  read: readonly Reading[],
  { slice, out, workers }: Pick<DiagnoseOptions, "slice" | "out" | "workers">,
): Promise<SliceDone> {
  tryFile(out!);
  const plain = new SymptomStudy(loaded.design, asked);
  const measures = lackingOf(plain, read).map((one) => one.what);
  const wanted = measures.length > 0 ? { ...asked, measures: [...new Set(measures)] } : asked;
  const study = measures.length > 0 ? new SymptomStudy(loaded.design, wanted) : plain;
  const working = { asked: { study: "symptoms", options: wanted } as const, workers, bar: new Bar("runs") };
  return sliceStudied(loaded, study, working, { slice: slice!, out: out! });
}

/** Merges slices into the table that `diagnose` uses from then on. */
async function mergedTable(files: readonly string[], options: DiagnoseOptions): Promise<Result> {
  refuseBesideMerge(options, ["table"]);
  const { table: kept } = options;
  if (kept === undefined)
    refuseOption("--merge", "it needs --table with the file to keep the table in", "e.g. line.symptoms.json");
  tryFile(kept);
  const { loaded, options: asked, into } = mergedSlices("symptoms", files);
  const table = into(new SymptomStudy(loaded.design, asked));
  if (table.missing === 0) await keepTable(kept, table);
  return { loaded, rows: table.rows.length, missing: table.missing };
}

/** The kept table, if it still fits the design and has all the readings; else a new one. */
async function tableFor(
  loaded: Loaded,
  asked: SymptomsOptions,
  read: readonly Reading[],
  { kept, workers }: { readonly kept: string | undefined; readonly workers: number | undefined },
): Promise<SymptomTable> {
  const { table: known, current } = (kept === undefined ? undefined : tableIn(kept)) ?? {};
  // A measure in the table of another text may make no sense in this one.
  const measures = (known?.measures ?? []).filter((phrase) => makesSense(loaded, phrase));
  let study = new SymptomStudy(loaded.design, { ...asked, measures });
  const same = current && known?.fingerprint === study.fingerprint && known.missing === 0;
  const lacking = lackingOf(study, read);
  if (same && lacking.length === 0) return known;
  if (known && !same)
    tell(`${printable(kept!)} is of another text, other options or another version: it is made anew`);
  const more: SymptomsOptions = {
    ...asked,
    measures: [...new Set([...(same ? measures : []), ...lacking.map((one) => one.what)])],
  };
  if (lacking.length > 0 || measures.length > 0) study = new SymptomStudy(loaded.design, more);
  const bar = new Bar("runs");
  const table = await studied(loaded, study, { asked: { study: "symptoms", options: more }, workers, bar });
  if (kept !== undefined && table.missing === 0) await keepTable(kept, table);
  return table;
}

function makesSense({ design }: Loaded, phrase: string): boolean {
  try {
    specOf(design, phrase);
    return true;
  } catch (error) {
    if (error instanceof DesignError) return false;
    throw error;
  }
}

/** Readings for which the table has no column yet. */
function lackingOf({ columns }: SymptomStudy, read: readonly Reading[]): Reading[] {
  return read.filter((one) => !hasColumn({ columns }, one));
}
