// FNV-1a of 64 bits against the test vectors that its authors publish (draft-eastlake-fnv, appendix C) and against its
// definition in whole numbers of any size.
import { describe, expect, it } from "vitest";
import { digest, fingerprint } from "../../src/base/digest.js";

/** The definition: xor with each byte, then times 2^40 + 2^8 + 0xb3, modulo 2^64. */
function defined(text: string): string {
  let hash = 0xcbf29ce484222325n;
  for (const byte of new TextEncoder().encode(text))
    hash = ((hash ^ BigInt(byte)) * 0x100000001b3n) & 0xffffffffffffffffn;
  return hash.toString(16).padStart(16, "0");
}

describe("digest", () => {
  it.each([
    ["", "cbf29ce484222325"],
    ["a", "af63dc4c8601ec8c"],
    ["b", "af63df4c8601f1a5"],
    ["foobar", "85944171f73967e8"],
  ])("of '%s' as published", (text, hash) => {
    expect(fingerprint(text)).toBe(hash);
  });

  it.each(["timing", "line.feed.headroom", "Röhre", "管", "😀 ramp", "\u0000", "x".repeat(10_000)])(
    "of letters of every length as defined: %#",
    (text) => {
      expect(fingerprint(text)).toBe(defined(text));
      const [high, low] = digest(text);
      expect((BigInt(high) << 32n) | BigInt(low)).toBe(BigInt(`0x${defined(text)}`));
    },
  );
});
