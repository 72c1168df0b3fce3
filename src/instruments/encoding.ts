// How the bytes of a table stand for characters. All of it is ASCII but for a unit (µs, Ω), and a wrong guess there would make
// microseconds seconds. So a byte-order mark counts; without one, zeros at every other place are UTF-16, and bytes that cannot be
// UTF-8 are those of Windows-1252, which older instruments write.

/** Decodes bytes that come in pieces. */
export interface Decoder {
  take(piece: Uint8Array): string;
  /** What was left of the last piece. */
  rest(): string;
}

/** Bytes that are looked at for zeros. */
const looked = 256;
/** A piece may end within a character: so many bytes are kept for the next at most. */
const mostKept = 16;

/** The decoder for bytes that begin with these. */
export function decoderFor(first: Uint8Array): Decoder {
  const mark = wideMark(first);
  if (!mark) return new Narrow();
  const wide = new TextDecoder(mark);
  return { take: (piece) => wide.decode(piece, { stream: true }), rest: () => wide.decode() };
}

/** A design's text: UTF-8, or what its byte-order mark says, since some shells write what they redirect as UTF-16. */
export function designText(bytes: Uint8Array): string {
  const marked = bytes[0] >= 0xfe && (bytes[0] ^ bytes[1]) === 1 ? wideMark(bytes) : undefined;
  return new TextDecoder(marked ?? "utf-8", { ignoreBOM: marked === undefined }).decode(bytes);
}

/** The name of the encoding if it takes two bytes for a character. */
function wideMark(bytes: Uint8Array): "utf-16le" | "utf-16be" | undefined {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return "utf-16le";
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return "utf-16be";
  const zeros = [0, 0];
  const many = Math.min(looked, bytes.length) & ~1;
  for (let i = 0; i < many; i++) if (bytes[i] === 0) zeros[i % 2]++;
  const half = many / 4;
  if (zeros[1] > half && zeros[0] === 0) return "utf-16le";
  return zeros[0] > half && zeros[1] === 0 ? "utf-16be" : undefined;
}

/** UTF-8 where the bytes allow it, else Windows-1252; pieces are cut at ASCII characters, so that each is one or the other. */
class Narrow implements Decoder {
  private readonly strict = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });
  private kept = new Uint8Array(0);

  take(piece: Uint8Array): string {
    const all = joined(this.kept, piece);
    let end = all.length;
    while (end > 0 && all.length - end < mostKept && all[end - 1] >= 0x80) end--;
    this.kept = all.slice(end);
    return this.decoded(all.subarray(0, end));
  }

  rest(): string {
    const last = this.kept;
    this.kept = new Uint8Array(0);
    return this.decoded(last);
  }

  private decoded(bytes: Uint8Array): string {
    try {
      return this.strict.decode(bytes);
    } catch {
      return new TextDecoder("windows-1252").decode(bytes);
    }
  }
}

function joined(a: Uint8Array, b: Uint8Array): Uint8Array {
  if (a.length === 0) return b;
  const both = new Uint8Array(a.length + b.length);
  both.set(a);
  both.set(b, a.length);
  return both;
}
