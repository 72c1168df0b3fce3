// Captures that the text names: handed in by the caller, since the core reads no files, and read once for the design and all of
// its cases. A mistake in a file is reported where the text names it, with the row and the column in the file.
import { DesignError, type Report } from "../base/diagnostic.js";
import { dimension } from "../base/dimension.js";
import { type Fraction, toNumber } from "../base/fraction.js";
import { decimal } from "../base/spacing.js";
import { type Capture, channelOf, samplesOf } from "../instruments/capture.js";
import { type CaptureContent, readCapture } from "../instruments/readcapture.js";
import { exactInstants, straightCorners } from "../instruments/stretches.js";
import { pathWave, ShapeError, type Wave } from "../signals/wave.js";
import type { Word } from "../syntax/tree.js";
import type { Unusable } from "./videowave.js";
import type { WaveWords } from "./words.js";

/**
 * Gives the content of an instrument's file by its path, or a capture that is read already; or why it is of no use; or undefined
 * if there is none.
 * @param interval time between two samples (s), if the text gives one; for callers that read the capture themselves
 */
export type Captures = (path: string, interval?: number) => CaptureContent | Capture | Unusable | undefined;

/** The properties of every capture. */
export const captureWords: WaveWords = {
  channel: {
    takes: "channel",
    summary: "its channel, by number from 1 or by name; not needed where it has one",
  },
  attenuated: {
    takes: dimension.number,
    range: "positive",
    summary: "by how much the probe makes it smaller, 1 unless given",
  },
  interval: {
    takes: dimension.time,
    range: "positive",
    summary: "time between two samples, where the file has none",
  },
  delay: { takes: dimension.time, range: "any", summary: "what is added to its times" },
};

/** How to use a capture that drives a source. */
interface Drive {
  readonly channel?: number | string;
  /** SI unit of the source that it drives. */
  readonly unit: string;
  readonly factor: Fraction;
  readonly delay: Fraction;
  readonly period?: Fraction;
}

/** The most corners that a capture may drive with. */
const mostCorners = 300_000;

export class CaptureFiles {
  private readonly known = new Map<string, Capture | DesignError | Unusable | undefined>();
  private readonly waves = new Map<string, Wave>();

  constructor(private readonly captures?: Captures) {}

  /** The capture that a text names; undefined if something is wrong with it. @param interval s, if the text gives one */
  read(path: Word, interval: Fraction | undefined, report: Report): Capture | undefined {
    const found = this.found(path.text, interval);
    if (found instanceof DesignError) {
      for (const { code, message, hint } of found.diagnostics)
        report.error(code, message, path.span, { hint });
      return undefined;
    }
    if (found && "time" in found) {
      for (const words of found.warnings ?? []) report.warn("doubtful-capture", words, path.span);
      return found;
    }
    if (found)
      report.error(
        "unusable-capture",
        `the capture "${path.text}" cannot be read: ${found.reason}`,
        path.span,
        { hint: "save it anew, or name another" },
      );
    else
      report.error("unknown-capture", `there is no capture "${path.text}"`, path.span, {
        hint: this.captures
          ? "the path counts from the folder of the design and stays inside it"
          : "who compiles the design hands its captures in: { captures: (path) => content }",
      });
    return undefined;
  }

  /** The wave of a channel. @throws ShapeError if it makes no wave, DesignError if there is no such channel */
  wave(capture: Capture, { channel, unit, factor, delay, period }: Drive): Wave {
    const own = channelOf(capture, channel);
    const key = JSON.stringify([capture.name, own.name, channel, factor, delay, period].map(String));
    const made = this.waves.get(key);
    if (made) return made;
    if (own.unit !== "" && own.unit !== unit)
      throw new ShapeError(
        "capture-unit",
        `channel ${own.name} of ${capture.name} is in ${own.unit}, and what it drives in ${unit}`,
      );
    const { time, value } = samplesOf(capture, own);
    if (time.length < 2)
      throw new ShapeError("no-points", `channel ${own.name} of ${capture.name} has next to no samples`);
    // The samples are known to half a step of the instrument's scale.
    const corners = straightCorners(time, value, own.resolution / 2);
    if (corners.length > mostCorners)
      throw new ShapeError(
        "too-many-corners",
        `${capture.name} would have ${corners.length} corners, more than ${mostCorners}`,
        "take a shorter stretch, or a coarser scale",
      );
    const points = exactInstants(time, corners).map((instant, k) => ({
      time: instant.add(delay),
      value: decimal(value[corners[k]]).mul(factor),
    }));
    const wave = pathWave({ points, period });
    this.waves.set(key, wave);
    return wave;
  }

  private found(path: string, interval: Fraction | undefined) {
    const key = `${path}\n${interval ?? ""}`;
    if (!this.known.has(key)) this.known.set(key, this.attempted(path, interval));
    return this.known.get(key);
  }

  private attempted(
    path: string,
    interval: Fraction | undefined,
  ): Capture | DesignError | Unusable | undefined {
    try {
      const content = this.captures?.(path, interval && toNumber(interval));
      if (content === undefined) return undefined;
      if (typeof content === "object" && ("reason" in content || "channels" in content)) return content;
      return readCapture(content, { name: path, interval });
    } catch (error) {
      if (error instanceof DesignError) return error;
      throw error;
    }
  }
}
