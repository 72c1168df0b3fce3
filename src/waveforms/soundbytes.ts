// Traces as a sound file: RIFF WAVE with floating point of 32 bits, one channel per trace (IBM & Microsoft, Multimedia
// Programming Interface and Data Specifications 1.0, August 1991; format 3 and its fact chunk: RFC 2361 and Microsoft's new
// multimedia data types, 1994). A sample of 1 is 1 V, or 1 of whatever unit the trace is in.
import type { Trace } from "./trace.js";

/** Bytes before the samples: RIFF and its form 12, the format 8 + 18, the number of samples 8 + 4, the head of the data 8. */
const head = 58;
/** Bytes of a sample. */
const wide = 4;

/**
 * Traces as a sound file, sampled over the span that they all cover.
 * @param rate samples a second, a whole number
 * @throws RangeError where the rate is not allowed, or more samples would be needed than `Trace.resample` makes
 */
export function toSound(traces: readonly Trace[], rate: number): Uint8Array {
  if (!Number.isInteger(rate) || rate < 1 || rate >= 2 ** 32 / (wide * traces.length))
    throw new RangeError(`${rate} Hz is no rate of a sound file`);
  const from = Math.max(...traces.map((t) => t.from));
  const to = Math.min(...traces.map((t) => t.to));
  const channels = traces.map((t) => t.resample(1 / rate, from, to));
  const count = Math.min(...channels.map((one) => one.length));
  const frame = wide * channels.length;
  const bytes = new Uint8Array(head + count * frame);
  const view = new DataView(bytes.buffer);
  const word = (at: number, text: string) => {
    for (let i = 0; i < 4; i++) bytes[at + i] = text.charCodeAt(i);
  };
  word(0, "RIFF");
  view.setUint32(4, bytes.length - 8, true);
  word(8, "WAVE");
  word(12, "fmt ");
  view.setUint32(16, 18, true);
  view.setUint16(20, 3, true);
  view.setUint16(22, channels.length, true);
  view.setUint32(24, rate, true);
  view.setUint32(28, rate * frame, true);
  view.setUint16(32, frame, true);
  view.setUint16(34, 8 * wide, true);
  word(38, "fact");
  view.setUint32(42, 4, true);
  view.setUint32(46, count, true);
  word(50, "data");
  view.setUint32(54, count * frame, true);
  for (const [c, channel] of channels.entries())
    for (let i = 0; i < count; i++) view.setFloat32(head + i * frame + c * wide, channel[i], true);
  return bytes;
}
