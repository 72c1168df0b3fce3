// A text in a link: deflated by the platform, in the characters that need no escape in an address (RFC 4648, section 5). Links
// come from anyone, so one is read only up to a bound and refused if it is not such a text.

/// <reference lib="dom" />
export const textKey = "text";
/** Characters of a link that browsers, and most programs that pass links on, handle safely. */
export const longestLink = 16_000;
/** Longest text that is unpacked, in bytes. */
const longestText = 1_000_000;

export async function packedText(text: string): Promise<string> {
  const bytes = await through(
    new Blob([text]).stream(),
    new CompressionStream("deflate-raw"),
    Number.POSITIVE_INFINITY,
  );
  const letters = bytes.reduce((all, byte) => all + String.fromCharCode(byte), "");
  return btoa(letters).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/** Unpacks a text; undefined if it is not one, or is too long. */
export async function unpackedText(letters: string): Promise<string | undefined> {
  if (!/^[\w-]+$/.test(letters) || letters.length > longestLink) return undefined;
  try {
    const bytes = Uint8Array.from(atob(letters.replaceAll("-", "+").replaceAll("_", "/")), (one) =>
      one.charCodeAt(0),
    );
    const plain = await through(
      new Blob([bytes]).stream(),
      new DecompressionStream("deflate-raw"),
      longestText,
    );
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(plain);
  } catch {
    // Not packed by us, cut off on the way, or too long.
    return undefined;
  }
}

/** Everything that a stream delivers. @throws RangeError for more than `most` bytes */
async function through(
  stream: ReadableStream<Uint8Array<ArrayBuffer>>,
  change: CompressionStream | DecompressionStream,
  most: number,
): Promise<Uint8Array> {
  const reader = stream.pipeThrough(change).getReader();
  const pieces: Uint8Array[] = [];
  let length = 0;
  for (let next = await reader.read(); !next.done; next = await reader.read()) {
    pieces.push(next.value);
    length += next.value.length;
    if (length > most) {
      await reader.cancel();
      throw new RangeError("too long");
    }
  }
  const whole = new Uint8Array(length);
  let at = 0;
  for (const piece of pieces) {
    whole.set(piece, at);
    at += piece.length;
  }
  return whole;
}
