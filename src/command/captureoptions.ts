// A capture as named on the command line, for the verbs that take one: the file, and what is said about it.
import { exactly, refuseOption } from "../base/asked.js";
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { FitCapture } from "../captures/fitruns.js";
import { captureIn } from "../files/capturefile.js";
import { anyText, type OptionValues, path, quantityText } from "./option.js";
import { printable, tell } from "./output.js";
import { EarlyEnd, reasonOf, status } from "./refusal.js";

/** The file, what it shows and how it was captured. */
export const captureOptions = {
  capture: path("FILE", "a capture, .csv or .wav"),
  of: anyText("NAME", "what it shows: a place, or a part with `.current`"),
  channel: anyText("N", "its channel, by number from 1 or by name"),
  attenuated: anyText("N", "by how much the probe makes it smaller: 10 of a probe 10:1"),
  interval: quantityText(dimension.time, "TIME", "time between two samples, where the file has none"),
  unit: anyText("UNIT", "unit of the samples, where the file has none"),
};

type Given = OptionValues<typeof captureOptions> & { readonly case: string | undefined };

/** Refuses options about a capture if no file is given. @param more names of further such options */
export function refuseLone<T extends string>(
  given: Given & Readonly<Record<T, unknown>>,
  more: readonly T[],
): void {
  for (const name of ["of", "channel", "attenuated", "interval", "unit", ...more] as const)
    if (given[name] !== undefined)
      refuseOption(`--${name}`, "it is said of a capture", "give '--capture FILE'");
}

/** The capture that was named. @throws EarlyEnd for a file that cannot be read, DesignError for mistakes in it */
export function heldFrom(given: Given): FitCapture {
  const { capture: file = "", of, interval, unit, attenuated, channel } = given;
  if (of === undefined)
    return refuseOption(
      "--of",
      "what the capture shows is not said",
      "give the name of a place: '--of ramp'",
    );
  try {
    const capture = captureIn(file, { name: printable(file), interval, unit });
    for (const warning of capture.warnings ?? []) tell(`rampwright: ${warning}`);
    return {
      capture,
      of,
      case: given.case,
      channel: channel !== undefined && /^\d+$/.test(channel) ? Number(channel) : channel,
      attenuated:
        attenuated === undefined
          ? undefined
          : toNumber(exactly(attenuated, dimension.number, "--attenuated")),
    };
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === undefined) throw error;
    throw new EarlyEnd(
      `${printable(file)} cannot be read: ${reasonOf(error)}`,
      status.wrong,
      "unreadable-file",
    );
  }
}
