// Standard composite video as one exact wave: sync and equalising pulses as in `sync.ts`, blanking, burst and a picture, at the
// standards' levels across 75 ohms. Time zero is 0H of line 1 of the first field; carrier and lines keep their exact ratio.
// Carrier phase: the axis of blue less luminance stands at zero at time zero. With that a burst of 525 lines rises
// through zero at 0H of the even lines of the first frame (SMPTE 170M-2004, field I), and in 625 lines this axis
// has phase zero at 0H of line 1 of the first field (EBU Statement D 23); which of the two frames 180° apart
// counts as the first is taken from memory.
import { type Fraction, one, ratio } from "../base/fraction.js";
import { Corners, packedWave } from "./corners.js";
import { bearsBurst, type PictureStrip, type Raster, rasterOf } from "./frame.js";
import { levels, type Setup, type VideoLevels } from "./levels.js";
import { framesOf, type Painter, type Profile, painter, type TestPattern } from "./patterns.js";
import { rates, syncPulses, type VideoSystem } from "./sync.js";
import { ShapeError, type Wave } from "./wave.js";

/** What `video` is to send. */
export interface VideoOptions {
  readonly system: VideoSystem;
  readonly pattern: TestPattern;
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
 * fields that brings back the carrier's phase: 4 in 525 lines, 8 in 625. Its period starts: `lines`, 0H of every
 * line; `fields`, the first broad pulse of each; `frames`, that of every first field; `pulses`, every sync pulse.
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
  const r = rasterOf(system, interlaced);
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
  const periodStarts = new Map(
    Object.entries(sender.periodStarts()).map(([name, halves]) => [name, repeated(halves, frames, r)]),
  );
  const carrier = sine && cosine && subcarrier && { frequency: subcarrier, sine, cosine };
  const scale = level.step.mul(of.volts ?? one);
  const picture = { frame: r.unit.mul(ratio(r.halves * r.half)), levels: Float64Array.from(sender.pictures) };
  return packedWave({ unit: r.unit, times, values, length, periodStarts, picture, carrier }, scale);
}

/** Half lines of one frame as units, repeated over a number of frames. */
function repeated(halves: readonly number[], frames: number, r: Raster): Float64Array {
  const all: number[] = [];
  for (let frame = 0; frame < frames; frame++) {
    for (const h of halves) all.push((frame * r.halves + h) * r.half);
  }
  return Float64Array.from(all);
}

/** Writes frame after frame as corners. */
class Sender {
  /** Width in units of the pulse that begins in each half line, or 0. */
  private readonly widths: Float64Array;
  /** Widths of a line sync pulse and of a broad pulse. */
  private readonly lineSync: number;
  private readonly broad: number;
  /** Average picture level of each frame sent. */
  readonly pictures: number[] = [];

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
    this.broad = units(rates(r.system).broad);
  }

  /** The half lines of a frame in which each of these begins. */
  periodStarts(): Record<"lines" | "fields" | "frames" | "pulses", number[]> {
    const { widths, broad } = this;
    const all = Array.from(widths.keys());
    const fields = all.filter((h) => widths[h] === broad && widths.at(h - 1) !== broad);
    return {
      lines: all.filter((h) => h % 2 === 0),
      fields,
      frames: fields.slice(0, 1),
      pulses: all.filter((h) => widths[h] > 0),
    };
  }

  /** One frame (without interlace one field). */
  send(frame: number, paint: Painter): void {
    const { r, widths } = this;
    const base = frame * r.halves * r.half;
    let light = 0;
    let time = 0;
    for (let h = 0; h < r.halves; h++) {
      const at = base + h * r.half;
      if (widths[h] > 0) this.pulse(at, widths[h]);
      // Only a line that begins with a line sync pulse can have a burst. In 625 lines the second component of burst
      // and colours changes sign on even lines, counted through all frames.
      const line = h / 2 + 1;
      const odd = (frame * r.halves + h) % 4 === 0;
      const sign = r.system === "625/50" && !odd ? -1 : 1;
      if (this.inColour && h % 2 === 0 && widths[h] === this.lineSync) {
        if (bearsBurst(r.system, line, frame % 2 === 1, this.interlaced)) this.burst(at, sign);
      }
      const strip = r.strips[h];
      if (!strip) continue;
      const profile = paint(strip.row, frame);
      this.picture(base, strip, profile, this.inColour ? sign : 0);
      light += lightOf(profile, strip);
      time += strip.to - strip.from;
    }
    this.pictures.push(light / time);
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
  private picture(base: number, strip: PictureStrip, profile: Profile, sign: number): void {
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

/** Integral of a profile's luminance over a strip. */
function lightOf({ times, luminance }: Profile, { from, to }: PictureStrip): number {
  let light = 0;
  for (let i = 0; i + 1 < times.length; i++) {
    const [a, b] = [Math.max(times[i], from), Math.min(times[i + 1], to)];
    if (!(b > a)) continue;
    const rise = (luminance[i + 1] - luminance[i]) / (times[i + 1] - times[i]);
    light += (b - a) * (luminance[i] + rise * ((a + b) / 2 - times[i]));
  }
  return light;
}
