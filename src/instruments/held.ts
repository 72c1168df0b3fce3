// A capture held against what it shows: which samples belong to which trace, and how they were taken.
import type { Capture } from "./capture.js";

/** How to align: by the best correlation, by the first crossing of a level, or by a delay that is known. */
export type Alignment =
  | "correlation"
  | {
      /** In the unit of the trace. */
      readonly level: number;
      /** Which way the level is crossed. */
      readonly direction: "rising" | "falling";
      /** The trace whose edge it is, where another channel of the same capture shows it: the sync, for one. */
      readonly trigger?: string;
      /** That channel, by number from 1 or by name. */
      readonly seen?: number | string;
      /** By how much the probe there makes the voltage smaller, 1 unless given. */
      readonly attenuated?: number;
    }
  | {
      /** Seconds from the capture's clock to the run's. */
      readonly delay: number;
    };

/** Which samples belong to what, and how they were taken. */
export interface Held {
  /** The capture. */
  readonly capture: Capture;
  /** Its channel, by number from 1 or by name; not needed where it has one. */
  readonly channel?: number | string;
  /** The trace that it shows: a place, or a part with `.current` and the like. */
  readonly of: string;
  /** By how much the probe makes the voltage smaller: 10 for a probe 10:1 that the instrument does not know of. */
  readonly attenuated?: number;
  /**
   * How to align: by the best correlation, which is the default; by the first crossing of a level (V or A), as an instrument is
   * triggered; or by a delay that is known, which is added to the capture's time (s).
   */
  readonly align?: Alignment;
  /** True: gain and offset of the instrument are found as well, by least squares, and taken out. */
  readonly uncalibrated?: boolean;
}
