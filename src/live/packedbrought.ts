// What a design brings from its folder, as plain text in the page, and back: the page has no folder to read from.
import type { Pixels, Unusable } from "../design/videowave.js";
import { type Brought, remembered } from "../files/brought.js";
import type { Capture } from "../instruments/capture.js";
import type { PackedBrought, PackedCapture, PackedPixels } from "./messages.js";

/** What was brought, and why some of it is unusable. */
interface BroughtFiles {
  readonly texts: Brought["texts"];
  readonly pictures: ReadonlyMap<string, Pixels | Unusable | undefined>;
  readonly captures: ReadonlyMap<string, Capture | Unusable | undefined>;
}

/** Levels of luminance in a packed picture. */
const levels = 65535;

/** Packs what was brought: luminance to 16 bits, as fine as any PNG has it; samples to the last bit. */
export function packed({ texts, pictures, captures }: BroughtFiles): PackedBrought {
  const known = <T>(all: ReadonlyMap<string, T | undefined>) =>
    [...all].flatMap(([path, one]) => (one === undefined ? [] : [[path, one] as const]));
  const each = <T extends object, P>(
    all: ReadonlyMap<string, T | Unusable | undefined>,
    pack: (one: T) => P,
  ) =>
    Object.fromEntries(
      known(all).map(([path, one]) => [path, "reason" in one ? one.reason : pack(one as T)] as const),
    );
  return {
    texts: Object.fromEntries(known(texts)),
    pictures: each(pictures, packedPixels),
    captures: each(captures, packedCapture),
  };
}

/** Resolvers by which the engine finds what was packed, and nothing else. */
export function unpacked({ texts, pictures, captures }: PackedBrought) {
  const each = <P extends object, T>(all: Readonly<Record<string, P | string>>, unpack: (one: P) => T) =>
    new Map(
      Object.entries(all).map(([path, one]) => [
        path,
        typeof one === "string" ? { reason: one } : unpack(one),
      ]),
    ) as Map<string, T>;
  return remembered({
    texts: new Map(Object.entries(texts)),
    pictures: each(pictures, pixelsOf),
    captures: each(captures, captureOf),
  });
}

function packedPixels({ width, height, data }: Pixels): PackedPixels {
  const scale = data instanceof Uint8Array ? levels / 255 : levels;
  const bytes = new Uint8Array(2 * data.length);
  data.forEach((level, i) => {
    const n = Math.round(level * scale);
    bytes.set([n >> 8, n & 255], 2 * i);
  });
  return { width, height, bytes: lettersOf(bytes) };
}

function pixelsOf({ width, height, bytes }: PackedPixels): Pixels {
  const two = bytesOf(bytes);
  const data = Float64Array.from(
    { length: width * height },
    (_, i) => (256 * two[2 * i] + two[2 * i + 1]) / levels,
  );
  return { width, height, data };
}

function packedCapture({ name, time, channels, holes, warnings }: Capture): PackedCapture {
  const samples = (all: Float64Array) => lettersOf(new Uint8Array(all.slice().buffer));
  return {
    name,
    time: samples(time),
    channels: channels.map((one) => ({ ...one, value: samples(one.value) })),
    holes,
    warnings,
  };
}

function captureOf({ name, time, channels, holes, warnings }: PackedCapture): Capture {
  const samples = (letters: string) => new Float64Array(bytesOf(letters).buffer);
  return {
    name,
    time: samples(time),
    channels: channels.map((one) => ({ ...one, value: samples(one.value) })),
    holes,
    warnings,
  };
}

function lettersOf(bytes: Uint8Array): string {
  let letters = "";
  for (const byte of bytes) letters += String.fromCharCode(byte);
  return btoa(letters);
}

function bytesOf(letters: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(letters), (letter) => letter.charCodeAt(0));
}
