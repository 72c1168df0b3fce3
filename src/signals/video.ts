// Standard composite video as one exact wave: sync and equalising pulses, blanking, burst, and a picture; at the
// levels that the standards give across 75 ohms. Time zero is 0H of line 1 of the first field.
// Carrier phase: the axis of blue less luminance stands at zero at time zero. With that a burst of 525 lines rises
// through zero at 0H of the even lines of the first frame (SMPTE 170M-2004, field I), and in 625 lines this axis
// has phase zero at 0H of line 1 of the first field (EBU Statement D 23); which of the two frames 180° apart
// counts as the first is taken from memory.
// Always: the sync pulses are those of `syncPulses`; carrier and lines keep their exact ratio.
import { type Fraction, one } from "../base/fraction.js";
import { Corners, ruled } from "./corners.js";
import { levels, type Setup, type VideoLevels } from "./levels.js";
import { framesOf, type Painter, type Pattern, type Profile, painter } from "./patterns.js";
import { bearsBurst, type Raster, raster, type Strip } from "./raster.js";
import { rates, type System, syncPulses } from "./sync.js";
import { ShapeError, type Wave } from "./wave.js";

/** What `video` is to send. */
export interface VideoOptions {
  readonly system: System;
  readonly pattern: Pattern;
  /** Where black lies in 525 lines; default 7.5 units above blanking. */
  readonly setup?: Setup;
  /** Default true. Without, every field has whole lines and all fields are alike, as from simple sources. */
  readonly interlaced?: boolean;
  /** With burst and chroma. Default: for colour bars, where the system has a carrier. */
  readonly colour?: boolean;
  /** Factor on all levels; default 1 across 75 ohms. */
  readonly volts?: Fraction;
}

/**
 * The wave, in volts. It repeats after one frame (without interlace: one field); with colour after the sequence of
 * fields that brings back the carrier's phase: 4 in 525 lines, 8 in 625. Its marks, where periods of the signal
 * begin, are 0H of every line.
 * Throws ShapeError `no-setup`, `no-carrier`, `too-many-corners` and those of the pattern.
 */
export function video(of: VideoOptions): Wave {
  const { system, pattern, interlaced = true } = of;
  const level = levels(system, of.setup);
  const { subcarrier } = rates(system);
  const inColour = of.colour ?? (pattern.kind === "colour bars" && subcarrier !== undefined);
  if (inColour && !subcarrier) {
    throw new ShapeError("no-carrier", "the monochrome system 525/60 has no colour", "take 525/59.94");
  }
  const r = raster(system, interlaced);
  // In 625 lines one component of the colour changes sign from line to line, and a frame has an odd number of them.
  const least = inColour && system === "625/50" && interlaced ? 2 : 1;
  const frames = Math.max(least, framesOf(pattern));
  // A blank picture has about this many corners; detail makes the arrays grow.
  const corners = new Corners("this video", frames * r.halves * 4, inColour);
  const sender = new Sender(r, level, corners, interlaced, inColour);
  const paint = painter(pattern, r);
  for (let frame = 0; frame < frames; frame++) sender.send(frame, paint);
  const length = frames * r.halves * r.half;
  const { times, values, sine, cosine } = corners.finish(length);
  const marks = Float64Array.from({ length: (frames * r.halves) / 2 }, (_, i) => 2 * i * r.half);
  const carrier = sine && cosine && subcarrier && { frequency: subcarrier, sine, cosine };
  const scale = level.step.mul(of.volts ?? one);
  return ruled({ unit: r.unit, times, values, length, marks, ...(carrier && { carrier }) }, scale);
}

/** Writes frame after frame as corners. */
class Sender {
  /** Width in units of the pulse that begins in each half line, or 0. */
  private readonly widths: Float64Array;
  /** Width of a line sync pulse. */
  private readonly lineSync: number;

  constructor(
    private readonly r: Raster,
    private readonly level: VideoLevels,
    private readonly corners: Corners,
    private readonly interlaced: boolean,
    private readonly inColour: boolean,
  ) {
    const units = (t: Fraction) => Number(t.div(r.unit).n);
    this.widths = new Float64Array(r.halves);
    for (const { at, width } of syncPulses(r.system, "composite", interlaced).pulses) {
      this.widths[units(at) / r.half] = units(width);
    }
    this.lineSync = units(rates(r.system).sync);
  }

  /** One frame (without interlace one field). */
  send(frame: number, paint: Painter): void {
    const { r, widths } = this;
    const base = frame * r.halves * r.half;
    for (let h = 0; h < r.halves; h++) {
      const at = base + h * r.half;
      if (widths[h] > 0) this.pulse(at, widths[h]);
      // A line that begins with a line sync pulse; of an odd number counted through all frames, the burst and the
      // colours of 625 lines have their sign.
      const line = h / 2 + 1;
      const odd = (frame * r.halves + h) % 4 === 0;
      const sign = r.system === "625/50" && !odd ? -1 : 1;
      if (this.inColour && h % 2 === 0 && widths[h] === this.lineSync) {
        if (bearsBurst(r.system, line, frame % 2 === 1, this.interlaced)) this.burst(at, sign);
      }
      const strip = r.strips[h];
      if (strip) this.picture(base, strip, paint(strip.row, frame), this.inColour ? sign : 0);
    }
  }

  private pulse(at: number, width: number): void {
    const { sync, blank } = this.level;
    const edge = this.r.edges.sync;
    this.corners.add(at - edge, blank);
    this.corners.add(at + edge, sync);
    this.corners.add(at + width - edge, sync);
    this.corners.add(at + width + edge, blank);
  }

  private burst(at: number, sign: number): void {
    const { from, to } = this.r.burst!;
    const edge = this.r.edges.burst;
    const { blank, burst } = this.level;
    const across = sign * burst.across;
    this.corners.add(at + from - edge, blank);
    this.corners.add(at + from + edge, blank, burst.along, across);
    this.corners.add(at + to - edge, blank, burst.along, across);
    this.corners.add(at + to + edge, blank);
  }

  /** A strip of picture, cut where the edges of blanking begin; `sign` of the second component, 0 without colour. */
  private picture(base: number, strip: Strip, profile: Profile, sign: number): void {
    const { blank, black, white } = this.level;
    const { times, luminance, colours } = profile;
    const edge = this.r.edges.blank;
    const [from, to] = [strip.from + edge, strip.to - edge];
    const range = white - black;
    const start = base + strip.line;
    const put = (t: number, y: number, u: number, v: number) => {
      if (sign === 0) this.corners.add(start + t, black + range * y);
      else this.corners.add(start + t, black + range * y, range * u, sign * range * v);
    };
    /** Between corners i and i + 1 of the profile. */
    const between = (t: number, i: number) => {
      const share = (t - times[i]) / (times[i + 1] - times[i]);
      const mix = (of: readonly number[] | undefined) =>
        of ? (of[i] === of[i + 1] ? of[i] : of[i] + (of[i + 1] - of[i]) * share) : 0;
      put(t, mix(luminance), mix(colours?.u), mix(colours?.v));
    };
    this.corners.add(start + strip.from - edge, blank);
    let i = 0;
    while (times[i + 1] <= from) i++;
    between(from, i);
    for (i++; times[i] < to; i++) {
      if (times[i] > from) put(times[i], luminance[i], colours?.u[i] ?? 0, colours?.v[i] ?? 0);
    }
    between(to, i - 1);
    this.corners.add(start + strip.to + edge, blank);
  }
}
