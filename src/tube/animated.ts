// A film as an animated PNG, after "Portable Network Graphics (PNG) Specification (Third Edition)", W3C 2025: acTL before the
// first picture, fcTL before each one, and the data of all but the first in fdAT. A reader without animation shows the first
// field.
import { handed } from "../base/handed.js";
import type { Film } from "./film.js";
import { png } from "./image.js";

/** Bytes of the signature before the first chunk. */
const signature = 8;

/**
 * The bytes of a file that shows the fields in turn, each as long as it lasted, over and over.
 *
 * @category Pictures
 * @example
 * ```ts
 * const fields = film(board, { fields: 2 });
 * writeFileSync("moving.png", animated(fields));
 * ```
 */
export function animated(film: Film): Uint8Array {
  handed("film", film);
  const { width, height, frames } = film;
  const files = frames.map(({ grey }) => png({ width, height, grey }));
  const parts: Uint8Array[] = [files[0].subarray(0, signature)];
  let sequence = 0;
  for (const { word, body } of chunks(files[0])) {
    if (word === "IHDR") parts.push(chunk(word, body), chunk("acTL", numbers(4, [frames.length, 0])));
    if (word === "IDAT") break;
  }
  files.forEach((file, i) => {
    const { from, to } = frames[i];
    const control = [
      ...numbers(4, [sequence++, width, height, 0, 0]),
      // Duration in milliseconds; the next picture overwrites this one.
      ...numbers(2, [Math.min(65535, Math.max(1, Math.round((to - from) * 1000))), 1000]),
      ...[0, 0],
    ];
    parts.push(chunk("fcTL", Uint8Array.from(control)));
    for (const { word, body } of chunks(file)) {
      if (word !== "IDAT") continue;
      if (i === 0) parts.push(chunk(word, body));
      else parts.push(chunk("fdAT", Uint8Array.from([...numbers(4, [sequence++]), ...body])));
    }
  });
  parts.push(chunk("IEND", new Uint8Array(0)));
  return joined(parts);
}

function* chunks(file: Uint8Array): Generator<{ word: string; body: Uint8Array }> {
  const view = new DataView(file.buffer, file.byteOffset, file.length);
  for (let at = signature; at < file.length; ) {
    const length = view.getUint32(at);
    const word = String.fromCharCode(...file.subarray(at + 4, at + 8));
    yield { word, body: file.subarray(at + 8, at + 8 + length) };
    at += 12 + length;
  }
}

function chunk(word: string, body: Uint8Array): Uint8Array {
  const named = joined([Uint8Array.from(word, (letter) => letter.charCodeAt(0)), body]);
  return joined([numbers(4, [body.length]), named, numbers(4, [checked(named)])]);
}

/** Whole numbers of `bytes` bytes each, highest byte first. */
function numbers(bytes: 2 | 4, values: readonly number[]): Uint8Array {
  const view = new DataView(new ArrayBuffer(bytes * values.length));
  values.forEach((value, i) => {
    if (bytes === 4) view.setUint32(4 * i, value);
    else view.setUint16(2 * i, value);
  });
  return new Uint8Array(view.buffer);
}

/** The cyclic redundancy check of ISO 3309, as in annex D of the specification. */
function checked(bytes: Uint8Array): number {
  let rest = 0xffffffff;
  for (const byte of bytes) {
    rest ^= byte;
    for (let k = 0; k < 8; k++) rest = (rest & 1) === 1 ? (rest >>> 1) ^ 0xedb88320 : rest >>> 1;
  }
  return (rest ^ 0xffffffff) >>> 0;
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
