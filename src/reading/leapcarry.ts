// Carries z along a stretch to where it is looked at. Under a carrier that turns many times this goes by blocks of one to two
// turns: the start of the current block is computed once for all looks into it. Either way z at a tick depends on the tick alone.
import { turnsOf } from "./blocks.js";
import type { ModeView } from "./modeview.js";

/** Up to so many blocks z is carried in one go. */
const mostBlocks = 8;

/** Carries z from the start of one stretch. */
export class LeapCarry {
  /** z at the start of the current block, and the tick of that start. */
  private block = new Float64Array(0);
  private at = Number.NaN;

  /** Starts another stretch. @param width of z */
  begin(width: number): void {
    this.at = Number.NaN;
    if (this.block.length !== width) this.block = new Float64Array(width);
  }

  /** Writes the needed entries of z `ticks` after the start. */
  to(mode: ModeView, start: Float64Array, ticks: number, z: Float64Array): Float64Array {
    const length = turnsOf(mode.turn);
    if (!(ticks > mostBlocks * length)) return moved(mode, start, ticks, z);
    const into = ticks % length;
    if (this.at !== ticks - into) {
      this.at = ticks - into;
      moved(mode, start, this.at, this.block);
    }
    return moved(mode, this.block, into, z);
  }
}

function moved(mode: ModeView, from: Float64Array, ticks: number, to: Float64Array): Float64Array {
  const { entries, moving, levels, course } = mode;
  for (let k = 0; k < entries.length; k++) to[entries[k]] = from[entries[k]];
  if (ticks > 0) course.matrices.leapSome(to, ticks, moving, levels);
  return to;
}
