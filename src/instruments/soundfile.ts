// Samples in a sound file, as sound cards and recorders write them: RIFF with PCM of 8, 16, 24 or 32 bits or with floating point of
// 32 or 64 bits. The format: IBM & Microsoft, Multimedia Programming Interface and Data Specifications 1.0 (August 1991), and
// RFC 2361; the extensible form names PCM or floating point by the first word of its subformat. A file that was cut off gives
// the complete samples that it holds, and says so.
import { refusal } from "../base/diagnostic.js";
import { type Capture, type Channel, resolutionOf } from "./capture.js";

/** How the samples of a file are written. */
interface Format {
  readonly tag: number;
  readonly channels: number;
  readonly rate: number;
  readonly bits: number;
}

const pcm = 1;
const float = 3;
const extensible = 0xfffe;
/** The most numbers that are kept: 400 MB. */
const most = 5e7;
/** Lengths from here on stand where a writer did not know the length; 0 does too. */
const unknownLength = 0x7ffff000;
/** What stands in place of the length of the samples where a chunk `ds64` states it. */
const elsewhere = 0xffffffff;

/** How a sound file begins: RIFF, RF64 for long ones (EBU Tech 3306), RIFX with its bytes the other way round. */
const begins = /^(?:RIFF|RF64|RIFX)$/;

export function isSoundFile(bytes: Uint8Array): boolean {
  return bytes.length >= 12 && begins.test(word(bytes, 0)) && word(bytes, 8) === "WAVE";
}

/**
 * Reads a sound file.
 * @param fullScale what full scale stands for, in `unit`
 * @throws DesignError `bad-sound-file`, `no-number`, `too-many-samples`
 */
export function readSoundFile(bytes: Uint8Array, name: string, fullScale: number, unit: string): Capture {
  if (word(bytes, 0) === "RIFX") throw bad(name, "its bytes stand the other way round (RIFX)");
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let format: Format | undefined;
  let long: number | undefined;
  for (let at = 12; at + 8 <= bytes.length; ) {
    const kind = word(bytes, at);
    const from = at + 8;
    let stated = view.getUint32(at + 4, true);
    if (kind === "data" && stated === elsewhere && long !== undefined) stated = long;
    const length = Math.min(stated, bytes.length - from);
    // The second of its long numbers is the length of the samples.
    if (kind === "ds64" && length >= 16) long = Number(view.getBigUint64(from + 8, true));
    if (kind === "fmt ") format = formatAt(view, from, length, name);
    if (kind === "data") {
      if (!format) throw bad(name, "its samples stand before their format");
      const unknown = long === undefined && (stated === 0 || stated >= unknownLength);
      const data = new DataView(view.buffer, view.byteOffset + from, unknown ? bytes.length - from : length);
      const capture = samplesAt(data, format, { name, fullScale, unit });
      return unknown || stated === length
        ? capture
        : { ...capture, warnings: [cutOff(capture, format, stated)] };
    }
    // Chunks begin at even offsets.
    at = from + length + (length % 2);
  }
  throw bad(name, format ? "it holds no samples" : "it does not say how its samples are written");
}

function formatAt(view: DataView, at: number, length: number, name: string): Format {
  if (length < 16) throw bad(name, `its format is cut off at byte ${at}`);
  let tag = view.getUint16(at, true);
  if (tag === extensible && length >= 26) tag = view.getUint16(at + 24, true);
  const channels = view.getUint16(at + 2, true);
  const rate = view.getUint32(at + 4, true);
  const bits = view.getUint16(at + 14, true);
  if (tag !== pcm && tag !== float)
    throw bad(name, `its samples are packed in a way that is not read (format ${tag})`);
  if (!(tag === pcm ? [8, 16, 24, 32] : [32, 64]).includes(bits))
    throw bad(name, `samples of ${bits} bits are not read`);
  if (channels === 0 || rate === 0) throw bad(name, "it states no channels or no rate");
  const apart = view.getUint16(at + 12, true);
  if (apart !== 0 && apart !== (channels * bits) / 8)
    throw bad(name, `it gives ${apart} bytes to ${channels} samples of ${bits} bits`);
  return { tag, channels, rate, bits };
}

function samplesAt(
  view: DataView,
  { tag, channels, rate, bits }: Format,
  { name, fullScale, unit }: { name: string; fullScale: number; unit: string },
): Capture {
  const wide = bits / 8;
  const count = Math.floor(view.byteLength / (wide * channels));
  if (count < 2) throw bad(name, `it holds ${count === 0 ? "no samples" : "one sample"}`);
  if (count * (channels + 1) > most)
    throw refusal("too-many-samples", `${name} holds more than ${most} numbers`, "take fewer samples");
  const read = readerOf(view, tag, bits);
  const found: Channel[] = [];
  for (let c = 0; c < channels; c++) {
    const value = new Float64Array(count);
    for (let i = 0; i < count; i++) value[i] = fullScale * read((i * channels + c) * wide);
    const wrong = value.findIndex((v) => !Number.isFinite(v));
    if (wrong >= 0)
      throw refusal(
        "no-number",
        `${name}: sample ${wrong + 1} of channel ${c + 1} is no number`,
        "write samples as PCM, or cut the file before it",
      );
    found.push({ name: `${c + 1}`, unit, value, resolution: resolutionOf(value) });
  }
  return { name, time: Float64Array.from({ length: count }, (_, i) => i / rate), channels: found, holes: [] };
}

/** What is said of a file that states more bytes of samples than it holds. */
function cutOff({ name, time: { length } }: Capture, { channels, bits }: Format, stated: number): string {
  const meant = Math.floor((8 * stated) / (channels * bits));
  return `${name} was cut off: it holds ${length} of the ${meant} samples that it states`;
}

/** Reads one sample as a share of full scale. */
function readerOf(view: DataView, tag: number, bits: number): (at: number) => number {
  if (tag === float)
    return bits === 32 ? (at) => view.getFloat32(at, true) : (at) => view.getFloat64(at, true);
  switch (bits) {
    case 8: // the only one without a sign
      return (at) => (view.getUint8(at) - 128) / 128;
    case 16:
      return (at) => view.getInt16(at, true) / 2 ** 15;
    case 24:
      return (at) => (view.getUint16(at, true) + view.getInt8(at + 2) * 2 ** 16) / 2 ** 23;
    default:
      return (at) => view.getInt32(at, true) / 2 ** 31;
  }
}

function word(bytes: Uint8Array, at: number): string {
  return String.fromCharCode(...bytes.subarray(at, at + 4));
}

function bad(name: string, what: string) {
  return refusal("bad-sound-file", `${name}: ${what}`, "PCM of 8 to 32 bits and floating point are read");
}
