// What a design brings from its folder, as plain text that stands in the page, and back: the page has no folder to read from.
import type { Resolver } from "../design/bring.js";
import type { Pictures, Pixels, Unusable } from "../design/videowave.js";
import type { PackedBrought } from "./messages.js";

/** Texts and pictures by the path they were asked for; undefined where there was none. */
interface BroughtFiles {
  readonly texts: ReadonlyMap<string, string | undefined>;
  readonly pictures: ReadonlyMap<string, Pixels | Unusable | undefined>;
}

/** Levels of luminance that a packed picture tells apart. */
const levels = 65535;

/** Packs what was brought. Luminance is kept to 16 bits, as fine as any PNG has it. */
export function packed({ texts, pictures }: BroughtFiles): PackedBrought {
  const known = <T>(all: ReadonlyMap<string, T | undefined>) =>
    [...all].flatMap(([path, one]) => (one === undefined ? [] : [[path, one] as const]));
  return {
    texts: Object.fromEntries(known(texts)),
    pictures: Object.fromEntries(
      known(pictures).map(([path, one]) => [path, "reason" in one ? one.reason : bytesOf(one)]),
    ),
  };
}

/** How the engine finds what was packed; nothing else is there. */
export function unpacked({ texts, pictures }: PackedBrought): { resolve: Resolver; pictures: Pictures } {
  const own = <T>(all: Readonly<Record<string, T>>, path: string) =>
    Object.hasOwn(all, path) ? all[path] : undefined;
  return {
    resolve: (path) => own(texts, path),
    pictures: (path) => {
      const found = own(pictures, path);
      if (found === undefined) return undefined;
      return typeof found === "string" ? { reason: found } : pixelsOf(found);
    },
  };
}

function bytesOf({ width, height, data }: Pixels): { width: number; height: number; bytes: string } {
  const scale = data instanceof Uint8Array ? levels / 255 : levels;
  let letters = "";
  for (const level of data) {
    const n = Math.round(level * scale);
    letters += String.fromCharCode(n >> 8, n & 255);
  }
  return { width, height, bytes: btoa(letters) };
}

function pixelsOf({ width, height, bytes }: { width: number; height: number; bytes: string }): Pixels {
  const letters = atob(bytes);
  const data = Float64Array.from(
    { length: width * height },
    (_, i) => (256 * letters.charCodeAt(2 * i) + letters.charCodeAt(2 * i + 1)) / levels,
  );
  return { width, height, data };
}
