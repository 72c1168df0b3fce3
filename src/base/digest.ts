// A short, non-cryptographic digest to tell texts apart: the 64-bit hash FNV-1a of the UTF-8 bytes (G. Fowler, L. C. Noll,
// K.-P. Vo; IETF draft draft-eastlake-fnv), in whole numbers that doubles hold exactly.

/** The hash of a text as its upper and lower 32 bits. */
export function digest(text: string): readonly [number, number] {
  let high = 0xcbf29ce4;
  let low = 0x84222325;
  // The prime is 2^40 + 0x1b3: its upper part shifts the lower word by eight bits into the upper one.
  const prime = 0x1b3;
  // In whole numbers of 32 bits alone, by halves of the lower word: such texts may have a million letters.
  const take = (byte: number) => {
    const met = low ^ byte;
    const least = (met & 0xffff) * prime;
    const next = (met >>> 16) * prime + (least >>> 16);
    high = (Math.imul(high, prime) + (next >>> 16) + (met << 8)) >>> 0;
    low = ((next << 16) | (least & 0xffff)) >>> 0;
  };
  for (let i = 0; i < text.length; i++) {
    const unit = text.charCodeAt(i);
    if (unit < 0x80) {
      take(unit);
      continue;
    }
    const code = text.codePointAt(i)!;
    if (code > 0xffff) i++;
    const more = code < 0x800 ? 1 : code < 0x10000 ? 2 : 3;
    // As many leading ones as the letter has bytes.
    take(((0xff00 >> (more + 1)) & 0xff) | (code >> (6 * more)));
    for (let j = more - 1; j >= 0; j--) take(0x80 | ((code >> (6 * j)) & 0x3f));
  }
  return [high, low];
}

/** The hash of a text as sixteen hexadecimal digits. */
export function fingerprint(text: string): string {
  return digest(text)
    .map((word) => word.toString(16).padStart(8, "0"))
    .join("");
}
