// The stack of a run as text, so that a page can hold it: a head in JSON, and the samples of all traces as bytes, deflated per
// trace (RFC 1950), in base64; src/page/unpacked.ts reads them. A picture needs no more than this of a sample: its time to 6e-8
// of the step before it, its value to 1.5e-5 of the trace's swing, and the bend of the curve after it to 2.5e-4. Bytes of like
// significance are stored together, since that deflates best.
//
// Traces follow each other, all little-endian: time steps (float32; 0 at a jump), values (uint16, from the lowest to
// the highest), bends at the start and at the end of the stretch after each sample (int16); see the notation of arc.ts.
import { zlibSync } from "fflate";
import { Arc } from "../waveforms/arc.js";
import { Trace } from "../waveforms/trace.js";
import type { KeptStack, Stack, StackPanel } from "./stack.js";

export interface PackedStack {
  /** JSON. */
  readonly head: string;
  /** Base64. */
  readonly body: string;
}

/** What the head says about a trace. */
export interface TraceHead {
  readonly name: string;
  readonly unit: string;
  readonly count: number;
  readonly start: number;
  readonly low: number;
  readonly high: number;
  /** Bytes of its deflated samples. */
  readonly bytes: number;
}

/** What the head says about a panel. */
type PanelHead = Omit<StackPanel, "trace"> & { readonly trace: TraceHead };

export type PackedHead = Omit<Stack, "panels" | "periods"> & {
  readonly panels: readonly PanelHead[];
  readonly periods: readonly { readonly name: string; readonly starts: readonly number[] }[];
};

/** Bytes of each figure of a sample. */
const sizes = [4, 2, 2, 2] as const;
/** Their sum. */
export const sampleSize = 10;
/** The code of a trace's highest value. */
export const topLevel = 65_535;
/** Larger values are clipped to this, so that the swing stays finite. */
const most = 1e300;
/** Steps of the swing in which a bend is counted, and the most of these. */
export const bendParts = 4096;
const mostBend = 32_767;

export function pack(stack: Stack): PackedStack {
  const packer = new StackPacker();
  return packer.done({ ...stack, panels: stack.panels.map((panel) => packer.add(panel)) });
}

/** Packs a stack panel by panel, so that only one panel needs to be in memory. */
export class StackPacker {
  private readonly deflated: Uint8Array[] = [];

  /** Takes a panel; returns its entry in the head. */
  add(panel: StackPanel): PanelHead {
    const { head, figures } = written(panel.trace);
    const bytes = new Uint8Array(head.count * sampleSize);
    let at = 0;
    for (const [k, figure] of figures.entries()) {
      shuffle(figure, bytes.subarray(at), sizes[k]);
      at += figure.length;
    }
    const deflated = zlibSync(bytes, { level: 4 });
    this.deflated.push(deflated);
    return { ...panel, trace: { ...head, bytes: deflated.length } };
  }

  /** The packed stack, once all panels have been added. @param stack with the entries of its panels */
  done(stack: KeptStack<PanelHead>): PackedStack {
    const periods = stack.periods.map(({ name, starts }) => ({ name, starts: [...starts] }));
    const bytes = new Uint8Array(this.deflated.reduce((sum, { length }) => sum + length, 0));
    let at = 0;
    for (const piece of this.deflated) {
      bytes.set(piece, at);
      at += piece.length;
    }
    return { head: JSON.stringify({ ...stack, periods } satisfies PackedHead), body: base64(bytes) };
  }
}

function written(trace: Trace): { head: Omit<TraceHead, "bytes">; figures: Uint8Array[] } {
  const finite = trace.value.every(Number.isFinite) ? trace : withoutHoles(trace);
  const { time, value } = finite;
  const count = time.length;
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const v of value) {
    if (v < low) low = Math.max(v, -most);
    if (v > high) high = Math.min(v, most);
  }
  const step = new Float32Array(count);
  const level = new Uint16Array(count);
  const first = new Int16Array(count);
  const last = new Int16Array(count);
  const swing = high - low;
  const bend = (by: number) => Math.round((by / swing) * bendParts);
  const arc = new Arc();
  let reached = time[0] ?? 0;
  for (let i = 0; i < count; i++) {
    // Measured from the reader's running time, so that rounding does not accumulate.
    step[i] = i === 0 || time[i] === time[i - 1] ? 0 : Math.max(0, time[i] - reached);
    reached += step[i];
    if (!(swing > 0)) continue;
    level[i] = Math.round(((Math.min(Math.max(value[i], low), high) - low) / swing) * topLevel);
    if (i + 1 >= count || time[i + 1] === time[i]) continue;
    arc.load(finite, i);
    const [a, b] = [bend(arc.bendFirst), bend(arc.bendLast)];
    if (Math.abs(a) > mostBend || Math.abs(b) > mostBend) continue;
    first[i] = a;
    last[i] = b;
  }
  const figures = [step, level, first, last].map((list) => new Uint8Array(list.buffer));
  return { head: { name: trace.name, unit: trace.unit, count, start: time[0] ?? 0, low, high }, figures };
}

function withoutHoles({ name, unit, time, value }: Trace): Trace {
  const kept = [...time.keys()].filter((i) => Number.isFinite(value[i]));
  if (kept.length === 0) return new Trace({ name, unit, time: time.slice(0, 1), value: new Float64Array(1) });
  const pick = (list: Float64Array) => Float64Array.from(kept, (i) => list[i]);
  return new Trace({ name, unit, time: pick(time), value: pick(value) });
}

// All first bytes, then all second ones, and so on.
function shuffle(from: Uint8Array, into: Uint8Array, size: number): void {
  const count = from.length / size;
  for (let b = 0; b < size; b++) for (let i = 0; i < count; i++) into[b * count + i] = from[i * size + b];
}

/** Bytes as base64. */
export function base64(bytes: Uint8Array): string {
  const pieces: string[] = [];
  // Whole groups of three bytes, so that the pieces can be joined.
  for (let i = 0; i < bytes.length; i += 24_576)
    pieces.push(btoa(String.fromCharCode(...bytes.subarray(i, i + 24_576))));
  return pieces.join("");
}
