// A capture compared with the trace it shows: which samples belong to which trace, and how they were taken.
import type { Capture } from "./capture.js";

/** How to align: by the best correlation, by the first crossing of a level, or by a known delay. */
export type Alignment =
  | "correlation"
  | {
      /** In the unit of the trace. */
      readonly level: number;
      /** Which way the level is crossed. */
      readonly direction: "rising" | "falling";
      /** The trace whose edge counts, if another channel of the same capture shows it: the sync, for one. */
      readonly trigger?: string;
      /** That channel, by number from 1 or by name. */
      readonly seen?: number | string;
      /** Attenuation of the probe there, 1 unless given. */
      readonly attenuated?: number;
    }
  | {
      /** Seconds from the capture's clock to the run's. */
      readonly delay: number;
    };

/** Which samples belong to which trace, and how they were taken. */
export interface Held {
  /** The capture. */
  readonly capture: Capture;
  /** Its channel, by number from 1 or by name; not needed if it has only one. */
  readonly channel?: number | string;
  /** The trace that it shows: a place, or a part with `.current` and the like. */
  readonly of: string;
  /** Attenuation of the probe: 10 for a probe 10:1 that the instrument does not know of. */
  readonly attenuated?: number;
  /**
   * How to align: by the best correlation, which is the default; by the first crossing of a level (V or A), as an instrument
   * triggers; or by a known delay, which is added to the capture's time (s).
   */
  readonly align?: Alignment;
  /** True if gain and offset of the instrument are to be found as well, by least squares, and taken out. */
  readonly uncalibrated?: boolean;
}
