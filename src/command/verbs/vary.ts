// The verb `vary`: what checks measure while one value goes along a range.
import { refuseOption } from "../../base/asked.js";
import { engineering } from "../../base/quantity.js";
import { seriesNames } from "../../base/series.js";
import { overlayPicture } from "../../report/overlay.js";
import { variationPicture } from "../../report/variedplot.js";
import { measuredText } from "../../report/verdicts.js";
import { type Variation, vary } from "../../variation/variation.js";
import { csvCell } from "../../waveforms/csvjson.js";
import { watched } from "../bar.js";
import { load } from "../load.js";
import { anyText, choice, names, needed, path, whole } from "../option.js";
import { jsonText, printable, tell, tryFile, writeFile, writerOf } from "../output.js";
import { asTyped, status } from "../refusal.js";
import { oneCase, otherValues, simulateAsked, simulating } from "../sharedoptions.js";
import { columns } from "../table.js";
import { designFile, verb } from "../verb.js";

const writers = {
  ".csv": csv,
  ".json": (v: Variation) => jsonText(plainData(v)),
  ".svg": (v: Variation) => (v.traces.length > 0 ? overlayPicture(v) : variationPicture(v)),
};

export const varyVerb = verb({
  word: "vary",
  summary: "shows what the checks measure while one value goes along a range",
  operand: designFile,
  options: {
    value: needed(anyText("NAME", "a named value, a part, or a part's property, e.g. line.feed.output")),
    from: needed(anyText("VALUE", "start of the range, e.g. 1nF")),
    to: needed(anyText("VALUE", "end of the range")),
    points: whole("how many points (default: 21)"),
    spacing: choice(
      "HOW",
      ["linear", "log", ...seriesNames],
      "how the points are spaced (default: what suits the range)",
    ),
    ...oneCase,
    checks: names("checks to measure (default: those of the case)"),
    traces: names("traces to keep of every run: with .svg they are drawn over each other"),
    out: path("FILE", "file to write: .csv, .json or .svg; - is standard output, as .csv"),
    ...otherValues,
    ...simulating,
  },
  example: "vary line.ramp --value timing --from 10nF --to 22nF --out varied.svg",
  statuses: {
    0: "good",
    2: "the design or an option is wrong",
    3: "a run stopped early (what there is is shown) or nothing was written",
  },
  async run({ operands: [file], options, json }) {
    const { value, from, to, points, spacing, case: caseName, checks, traces, out } = options;
    const write = out === undefined ? undefined : writerOf(out, writers);
    if (traces && !json && (write === undefined || write === csv))
      refuseOption("--traces", "they need --json, or --out with a name in .svg or .json");
    const loaded = await load(file, options);
    const { design } = loaded;
    if (out !== undefined) tryFile(out);
    const v = watched("points", (bar) =>
      vary(design, {
        progress: (done, of) => bar.at(done, of),
        value,
        from,
        to,
        points,
        spacing,
        case: caseName,
        checks,
        traces,
        simulate: simulateAsked(options),
      }),
    );
    if (write === writers[".svg"] && v.checks.length === 0 && v.traces.length === 0)
      refuseOption("--out", "there is nothing to draw: the case has no checks");
    if (write) {
      await writeFile(out!, [write(v)]);
      tell(printable(out!));
    }
    for (const { point, reason } of v.stopped) {
      const at = engineering(v.points[point], v.value.unit);
      tell(
        `rampwright: ${printable(v.value.name)} ${at}: the run stopped early: ${printable(asTyped(reason))}`,
      );
    }
    return { loaded, v };
  },
  text: ({ v }, { options }) => (options.out === undefined ? `${table(v).map(printable).join("\n")}\n` : ""),
  json: ({ v }) => plainData(v),
  status: ({ v }) => (v.stopped.length > 0 ? status.stopped : status.good),
  designs: ({ loaded }) => [loaded],
});

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

// RFC 4180, numbers in the shortest form that reads back; what has no value is NaN.
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
