// The verb `run`: the waveforms of one run.
import { zipSync } from "fflate";
import { exactly, refuseOption } from "../../base/asked.js";
import { dimension } from "../../base/dimension.js";
import { toNumber } from "../../base/fraction.js";
import { engineering } from "../../base/quantity.js";
import type { Design } from "../../design/design.js";
import type { Run } from "../../reading/result.js";
import { tracePicture } from "../../report/svg.js";
import { simulate } from "../../simulation/simulate.js";
import { csvLines, toJson } from "../../waveforms/csvjson.js";
import { npyColumns, toNpy } from "../../waveforms/npy.js";
import { toSound } from "../../waveforms/soundbytes.js";
import { Trace } from "../../waveforms/trace.js";
import { valueChanges } from "../../waveforms/valuechange.js";
import { bitmap } from "../bitmap.js";
import { load } from "../load.js";
import { tellDoubts } from "../onerun.js";
import { names, needed, path, quantityText } from "../option.js";
import { printable, tell, toldPath, tryFile, writeFile, writerOf } from "../output.js";
import { status } from "../refusal.js";
import { demandBitmap, inDark, oneCase, otherValues, simulateAsked, simulating } from "../sharedoptions.js";
import { designFile, verb } from "../verb.js";

type Pieces = Iterable<string | Uint8Array>;
type Writer = (run: Run, traces: readonly Trace[], rate: number, dark: boolean) => Pieces | Promise<Pieces>;

/** Sampling rate of a sound file, Hz: that of luminance in digital television (ITU-R BT.601-7, 13.5 MHz). */
const usualRate = 13_500_000;

const writers = {
  ".csv": (_, traces) => csvLines(traces),
  ".json": (run, traces) => [
    `${toJson(traces, {
      title: run.design.title,
      case: run.design.caseName,
      status: run.status,
      reached: run.reached,
      ...(run.status === "stopped" && { reason: run.reason, code: run.code }),
    })}\n`,
  ],
  ".npy": (_, traces) => [toNpy(traces)],
  ".npz": (_, traces) => {
    const files = [...npyColumns(traces)].map(([name, bytes]): [string, Uint8Array] => [
      `${name}.npy`,
      bytes,
    ]);
    // The earliest date that an archive can hold, so that the same run gives the same bytes.
    return [zipSync(Object.fromEntries(files), { mtime: new Date(1980, 0, 1), level: 6 })];
  },
  ".vcd": (_, traces) => valueChanges(traces),
  ".wav": (_, traces, rate) => [toSound(traces, rate)],
  ".svg": (run, traces) => [pictureOf(run, traces)],
  ".png": async (run, traces, _, dark) => [await bitmap(pictureOf(run, traces), dark)],
} satisfies Record<string, Writer>;

/** Files of rows or samples that can be evenly spaced. */
const spaced = /(^-|\.(csv|json|npy|npz|wav))$/;

function pictureOf(run: Run, traces: readonly Trace[]): string {
  const { title, caseName } = run.design;
  const panels = traces.map((t) => ({ title: t.name, traces: [t] }));
  return tracePicture(panels, { title: caseName === "" ? title : `${title}: ${caseName}` });
}

export const runVerb = verb({
  word: "run",
  summary: "writes the waveforms of a run",
  operand: designFile,
  options: {
    out: needed(
      path(
        "FILE",
        "file to write: .csv, .json, .npy, .npz, .vcd, .wav, .svg or .png; - is standard output, as .csv",
      ),
    ),
    ...oneCase,
    traces: names("places, or parts with .current, .voltage, .power (default: all places that have a name)"),
    from: quantityText(dimension.time, "TIME", "start of what is written (default: that of the run)"),
    to: quantityText(dimension.time, "TIME", "its end (default: that of the run)"),
    rate: quantityText(
      dimension.frequency,
      "FREQUENCY",
      "rows a second of a table (default: as many as straight lines between them need to be true to 1e-4 of a trace's swing), samples of a .wav, in volts (default: 13.5 MHz)",
    ),
    ...inDark,
    ...otherValues,
    ...simulating,
  },
  example: "run line.ramp --until 1ms --out line.csv",
  statuses: {
    0: "written",
    2: "the design or an option is wrong",
    3: "the run stopped early or nothing was written",
  },
  async run({ operands: [file], options }) {
    const { out, case: caseName, traces, from, to, dark } = options;
    demandBitmap(dark, out);
    const write = writerOf<Writer>(out, writers);
    const rate = rateOf(options.rate, out);
    const loaded = await load(file, options);
    const { design } = loaded;
    tryFile(out);
    const run = simulate(design, { ...simulateAsked(options), case: caseName });
    tellDoubts(run);
    const shown = part(run, traces ?? named(design), from, to);
    await writeFile(out, await atRate(() => write(run, even(shown, rate, out), rate ?? usualRate, dark)));
    tell(`${toldPath(out)}: ${shown.map((t) => printable(t.name)).join(", ")}`);
    return { loaded, run };
  },
  text: () => "",
  status: ({ run }) => (run.status === "complete" ? status.good : status.stopped),
  designs: ({ loaded }) => [loaded],
});

/** The rate that is asked for, Hz; undefined if none is. */
function rateOf(given: string | undefined, out: string): number | undefined {
  if (given === undefined) return undefined;
  if (!spaced.test(out)) refuseOption("--rate", "it goes with a .csv, .json, .npy, .npz or .wav");
  const rate = toNumber(exactly(given, dimension.frequency, "--rate"));
  return rate > 0 ? rate : refuseOption("--rate", `${given} is no rate`);
}

/** Does what can take too many samples, or a rate that a file cannot have. */
async function atRate<T>(work: () => T | Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return refuseOption("--rate", error.message, "shorten the run, write fewer traces, or take another rate");
  }
}

/** Traces with evenly spaced samples alone, for a table at a rate (Hz); a sound file takes its own. */
function even(traces: readonly Trace[], rate: number | undefined, out: string): readonly Trace[] {
  if (rate === undefined || out.endsWith(".wav")) return traces;
  return traces.map((trace) => {
    const { name, unit, from } = trace;
    const value = trace.resample(1 / rate);
    return new Trace({ name, unit, time: value.map((_, k) => from + k / rate), value });
  });
}

/** Every place that the design itself names, excluding those inside blocks. */
function named({ places }: Design): string[] {
  const own = places.slice(1).filter((place) => !place.includes("."));
  return own.length > 0 ? own : places.slice(1);
}

/** Traces between two instants, either of which may be left open, with a sample at both. */
function part(run: Run, names: readonly string[], from?: string, to?: string): Trace[] {
  if (from === undefined && to === undefined) return names.map((name) => run.trace(name));
  const instant = (given: string | undefined, word: string, otherwise: number): number => {
    if (given === undefined) return otherwise;
    const t = toNumber(exactly(given, dimension.time, word));
    if (t >= 0 && t <= run.reached) return t;
    return refuseOption(
      word,
      `${given} lies outside the run, which goes from 0 s to ${engineering(run.reached, "s")}`,
    );
  };
  const [first, last] = [instant(from, "from", 0), instant(to, "to", run.reached)];
  if (!(first < last)) refuseOption("from", "the time to write is empty");
  return run
    .stretch(names, first, last)
    .map((trace) => trace.between(Math.max(first, trace.from), Math.min(last, trace.to)));
}
