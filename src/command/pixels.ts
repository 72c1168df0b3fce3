// A PNG file as a picture for video: its luminance, row by row.
// Takes bytes; gives pixels from 0 (black) to 1 (white), or nothing where they are no PNG. Always: the values of the
// file are taken as the signal's own, which has its gamma already, as they come from a camera or a drawing program.
import { convertIndexedToRgb, decode } from "fast-png";
import type { Pixels } from "../design/films.js";

// The luminance of red, green and blue of television (ITU-R BT.601, 2.5.1).
const weights = [0.299, 0.587, 0.114] as const;

/** The luminance of a PNG; what is transparent shows black. Nothing for grey of fewer than 8 bits. */
export function luminance(bytes: Uint8Array): Pixels | undefined {
  let image: ReturnType<typeof decode>;
  try {
    image = decode(bytes);
  } catch {
    return undefined;
  }
  const { width, height, depth } = image;
  if (!image.palette && depth < 8) return undefined;
  const samples = image.palette ? convertIndexedToRgb(image) : image.data;
  const channels = samples.length / (width * height);
  const most = depth === 16 ? 65535 : 255;
  const data = Float64Array.from({ length: width * height }, (_, i) => {
    const from = [...samples.subarray(i * channels, (i + 1) * channels)];
    const opaque = from.length === 2 || from.length === 4 ? from.pop()! / most : 1;
    const [red, green = red, blue = red] = from as [number, number?, number?];
    return (opaque * (weights[0] * red + weights[1] * green! + weights[2] * blue!)) / most;
  });
  return { width, height, data };
}
