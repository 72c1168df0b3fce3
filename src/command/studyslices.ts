// Slices of a study that is too large for one machine: slice k of n makes every n-th run and keeps its findings in a file,
// together with the design and all options, so that files from anywhere can be merged without either. A file is complete or
// absent; made again it is the same, so a lost slice is simply run again. A run found in two files is refused, not counted
// twice, and missing runs are reported.
import { refuseOption } from "../base/asked.js";
import { refusal } from "../base/diagnostic.js";
import { fingerprint } from "../base/digest.js";
import { compile } from "../compile.js";
import { remembered } from "../files/brought.js";
import { inputBytes } from "../files/filesread.js";
import { withValues } from "../judging/settable.js";
import { packageVersion } from "./command.js";
import { exactData, exactText } from "./exacttext.js";
import type { Loaded } from "./load.js";
import type { Option } from "./option.js";
import { flag } from "./option.js";
import { printable, tell, writeFile } from "./output.js";
import { EarlyEnd, reasonOf, status } from "./refusal.js";
import type { Study, StudyAsked, StudyOptions } from "./studies.js";

/** Slice `part`, from 1, of `of`. */
export interface SliceOf {
  readonly part: number;
  readonly of: number;
}

/** The most slices. */
const mostSlices = 1_000_000;

/** Which slice of the work. */
const sliceOption: Option<SliceOf | undefined> = {
  help: "do slice K of N alone, e.g. 3/8, and keep it with --out, to be merged with the others",
  value: "K/N",
  otherwise: undefined,
  read(text, name) {
    const [, part, of] = (/^\s*(\d+)\s*\/\s*(\d+)\s*$/.exec(text) ?? []).map(Number);
    if (!(part >= 1 && part <= of && of <= mostSlices))
      return refuseOption(name, "expected which slice of how many, from 1 on, as in 3/8");
    return { part, of };
  },
};

/** The options of a verb whose runs can be sliced. */
export const slicing = {
  slice: sliceOption,
  merge: flag("put slices together that --slice has written, in place of a design"),
};

/** The runs of a slice. Each slice is as varied as the whole, so all take about as long. */
export function runsOfSlice(runs: number, { part, of }: SliceOf): number[] {
  const ids: number[] = [];
  for (let id = part - 1; id < runs; id += of) ids.push(id);
  return ids;
}

interface SliceFile {
  /** The version of the package that made it; other versions may give other bits. */
  readonly version: string;
  readonly asked: StudyAsked;
  readonly source: Loaded["source"];
  readonly slice: SliceOf;
  /** Number of runs of the whole study. */
  readonly runs: number;
  /** Run numbers with their findings. */
  readonly found: readonly (readonly [number, unknown])[];
}

/** Writes the findings of a slice to a file. */
export async function keepSlice(file: string, slice: Omit<SliceFile, "version">): Promise<void> {
  const text = exactText({ version: packageVersion(), ...slice });
  await writeFile(file, [`{"sum":"${fingerprint(text)}","slice":`, text, "}\n"]);
  tell(printable(file));
}

/** Merged slices, not yet taken by a study. */
export interface Merged<S extends keyof StudyOptions> {
  readonly loaded: Loaded;
  readonly options: StudyOptions[S];
  /** Passes everything to the study with these options, run by run; tells which runs are missing. */
  into<T>(study: Study<T>): T;
}

/**
 * Reads slices of one sort of study and merges them.
 * @throws DesignError `no-slice`, `different-slices` or `overlapping-slices`; EarlyEnd if one cannot be read
 */
export function mergedSlices<S extends keyof StudyOptions>(sort: S, files: readonly string[]): Merged<S> {
  const slices = files.map((file) => ({ file, slice: readSlice(file) }));
  const [first, ...others] = slices;
  const { source, asked } = first.slice;
  if (asked.study !== sort)
    throw refusal(
      "no-slice",
      `${first.file} is a slice of another verb's work`,
      "merge it with the verb that made it",
    );
  for (const { file, slice } of others)
    if (identity(slice) !== identity(first.slice))
      throw refusal(
        "different-slices",
        `${first.file} and ${file} are slices of different work: another design, other options or another version`,
        "make all of them with the same command and --slice",
      );
  const found = new Map<number, { readonly file: string; readonly one: unknown }>();
  for (const { file, slice } of slices)
    for (const [id, one] of slice.found) {
      const before = found.get(id);
      if (before)
        throw refusal(
          "overlapping-slices",
          `run ${id} is in ${before.file} and in ${file}`,
          "leave one of them out",
        );
      found.set(id, { file, one });
    }
  const { text, name, values, brought } = source;
  const made = compile(text, { name, ...remembered(brought) });
  return {
    loaded: { design: values ? withValues(made, values) : made, source },
    options: asked.options as StudyOptions[S],
    into(study) {
      for (const id of [...found.keys()].sort((a, b) => a - b)) study.take(id, found.get(id)!.one as never);
      tellMissing(first.slice, found);
      return study.table();
    },
  };
}

/** What slices that belong together must have in common. */
function identity({ version, asked, source, runs }: SliceFile): string {
  return exactText({ version, asked, source: { ...source, name: "" }, runs });
}

function readSlice(file: string): SliceFile {
  let text: string;
  try {
    text = inputBytes(file).toString();
  } catch (error) {
    throw new EarlyEnd(`${printable(file)} cannot be read: ${reasonOf(error)}`, status.wrong);
  }
  const [, sum, whole] = /^\{"sum":"([0-9a-f]{16})","slice":(.*)\}\n$/s.exec(text) ?? [];
  if (whole === undefined || fingerprint(whole) !== sum)
    throw refusal(
      "no-slice",
      `${file} is no slice, or is damaged`,
      "slices are what --slice and --out write; make it again",
    );
  return exactData(whole) as SliceFile;
}

function tellMissing({ runs, slice: { of } }: SliceFile, found: ReadonlyMap<number, unknown>): void {
  const missing = Array.from({ length: runs }, (_, id) => id).filter((id) => !found.has(id));
  if (missing.length === 0) return;
  const parts = [...new Set(missing.map((id) => (id % of) + 1))];
  const some =
    parts.length > 8 ? `${parts.slice(0, 8).join(", ")} and ${parts.length - 8} more` : parts.join(", ");
  tell(`rampwright: ${missing.length} of ${runs} runs are missing: run again of ${of} slices ${some}`);
}

/** Refuses options that make no sense in merging, which runs nothing. */
export function refuseBesideMerge(
  options: Readonly<Record<string, unknown>>,
  allowed: readonly string[],
): void {
  for (const [name, value] of Object.entries(options))
    if (
      value !== undefined &&
      value !== false &&
      name !== "merge" &&
      name !== "json" &&
      !allowed.includes(name)
    )
      refuseOption(
        `--${name}`,
        `slices are put together as they are: with --merge there is ${allowed.map((one) => `--${one}`).join(" and ") || "nothing else"}`,
      );
}

/** Refuses several designs, and a slice that is not kept. */
export function refuseUnsliced(
  operands: readonly string[],
  { slice, out }: { readonly slice: SliceOf | undefined; readonly out: string | undefined },
): void {
  if (operands.length > 1)
    refuseOption(`'${operands[1]}'`, "one design at a time; slices are put together with --merge");
  if (slice && out === undefined) refuseOption("--slice", "it needs --out with the file to keep it in");
}

/** Refuses a slice file if there is no slice. */
export function refuseLoneOut({
  slice,
  out,
}: {
  readonly slice: SliceOf | undefined;
  readonly out: string | undefined;
}): void {
  if (out !== undefined && !slice)
    refuseOption(
      "--out",
      "it keeps a slice, and no --slice is asked for",
      "with --json, or as it is printed, all of it can be had",
    );
}

/** How much of its share a slice has done. */
export interface SliceDone {
  readonly title: string;
  readonly slice: SliceOf;
  /** Runs of the whole study. */
  readonly runs: number;
  /** Runs of the slice, and how many of them were made. */
  readonly asked: number;
  readonly made: number;
}

/** The same as a line. */
export function slicedLine({ slice: { part, of }, runs, asked, made }: SliceDone): string {
  return `Slice ${part} of ${of}: ${made} of its ${asked} runs made, of ${runs} in all\n`;
}
