// Levels of composite video across 75 ohms, from the published tables, and where a colour lies on the carrier. Blanking is 0, sync
// lies below it, and sync tip to white is exactly 1 V. 525 lines: SMPTE 170M-2004, 140 IRE units are 1 V. 625 lines: ITU-R
// BT.1700, millivolts.
import { type Fraction, ratio } from "../base/fraction.js";
import type { VideoSystem } from "./sync.js";
import { ShapeError } from "./wave.js";

/** Where black lies in 525 lines: 7.5 IRE units above blanking, or on it. */
export type Setup = "7.5" | "0";

/** Levels in steps of the system's own unit. */
export interface VideoLevels {
  /** Volts per step: 1/140 V, or 1 mV. */
  readonly step: Fraction;
  readonly sync: number;
  readonly blank: number;
  readonly black: number;
  readonly white: number;
  /** Carrier components of the burst: along the axis of blue less luminance, and across it (sign by line). */
  readonly burst: { readonly along: number; readonly across: number };
}

// √½ rounded down: if the burst went beyond 150 mV by one bit, it would swing through a slicing level there.
const rootHalf = 0.7071067811865475;

/** The levels of a system. Throws ShapeError `no-setup`: only 525 lines have a setup (default 7.5). */
export function levels(system: VideoSystem, setup?: Setup): VideoLevels {
  if (system === "625/50") {
    if (setup === "7.5") {
      throw new ShapeError("no-setup", "in 625 lines black lies on blanking", "leave the setup out");
    }
    // BT.1700 table 1 and BT.470-6 table 2: burst 300 mV peak to peak at 135° and, turned over, 225°.
    const burst = { along: -150 * rootHalf, across: 150 * rootHalf };
    return { step: ratio(1, 1000), sync: -300, blank: 0, black: 0, white: 700, burst };
  }
  // SMPTE 170M-2004: burst 40 units peak to peak at 180°; no setup in Japan.
  const burst = { along: -20, across: 0 };
  return {
    step: ratio(1, 140),
    sync: -40,
    blank: 0,
    black: setup === "0" ? 0 : 7.5,
    white: 100,
    burst,
  };
}

/** A colour: luminance, and carrier components along blue less luminance and red less luminance; white is 1, 0, 0. */
export interface Colour {
  readonly y: number;
  readonly u: number;
  readonly v: number;
}

// Factors of the colour differences: SMPTE 170M-2004, annex A (from memory; FCC rounds to 1/2.03 and 1/1.14), and
// BT.470-6, table 2.
const factors = { 525: { u: 0.492111, v: 0.877283 }, 625: { u: 0.493, v: 0.877 } };

/** The colour of three primaries, 0 to 1 (gamma applied): luminance 0.299 R + 0.587 G + 0.114 B in both standards. */
function colour(system: VideoSystem, red: number, green: number, blue: number): Colour {
  const y = 0.299 * red + 0.587 * green + 0.114 * blue;
  const by = system === "625/50" ? factors[625] : factors[525];
  return { y, u: by.u * (blue - y), v: by.v * (red - y) };
}

/**
 * The eight bars at 75 %, left to right. In 525 lines the white bar is 75 % too (75/7.5/75/7.5), in 625 it is full
 * white (100/0/75/0); ITU-R BT.471-1, from memory.
 * @param saturation factor on the carrier alone, as a colour control has it; the burst stays
 */
export function colourBars(system: VideoSystem, saturation = 1): Colour[] {
  const bars: Colour[] = [];
  for (let i = 0; i < 8; i++) {
    // White, yellow, cyan, green, magenta, red, blue, black: green leaves after four bars, red after two, blue at once.
    const share = i === 0 && system === "625/50" ? 1 : 0.75;
    const [green, red, blue] = [i < 4, i % 4 < 2, i % 2 === 0].map((on) => (on ? share : 0));
    const { y, u, v } = colour(system, red, green, blue);
    // White and black have no colour; a remainder from rounding would put a carrier there.
    bars.push(
      i === 0 || i === 7
        ? { y: i === 0 ? share : 0, u: 0, v: 0 }
        : { y, u: saturation * u, v: saturation * v },
    );
  }
  return bars;
}
