// The verb `sheet`: a page to take to the bench.
import { SymptomStudy } from "../../diagnosis/symptomstudy.js";
import type { SymptomTable } from "../../diagnosis/symptomtable.js";
import { benchPage } from "../../report/benchpage.js";
import { benchSheet } from "../../workshop/benchsheet.js";
import { Bar } from "../bar.js";
import { type KeptTable, tableBeside, tableIn } from "../kepttable.js";
import { type Loaded, load } from "../load.js";
import { path, whole } from "../option.js";
import { printable, tell, tryFile, writeFile, writerOf } from "../output.js";
import { EarlyEnd, status } from "../refusal.js";
import { otherValues, type SimulateAsked, simulateAsked, simulating } from "../sharedoptions.js";
import { sheetCsv, sheetLines } from "../sheettext.js";
import { designFile, verb } from "../verb.js";

export const sheetVerb = verb({
  word: "sheet",
  summary: "writes a page for the bench: what each test point shows",
  operand: designFile,
  options: {
    out: path("FILE", "write the page to this file, *.html"),
    csv: path("FILE", "write the figures to this file, *.csv, as well"),
    boards: whole("boards to draw within their tolerances, for the ranges (default: 24)", 0, 100_000),
    seed: whole("of their random numbers (default: 1)", 0, 2 ** 32 - 1),
    table: path(
      "FILE",
      "the table of single faults (default: the one that 'diagnose' keeps beside the design)",
    ),
    ...otherValues,
    ...simulating,
  },
  more:
    'Test points are named in the design, testpoint "line sync" at gate, and each place that a check looks at is one. They come in ' +
    "the order of the signal's way. What it means where one looks wrong comes from the table of single faults where there is " +
    "one that was made for the design as it is, else from the parts that feed the place.",
  example: "sheet line.ramp --out line-sheet.html --csv line-sheet.csv",
  statuses: {
    0: "the sheet is whole",
    2: "the design or an option is wrong",
    3: "a run stopped early (what there is is shown), or a file could not be written",
  },
  async run({ operands: [file], options }) {
    const { out, csv, boards, seed } = options;
    if (out !== undefined) writerOf(out, { ".html": benchPage });
    if (csv !== undefined) writerOf(csv, { ".csv": sheetCsv });
    const loaded = await load(file, options);
    for (const one of [out, csv]) if (one !== undefined) tryFile(one);
    const asked = simulateAsked(options);
    const fits = fitting(loaded, asked);
    const table = options.table === undefined ? beside(file, fits) : named(options.table, fits);
    const bar = new Bar("runs");
    const sheet = benchSheet(loaded.design, {
      boards,
      seed,
      table,
      simulate: asked,
      progress: (done, of) => bar.at(done, of),
    });
    bar.clear();
    const written: [string | undefined, () => string][] = [
      [out, () => benchPage(sheet)],
      [csv, () => sheetCsv(sheet)],
    ];
    for (const [name, text] of written) {
      if (name === undefined) continue;
      await writeFile(name, [text()]);
      tell(printable(name));
    }
    return { loaded, sheet };
  },
  text: ({ sheet }) => `${sheetLines(sheet).map(printable).join("\n")}\n`,
  json: ({ sheet }) => sheet,
  status: ({ sheet }) => (sheet.whole ? status.good : status.stopped),
  designs: ({ loaded }) => [loaded],
});

/** Whether a table fits the design, whatever else was measured. */
function fitting({ design }: Loaded, simulate: SimulateAsked): (kept: KeptTable) => boolean {
  return ({ table: { measures, fingerprint, missing }, current }) =>
    current && missing === 0 && new SymptomStudy(design, { measures, simulate }).fingerprint === fingerprint;
}

/** The table that was asked for; refuses one that does not fit. */
function named(file: string, fits: (kept: KeptTable) => boolean): SymptomTable {
  const kept = tableIn(file);
  if (!kept) throw new EarlyEnd(`there is no file ${printable(file)}`, status.wrong);
  if (fits(kept)) return kept.table;
  throw new EarlyEnd(
    `${printable(file)} was made for another design, for other values, or by another version`,
    status.wrong,
  );
}

/** The table beside the design, if there is one and it still fits. */
function beside(file: string, fits: (kept: KeptTable) => boolean): SymptomTable | undefined {
  const place = tableBeside(file);
  try {
    const kept = place === undefined ? undefined : tableIn(place);
    return kept && fits(kept) ? kept.table : undefined;
  } catch (error) {
    if (error instanceof EarlyEnd) return undefined;
    throw error;
  }
}
