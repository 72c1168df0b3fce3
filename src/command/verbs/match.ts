// The verb `match`: lays captures over runs of the design, and fits values to them.
import { exactly, refuseOption } from "../../base/asked.js";
import { dimension } from "../../base/dimension.js";
import { toNumber } from "../../base/fraction.js";
import { readQuantity, si } from "../../base/quantity.js";
import { heldIn, type Match, match } from "../../captures/beside.js";
import type { FitValue } from "../../captures/fit.js";
import type { FitCapture } from "../../captures/fitruns.js";
import type { LaidOver } from "../../captures/layover.js";
import type { Design } from "../../design/design.js";
import type { Alignment } from "../../instruments/held.js";
import { asNamed } from "../bitmap.js";
import { captureOptions, heldFrom, refuseLone } from "../captureoptions.js";
import { load } from "../load.js";
import { matchLines } from "../matchtext.js";
import { anyText, flag, type OptionValues, path, quantityText } from "../option.js";
import { printable, tell, toldPath, tryFile, writeFile, writerOf } from "../output.js";
import { status } from "../refusal.js";
import { demandBitmap, inDark, oneCase, otherValues, simulateAsked, simulating } from "../sharedoptions.js";
import { designFile, verb } from "../verb.js";

const options = {
  ...captureOptions,
  capture: path("FILE", "a capture, .csv or .wav (default: those that the design holds against its traces)"),
  delay: quantityText(dimension.time, "TIME", "what is added to its times (default: by correlation)"),
  edge: anyText(
    "EDGE",
    "align it by its first crossing of a level, '2.5 V rising', or by '2.5 V rising of gate in channel 2'",
  ),
  uncalibrated: flag("find gain and offset of the instrument as well, and take them out"),
  ...oneCase,
  fit: anyText("VALUES", "fit these values, e.g. 'timing, reset.on from 1 ohm to 100 ohm'"),
  ...inDark,
  out: path("FILE", "draw each capture over its prediction there, the residual below, .svg or .png"),
  ...otherValues,
  ...simulating,
};

export const matchVerb = verb({
  word: "match",
  summary: "lays captures of an instrument over the design's runs, and fits values to them",
  operand: designFile,
  options,
  more:
    "Without --capture the captures are those that the design names: 'capture \"ramp.csv\" of ramp, channel 1, attenuated 10'. " +
    "Every check on a captured trace is measured of the capture, too, and of it alone where the design says 'in capture'.",
  example: "match line.ramp --capture captures/timing.csv --of ramp --fit timing",
  statuses: {
    0: "every check that the captures tell holds in them",
    1: "one does not",
    2: "the design, a capture or an option is wrong",
    3: "a run stopped early, or nothing was written",
  },
  async run({ operands: [file], options: given }) {
    const { out, fit, dark } = given;
    demandBitmap(dark, out);
    if (out !== undefined) writerOf(out, { ".svg": match, ".png": match });
    const values = fit === undefined ? undefined : valuesIn(fit);
    const loaded = await load(file, given);
    if (out !== undefined) tryFile(out);
    const captures = given.capture === undefined ? heldAsked(loaded.design, given) : [captureAsked(given)];
    const { until, limits } = simulateAsked(given);
    const found = match(loaded.design, { captures, fit: values, simulate: { until, limits } });
    if (out !== undefined && found.captures.length > 0) {
      const { matchPicture } = await import("../../report/matchpicture.js");
      const drawn = matchPicture(loaded.design.title, found.captures, found.fitted);
      await writeFile(out, [await asNamed(out, drawn, dark)]);
      tell(`${toldPath(out)}: ${found.captures.length} laid over`);
    }
    return { found, loaded };
  },
  text: ({ found, loaded }) => `${matchLines(loaded.design.title, found).map(printable).join("\n")}\n`,
  json: ({ found }) => figuresOf(found),
  status: ({ found }) => {
    if (found.stopped.length > 0) return status.stopped;
    return found.pass ? status.good : status.fails;
  },
  designs: ({ loaded }) => [loaded],
});

type Given = OptionValues<typeof options>;

/** The captures in the design; refuses options about a capture named on the command line, as there is none. */
function heldAsked(design: Design, given: Given): FitCapture[] {
  refuseLone(given, ["delay", "edge"]);
  if (given.uncalibrated) refuseOption("--uncalibrated", "it is said of a capture", "give '--capture FILE'");
  const held = heldIn(design);
  if (given.case === undefined) return held;
  const own = held.filter((one) => one.case === given.case);
  if (own.length === 0) refuseOption("--case", `the design holds no capture against case "${given.case}"`);
  return own;
}

function captureAsked(given: Given): FitCapture {
  const { uncalibrated } = given;
  return { ...heldFrom(given), align: alignmentAsked(given), uncalibrated };
}

function alignmentAsked({ delay, edge }: Given): Alignment | undefined {
  if (delay !== undefined && edge !== undefined)
    refuseOption("--edge", "a capture is aligned by an edge or by a delay, not by both");
  if (delay !== undefined) return { delay: toNumber(exactly(delay, dimension.time, "--delay")) };
  if (edge === undefined) return undefined;
  const form = /^(.*\S)\s+(rising|falling)(?:\s+of\s+(\S+)\s+in\s+channel\s+(\S.*))?$/;
  const [, level, direction, trigger, channel] = form.exec(edge.trim()) ?? [];
  const read = level === undefined ? undefined : readQuantity(level);
  if (!read?.ok) return refuseOption("--edge", "a level and 'rising' or 'falling': '2.5 V rising'");
  const seen = channel !== undefined && /^\d+$/.test(channel) ? Number(channel) : channel;
  return { level: si(read.value), direction: direction as "rising" | "falling", trigger, seen };
}

/** `timing, reset.on from 1 ohm to 100 ohm`. */
function valuesIn(text: string): (string | FitValue)[] {
  return text.split(",").map((one) => {
    const [, name, from, to] = /^\s*(\S+)(?:\s+from\s+(.*\S)\s+to\s+(.*\S))?\s*$/.exec(one) ?? [];
    if (name === undefined)
      return refuseOption(
        "--fit",
        `'${one.trim()}' is no name of a value`,
        "a range stands behind it: 'timing from 5 nF to 50 nF'",
      );
    return from === undefined ? name : { name, from, to };
  });
}

/** The result without the samples, which are in the files. */
function figuresOf({ captures, fitted, fit, ...rest }: Match): object {
  const figures = ({ time, captured: _, simulated: __, residual: ___, ...own }: LaidOver) => ({
    ...own,
    samples: time.length,
    from: time[0],
    to: time[time.length - 1],
  });
  const { misses: _, ...estimate } = fit ?? { misses: [] };
  return {
    captures: captures.map(figures),
    ...(fit && { fit: estimate, fitted: fitted?.map(figures) }),
    ...rest,
  };
}
