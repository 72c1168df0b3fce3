// A film as an animated PNG, after "Portable Network Graphics (PNG) Specification (Third Edition)", W3C 2025: acTL before the
// first picture, fcTL before each one, and the data of all but the first in fdAT. A reader without animation shows the first
// field.
import { handed } from "../base/handed.js";
import type { Film } from "./film.js";
import { chunk, concatenated, numbers, packedRows, signature, sizeChunk } from "./pngfile.js";

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
  let sequence = 0;
  const shown = frames.flatMap(({ from, to, grey }, i) => {
    // In milliseconds; the next picture overwrites this one.
    const lasts = Math.min(65535, Math.max(1, Math.round((to - from) * 1000)));
    const place = numbers(4, [sequence++, width, height, 0, 0]);
    const control = chunk("fcTL", place, numbers(2, [lasts, 1000]), Uint8Array.of(0, 0));
    const rows = packedRows(width, height, grey);
    return [control, i === 0 ? chunk("IDAT", rows) : chunk("fdAT", numbers(4, [sequence++]), rows)];
  });
  return concatenated([
    signature,
    sizeChunk(width, height),
    chunk("acTL", numbers(4, [frames.length, 0])),
    ...shown,
    chunk("IEND"),
  ]);
}
