// A short, non-cryptographic digest to tell texts apart: the 64-bit hash FNV-1a of the UTF-8 bytes (G. Fowler, L. C. Noll,
// K.-P. Vo; IETF draft draft-eastlake-fnv), in whole numbers that doubles hold exactly.

/** The hash of a text as its upper and lower 32 bits. */
export function digest(text: string): readonly [number, number] {
  let high = 0xcbf29ce4;
  let low = 0x84222325;
  // The prime is 2^40 + 0x1b3: its upper part shifts the lower word by eight bits into the upper one.
  const prime = 0x1b3;
  const take = (byte: number) => {
    low = (low ^ byte) >>> 0;
    const product = low * prime;
    high = (Math.imul(high, prime) + Math.floor(product / 2 ** 32) + (low << 8)) >>> 0;
    low = product % 2 ** 32;
  };
  for (const letter of text) {
    const code = letter.codePointAt(0)!;
    if (code < 0x80) take(code);
    else {
      const more = code < 0x800 ? 1 : code < 0x10000 ? 2 : 3;
      // As many leading ones as the letter has bytes.
      take(((0xff00 >> (more + 1)) & 0xff) | (code >> (6 * more)));
      for (let i = more - 1; i >= 0; i--) take(0x80 | ((code >> (6 * i)) & 0x3f));
    }
  }
  return [high, low];
}

/** The hash of a text as sixteen hexadecimal digits. */
export function fingerprint(text: string): string {
  return digest(text)
    .map((word) => word.toString(16).padStart(8, "0"))
    .join("");
}
