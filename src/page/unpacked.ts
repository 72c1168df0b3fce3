// Reads back the stack that a page holds as text (packedstack.ts describes the format). The platform inflates it, many times
// faster than a script could; the bytes of a trace are read in place, without reordering them first.
/// <reference lib="dom" />
import {
  bendParts,
  type PackedHead,
  type PackedStack,
  sampleSize,
  type TraceHead,
  topLevel,
} from "../report/packedstack.js";
import type { Stack } from "../report/stack.js";
import { Trace } from "../waveforms/trace.js";

/** The stack that was packed. @throws Error if the texts are not a packed stack */
export async function unpack({ head, body }: Pick<PackedStack, "head" | "body">): Promise<Stack> {
  const { panels, periods, ...rest } = JSON.parse(head) as PackedHead;
  const bytes = bytesOf(body);
  let at = 0;
  const read = panels.map(async (panel) => {
    const { count, bytes: length } = panel.trace;
    const deflated = bytes.subarray(at, at + length);
    at += length;
    return { ...panel, trace: traceOf(panel.trace, await inflated(deflated, count * sampleSize)) };
  });
  return {
    ...rest,
    periods: periods.map(({ name, starts }) => ({ name, starts: Float64Array.from(starts) })),
    panels: await Promise.all(read),
  };
}

async function inflated(deflated: Uint8Array<ArrayBuffer>, length: number): Promise<Uint8Array> {
  const whole = new Uint8Array(length);
  const reader = new Blob([deflated]).stream().pipeThrough(new DecompressionStream("deflate")).getReader();
  let at = 0;
  for (let next = await reader.read(); !next.done; next = await reader.read()) {
    whole.set(next.value, at);
    at += next.value.length;
  }
  if (at !== length) throw new Error("samples are missing");
  return whole;
}

function traceOf({ name, unit, count, start, low, high }: TraceHead, bytes: Uint8Array): Trace {
  const [s0, s1, s2, s3, v0, v1, a0, a1, b0, b1] = Array.from({ length: sampleSize }, (_, k) =>
    bytes.subarray(k * count, (k + 1) * count),
  );
  const time = new Float64Array(count);
  const value = new Float64Array(count);
  const word = new Uint32Array(1);
  const step = new Float32Array(word.buffer);
  const swing = high - low;
  let reached = start;
  for (let i = 0; i < count; i++) {
    word[0] = s0[i] | (s1[i] << 8) | (s2[i] << 16) | (s3[i] << 24);
    reached += step[0];
    time[i] = reached;
    const level = v0[i] | (v1[i] << 8);
    value[i] = level === topLevel ? high : low + (level / topLevel) * swing;
  }
  const straight = bytes.subarray(6 * count).every((byte) => byte === 0);
  if (straight) return new Trace({ name, unit, time, value });
  const slope = new Float64Array(count);
  const slopeBefore = new Float64Array(count);
  const part = swing / bendParts;
  // Rounding must not bend a curve that ends level the other way: a slope within one step of rounding becomes zero.
  const level0 = (rise: number) => (Math.abs(rise) * bendParts <= swing ? 0 : rise);
  for (let i = 0; i + 1 < count; i++) {
    const length = time[i + 1] - time[i];
    if (!(length > 0)) continue;
    const rise = value[i + 1] - value[i];
    slope[i] = level0(rise + signed(a0[i], a1[i]) * part) / length;
    slopeBefore[i + 1] = level0(rise + signed(b0[i], b1[i]) * part) / length;
  }
  return new Trace({ name, unit, time, value, slope, slopeBefore, exact: true });
}

/** Two bytes as a signed whole number. */
function signed(low: number, high: number): number {
  return ((low | (high << 8)) << 16) >> 16;
}

function bytesOf(text: string): Uint8Array<ArrayBuffer> {
  const plain = atob(text);
  const bytes = new Uint8Array(plain.length);
  for (let i = 0; i < plain.length; i++) bytes[i] = plain.charCodeAt(i);
  return bytes;
}
