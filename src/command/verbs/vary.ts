// The verb `vary`: what checks measure as one value goes along a range.
import { refuseOption } from "../../base/asked.js";
import { engineering } from "../../base/quantity.js";
import { seriesNames } from "../../base/series.js";
import { overlayPicture } from "../../report/overlay.js";
import { variationPicture } from "../../report/variedplot.js";
import { measuredText } from "../../report/verdicts.js";
import { type Variation, type VaryOptions, VaryStudy } from "../../variation/variation.js";
import { csvCell } from "../../waveforms/csvjson.js";
import { Bar } from "../bar.js";
import { bitmap } from "../bitmap.js";
import { type Loaded, load } from "../load.js";
import { anyText, choice, names, type OptionValues, path, whole } from "../option.js";
import { jsonText, printable, tell, tryFile, writeFile, writerOf } from "../output.js";
import { asTyped, status } from "../refusal.js";
import {
  demandBitmap,
  inDark,
  oneCase,
  otherValues,
  simulateAsked,
  simulating,
  workers,
} from "../sharedoptions.js";
import { sliceStudied, studied } from "../studied.js";
import {
  mergedSlices,
  refuseBesideMerge,
  refuseUnsliced,
  type SliceDone,
  slicedLine,
  slicing,
} from "../studyslices.js";
import { columns } from "../table.js";
import { designFile, verb } from "../verb.js";

const writers = {
  ".csv": csv,
  ".json": (v: Variation) => jsonText(plainData(v)),
  ".svg": pictureOf,
  ".png": async (v: Variation, dark: boolean) => bitmap(pictureOf(v), dark),
} satisfies Record<string, Writer>;

function pictureOf(v: Variation): string {
  return v.traces.length > 0 ? overlayPicture(v) : variationPicture(v);
}

const varyOptions = {
  value: anyText("NAME", "what varies: a named value, a part, or a part's property, e.g. line.feed.output"),
  from: anyText("VALUE", "start of the range, e.g. 1nF"),
  to: anyText("VALUE", "end of the range"),
  values: anyText("VALUES", "the values themselves, in place of a range, e.g. '10nF, 15nF, 22nF'"),
  points: whole("how many points (default: 21)"),
  spacing: choice(
    "HOW",
    ["linear", "log", ...seriesNames],
    "how the points are spaced (default: what suits the range)",
  ),
  ...oneCase,
  checks: names("checks to measure (default: those of the case)"),
  traces: names("traces to keep of every run: with .svg or .png they are drawn over each other"),
  out: path("FILE", "file to write: .csv, .json, .svg or .png; - is standard output, as .csv"),
  ...inDark,
  ...workers,
  ...slicing,
  ...otherValues,
  ...simulating,
};

export const varyVerb = verb({
  word: "vary",
  summary: "shows what the checks measure while one value goes along a range",
  operand: { ...designFile, many: true },
  options: varyOptions,
  example: "vary line.ramp --value timing --from 10nF --to 22nF --out varied.svg",
  statuses: {
    0: "good",
    2: "the design or an option is wrong",
    3: "a run stopped early (what there is is shown) or nothing was written",
  },
  async run({ operands, options, json }): Promise<Result> {
    const { traces, out, slice, workers } = options;
    if (options.merge) {
      refuseBesideMerge(options, ["out", "dark"]);
      const write = writing(options);
      const { loaded, options: asked, into } = mergedSlices("vary", operands);
      return finished(loaded, into(new VaryStudy(loaded.design, asked)), write);
    }
    refuseUnsliced(operands, options);
    const write = slice ? undefined : writing(options);
    if (traces && slice) refuseOption("--traces", "a slice keeps what checks measure, not whole traces");
    if (traces && !json && (write === undefined || write.by === csv))
      refuseOption("--traces", "they need --json, or --out with a name in .svg, .png or .json");
    const asked = askedOf(options);
    const loaded = await load(operands[0], options);
    if (out !== undefined) tryFile(out);
    const study = new VaryStudy(loaded.design, asked);
    const working = { asked: { study: "vary", options: asked } as const, workers, bar: new Bar("points") };
    if (slice) return { loaded, sliced: await sliceStudied(loaded, study, working, { slice, out: out! }) };
    return finished(loaded, await studied(loaded, study, working), write);
  },
  text: ({ v, sliced }, { options }) =>
    sliced ? slicedLine(sliced) : options.out === undefined ? `${table(v!).map(printable).join("\n")}\n` : "",
  json: ({ v, sliced }) => sliced ?? plainData(v!),
  status: ({ v, sliced }) => {
    const whole = sliced ? sliced.made === sliced.asked : v!.stopped.length === 0 && v!.missing === 0;
    return whole ? status.good : status.stopped;
  },
  designs: ({ loaded }) => [loaded],
});

/** The result: a variation, or a slice of one. */
interface Result {
  readonly loaded: Loaded;
  readonly v?: Variation;
  readonly sliced?: SliceDone;
}

type Writer = (v: Variation, dark: boolean) => string | Promise<string | Uint8Array>;

/** Where the variation is written, and how. */
interface Writing {
  readonly out: string;
  readonly by: Writer;
  readonly dark: boolean;
}

function writing({ out, dark }: Pick<OptionValues<typeof varyOptions>, "out" | "dark">): Writing | undefined {
  demandBitmap(dark, out);
  if (out === undefined) return undefined;
  return { out, dark, by: writerOf<Writer>(out, writers) };
}

/** The options of the study. @throws DesignError `bad-option` if they do not say what varies, and how far */
function askedOf(options: OptionValues<typeof varyOptions>): VaryOptions {
  const { value, from, to, values, points, spacing, case: caseName, checks, traces } = options;
  if (value === undefined) refuseOption("--value", "vary needs it, with NAME");
  if (values === undefined && (from === undefined || to === undefined))
    refuseOption(
      from === undefined ? "--from" : "--to",
      "vary needs it, with VALUE",
      "or --values, one by one",
    );
  return {
    value,
    from,
    to,
    values: values?.split(",").map((one) => one.trim()),
    points,
    spacing,
    case: caseName,
    checks,
    traces,
    simulate: simulateAsked(options),
  };
}

/** Writes it, and tells which runs stopped early. */
async function finished(loaded: Loaded, v: Variation, writing: Writing | undefined): Promise<Result> {
  const draws = writing?.by === writers[".svg"] || writing?.by === writers[".png"];
  if (draws && v.checks.length === 0 && v.traces.length === 0)
    refuseOption("--out", "there is nothing to draw: the case has no checks");
  if (draws && v.traces.length === 0 && v.points.length < 2)
    refuseOption("--out", "there is nothing to draw: fewer than two points");
  if (writing) {
    await writeFile(writing.out, [await writing.by(v, writing.dark)]);
    tell(printable(writing.out));
  }
  for (const { point, reason } of v.stopped) {
    const at = engineering(v.points[point], v.value.unit);
    tell(
      `rampwright: ${printable(v.value.name)} ${at}: the run stopped early: ${printable(asTyped(reason))}`,
    );
  }
  return { loaded, v };
}

function table(v: Variation): string[] {
  const title = v.case === "" ? v.title : `${v.title}: ${v.case}`;
  const rows = [
    [v.value.name, ...v.checks.flatMap((c) => [c.name, ""])],
    ...v.points.map((p, i) => [
      engineering(p, v.value.unit, 6),
      ...v.checks.flatMap((c) => [measuredText(c, c.measured[i]), c.pass[i] ? "pass" : "FAIL"]),
    ]),
  ];
  const right = new Set(rows[0].map((_, c) => c).filter((c) => c === 0 || c % 2 === 1));
  return [title, "", ...columns(rows, right).map((text) => `  ${text}`)];
}

// RFC 4180, numbers in the shortest form that reads back exactly; a missing value is NaN.
function csv(v: Variation): string {
  const unit = (text: string) => (text === "" ? "" : ` (${text})`);
  const heads = [
    v.value.name + unit(v.value.unit),
    ...v.checks.map((c) => c.name + (c.case === "" || c.case === v.case ? "" : `, ${c.case}`) + unit(c.unit)),
  ];
  const rows = v.points.map((p, i) => [p, ...v.checks.map((c) => c.measured[i])].join(","));
  return [heads.map(csvCell).join(","), ...rows, ""].join("\r\n");
}

function plainData(v: Variation): object {
  const traces = v.traces.map(({ name, unit, runs }) => ({
    name,
    unit,
    runs: runs.map((t) => t && { time: [...t.time], value: [...t.value] }).map((t) => t ?? null),
  }));
  return { ...v, traces };
}
