// What is beside a screen on which nothing falls: a dead sweep leaves the beam just beyond the edge at which its ramp begins, and
// what it draws there tells which sweep is dead. The screen becomes smaller, and its edges a frame.
import { traceBounds } from "../measures/window.js";
import type { Trace } from "../waveforms/trace.js";
import type { Screen } from "./screen.js";

/** A screen with its surroundings. */
export interface Surround extends Screen {
  /** How far they reach beyond each edge, as a share of the screen. */
  readonly around: number;
}

/** Farthest that they reach, and what is left free beyond the beam, as shares of the screen. */
const farthest = 1;
const rim = 0.04;
const frameGrey = 96;

/** The screen with as much around it as the beam visits, up to its own size. */
export const surroundOf = (screen: Screen): Surround => widened(screen, aroundOf(screen));

/** How far around a screen its beam goes, and some room beyond, as a share of the screen. */
export function aroundOf({ across, down, left, right, top, bottom, from, to }: Screen): number {
  const beyond = (trace: Trace, first: number, last: number) => {
    const { low, high } = traceBounds(trace, from, to);
    const shares = [low, high].map((value) => (value - first) / (last - first));
    return Math.max(-Math.min(...shares), Math.max(...shares) - 1);
  };
  const far = Math.max(0, beyond(across, left, right), beyond(down, top, bottom));
  return Math.min(far, farthest) + rim;
}

export function widened(screen: Screen, around: number): Surround {
  const { left, right, top, bottom, spot } = screen;
  const [wide, tall] = [around * (right - left), around * (bottom - top)];
  return {
    ...screen,
    left: left - wide,
    right: right + wide,
    top: top - tall,
    bottom: bottom + tall,
    spot: spot / (1 + 2 * around),
    around,
  };
}

/** What a pixel that shows more of the screen's plane is given of its light. */
export const surroundScale = ({ around }: Surround) => (1 + 2 * around) ** 2;

/** Draws the edges of the screen as a frame. */
export function framed(
  grey: Uint8Array,
  width: number,
  height: number,
  { around }: Pick<Surround, "around">,
): void {
  const share = around / (1 + 2 * around);
  const [x, y] = [Math.round(share * width), Math.round(share * height)];
  const [right, foot] = [width - 1 - x, height - 1 - y];
  const mark = (at: number) => {
    grey[at] = Math.max(grey[at], frameGrey);
  };
  for (let i = x; i <= right; i++) for (const row of [y, foot]) mark(row * width + i);
  for (let k = y; k <= foot; k++) for (const column of [x, right]) mark(k * width + column);
}
