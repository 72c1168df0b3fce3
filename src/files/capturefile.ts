// A capture from a file, which may be far larger than any design: read piece by piece, so that only its numbers are kept.
import { closeSync, openSync, readSync, statSync } from "node:fs";
import { refusal } from "../base/diagnostic.js";
import type { Capture } from "../instruments/capture.js";
import { type ReadOptions, readCapture } from "../instruments/readcapture.js";
import { isSoundFile } from "../instruments/soundfile.js";
import { inputAt, inputBytes } from "./filesread.js";

/** Bytes of a capture that are read at a time, and the most that one may have. */
const piece = 1 << 20;
const mostOfCapture = 1.5e9;

/**
 * Reads a capture from a file, piece by piece.
 * @throws DesignError with what is wrong with it, or `too-many-samples` for a file that is too large
 */
export function captureIn(file: string, options: ReadOptions): Capture {
  const { size } = statSync(file);
  if (size > mostOfCapture)
    throw refusal(
      "too-many-samples",
      `${options.name}: ${(size / 1e9).toFixed(1)} GB are more than is read of a capture`,
      "take fewer samples, or fewer channels",
    );
  const [head] = piecesOf(file);
  return readCapture(head && isSoundFile(head) ? inputBytes(file) : piecesOf(file), options);
}

function* piecesOf(file: string): Generator<Uint8Array> {
  const open = openSync(inputAt(file), "r");
  try {
    for (;;) {
      const bytes = new Uint8Array(piece);
      const count = readSync(open, bytes);
      if (count === 0) return;
      yield bytes.subarray(0, count);
    }
  } finally {
    closeSync(open);
  }
}
