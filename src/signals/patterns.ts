// Test pictures and pictures handed in, painted row by row: a profile of luminance (0 black, 1 white) and colour, as straight lines
// between whole units of time over the whole active line. Detail has straight edges of the system's bandwidth, centred where the
// picture changes; where changes come closer than an edge, each edge reaches half way to its neighbours. There is no other band
// limit, and no luminance leaves 0 to 1.

import type { Raster } from "./frame.js";
import { type Colour, colourBars } from "./levels.js";
import { ShapeError } from "./wave.js";

/** What the camera sees. */
export type TestPattern =
  | { readonly kind: "black" | "white" | "ramp" }
  /** Saturation 1 unless given. */
  | { readonly kind: "colour bars"; readonly saturation?: number }
  /** One luminance, 0 to 1. */
  | { readonly kind: "flat"; readonly level: number }
  /** A staircase from white down to black; default 8 bars. */
  | { readonly kind: "bars"; readonly count?: number }
  /** White lines on black, default 17 upright and 13 level ones, with a circle unless `circle` is false. */
  | {
      readonly kind: "crosshatch";
      readonly across?: number;
      readonly down?: number;
      readonly circle?: boolean;
    }
  /** The average picture level steps from one luminance to another after so many frames, and back. */
  | { readonly kind: "bounce"; readonly from?: number; readonly to?: number; readonly frames: number }
  /** The average picture level rises from one luminance to another in equal steps, one per frame, and falls likewise. */
  | { readonly kind: "fade"; readonly from?: number; readonly to?: number; readonly frames: number }
  /** Rows of luminance from the top left, 0 to 1 (bytes: 0 to 255), stretched over the whole active picture. */
  | {
      readonly kind: "pixels";
      readonly width: number;
      readonly height: number;
      readonly data: Float64Array | Uint8Array;
    };

/** One line of picture. Times in units after 0H. */
export interface Profile {
  readonly times: readonly number[];
  readonly luminance: readonly number[];
  readonly colours?: { readonly u: readonly number[]; readonly v: readonly number[] };
}

/** Paints row by row; `frame` counts from 0. Rows that look alike may share a profile. */
export type Painter = (row: number, frame: number) => Profile;

/** Width of the picture for a height of 1. */
const aspect = 4 / 3;
/** Thickness of a crosshatch's lines and of its circle, and the circle's radius, in heights of picture. */
const stroke = 4 / 750;
const radius = 0.45;

/** Frames after which a pattern repeats. */
export function framesOf(pattern: TestPattern): number {
  if (pattern.kind !== "bounce" && pattern.kind !== "fade") return 1;
  return 2 * whole(pattern.frames, `the frames of a ${pattern.kind}`);
}

/**
 * Throws ShapeError `level-range`, `no-count`, `pixels-form`, `pixels-empty`, `pixels-size`, `pixels-not-finite`,
 * `pixels-range`.
 */
export function painter(pattern: TestPattern, r: Raster): Painter {
  const one = (profile: Profile) => () => profile;
  switch (pattern.kind) {
    case "black":
      return one(flat(r, 0));
    case "white":
      return one(flat(r, 1));
    case "flat":
      return one(flat(r, pattern.level));
    case "ramp":
      return one({ times: [r.from, r.to], luminance: [0, 1] });
    case "bars": {
      const count = whole(pattern.count ?? 8, "the bars");
      const shades = Array.from({ length: count }, (_, i) => (count === 1 ? 1 : 1 - i / (count - 1)));
      return one(steps(r, evenly(r, count), shades));
    }
    case "colour bars":
      return one(colours(r, colourBars(r.system, saturated(pattern.saturation))));
    case "crosshatch":
      return crosshatch(pattern, r);
    case "bounce": {
      const both = [flat(r, pattern.from ?? 0), flat(r, pattern.to ?? 1)];
      const frames = whole(pattern.frames, "the frames of a bounce");
      return (_, frame) => both[Math.floor(frame / frames) % 2];
    }
    case "fade": {
      const [from, to] = [pattern.from ?? 0, pattern.to ?? 1];
      const frames = whole(pattern.frames, "the frames of a fade");
      const shades = Array.from({ length: frames + 1 }, (_, i) => flat(r, from + ((to - from) * i) / frames));
      return (_, frame) => shades[frames - Math.abs(frames - (frame % (2 * frames)))];
    }
    case "pixels":
      return pixels(pattern, r);
  }
}

function whole(count: number, what: string): number {
  if (Number.isInteger(count) && count >= 1 && count <= 10_000) return count;
  throw new ShapeError("no-count", `${what} must be a whole number from 1 to 10000`);
}

function saturated(factor = 1): number {
  if (factor >= 0 && factor <= 4) return factor;
  throw new ShapeError("level-range", "a saturation must lie between 0 % and 400 %");
}

function flat(r: Raster, level: number): Profile {
  if (!(level >= 0 && level <= 1)) {
    throw new ShapeError("level-range", "a luminance must lie between 0 (black) and 1 (white)");
  }
  return { times: [r.from, r.to], luminance: [level, level] };
}

/** The boundaries between `count` equal parts of the line, in units, not rounded. */
function evenly(r: Raster, count: number): number[] {
  return Array.from({ length: count - 1 }, (_, i) => r.from + ((r.to - r.from) * (i + 1)) / count);
}

/** Levels with an edge at each boundary between two of them. */
function steps(r: Raster, bounds: readonly number[], shades: ArrayLike<number>): Profile {
  const times = [r.from];
  const luminance = [shades[0]];
  // Boundaries between equal levels do not count.
  const seen: number[] = [];
  for (let i = 0; i < bounds.length; i++) if (shades[i] !== shades[i + 1]) seen.push(i);
  seen.forEach((at, k) => {
    const place = bounds[at];
    const before = k === 0 ? r.from - place : bounds[seen[k - 1]] - place;
    const after = k + 1 < seen.length ? bounds[seen[k + 1]] - place : r.to - place;
    // The line's own ends are no edges: a change may reach right up to them.
    const left = Math.min(r.edges.picture, k === 0 ? -before : -before / 2);
    const right = Math.min(r.edges.picture, k + 1 < seen.length ? after / 2 : after);
    const reach = Math.min(left, right);
    times.push(Math.round(place - reach), Math.round(place + reach));
    luminance.push(shades[at], shades[at + 1]);
  });
  times.push(r.to);
  luminance.push(shades[shades.length - 1]);
  return { times, luminance };
}

/** Bars of colour; the colour changes more slowly than the luminance, about the same instant. */
function colours(r: Raster, bars: readonly Colour[]): Profile {
  const { picture: fast, colour: slow } = r.edges;
  const times = [r.from];
  const luminance = [bars[0].y];
  const u = [bars[0].u];
  const v = [bars[0].v];
  evenly(r, bars.length).forEach((bound, i) => {
    const [a, b] = [bars[i], bars[i + 1]];
    const at = Math.round(bound);
    for (const apart of [-slow, -fast, fast, slow]) {
      const share = (apart + slow) / (2 * slow);
      times.push(at + apart);
      luminance.push(apart < 0 ? a.y : b.y);
      u.push(share === 0 ? a.u : share === 1 ? b.u : a.u + (b.u - a.u) * share);
      v.push(share === 0 ? a.v : share === 1 ? b.v : a.v + (b.v - a.v) * share);
    }
  });
  const last = bars[bars.length - 1];
  times.push(r.to);
  luminance.push(last.y);
  u.push(last.u);
  v.push(last.v);
  return { times, luminance, colours: { u, v } };
}

function crosshatch(of: TestPattern & { kind: "crosshatch" }, r: Raster): Painter {
  const across = whole(of.across ?? 17, "the upright lines");
  const down = whole(of.down ?? 13, "the level lines");
  const upright = Array.from({ length: across }, (_, i) => (aspect * (i + 0.5)) / across);
  // A level line takes two rows, one of each field, so that it does not flicker.
  const level = new Set<number>();
  for (let i = 0; i < down; i++) {
    const row = Math.round((r.rows * (i + 0.5)) / down) - 1;
    level.add(row).add(row + 1);
  }
  const strokes = (centres: readonly number[]) =>
    centres.map((x): [number, number] => [x - stroke / 2, x + stroke / 2]);
  const plain = strokeProfile(r, strokes(upright));
  const full = flat(r, 1);
  return (row) => {
    if (level.has(row)) return full;
    const y = Math.abs((row + 0.5) / r.rows - 0.5);
    const outer = radius + stroke / 2;
    if (of.circle === false || y >= outer) return plain;
    const inner = radius - stroke / 2;
    const far = Math.sqrt(outer * outer - y * y);
    const near = y < inner ? Math.sqrt(inner * inner - y * y) : 0;
    const centre = aspect / 2;
    const ring: [number, number][] = [
      [centre - far, centre - near],
      [centre + near, centre + far],
    ];
    return strokeProfile(r, [...strokes(upright), ...ring]);
  };
}

/** White strokes, from and to in heights of picture after the left edge; strokes that touch are merged. */
function strokeProfile(r: Raster, strokes: readonly [number, number][]): Profile {
  const scale = (r.to - r.from) / aspect;
  const bounds: number[] = [];
  for (const [from, to] of [...strokes].sort((a, b) => a[0] - b[0])) {
    const [left, right] = [r.from + from * scale, r.from + to * scale];
    if (bounds.length > 0 && left <= bounds[bounds.length - 1]) {
      bounds.push(Math.max(right, bounds.pop()!));
    } else bounds.push(left, right);
  }
  return steps(
    r,
    bounds,
    Array.from({ length: bounds.length + 1 }, (_, i) => i % 2),
  );
}

function pixels(of: TestPattern & { kind: "pixels" }, r: Raster): Painter {
  const { width, height, data } = of;
  // Callers without types may hand over anything.
  if (!(data instanceof Float64Array || data instanceof Uint8Array)) {
    throw new ShapeError("pixels-form", "the pixels of a picture are a Float64Array or a Uint8Array");
  }
  if (width === 0 || height === 0 || data.length === 0) {
    throw new ShapeError("pixels-empty", "a picture needs at least one pixel");
  }
  if (!Number.isInteger(width) || !Number.isInteger(height)) {
    throw new ShapeError("pixels-size", "the width and the height of a picture are whole numbers");
  }
  if (width * height !== data.length || width < 0) {
    throw new ShapeError(
      "pixels-size",
      `a picture of ${width} by ${height} does not have ${data.length} pixels`,
      "hand in width times height numbers, row by row",
    );
  }
  for (const shade of data) {
    if (!Number.isFinite(shade)) {
      throw new ShapeError("pixels-not-finite", "a pixel of the picture is not a finite number");
    }
    if (data instanceof Float64Array && (shade < 0 || shade > 1)) {
      throw new ShapeError("pixels-range", "a pixel of the picture lies outside 0 (black) to 1 (white)");
    }
  }
  const bounds = evenly(r, width);
  const shade = data instanceof Uint8Array ? (x: number) => x / 255 : (x: number) => x;
  return (row) => {
    const at = Math.floor(((row + 0.5) * height) / r.rows) * width;
    return steps(r, bounds, Array.from(data.subarray(at, at + width), shade));
  };
}
