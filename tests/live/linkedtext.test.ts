// A text in a link, and what comes in by one. Node has the same streams as a browser.
import { readFileSync } from "node:fs";
import { deflateRawSync, inflateRawSync } from "node:zlib";
import fc from "fast-check";
import { expect, test } from "vitest";
import { longestLink, packedText, unpackedText } from "../../src/live/linkedtext.js";

test("every text comes back", async () => {
  await fc.assert(
    fc.asyncProperty(fc.string({ unit: "grapheme", minLength: 1, maxLength: 300 }), async (text) => {
      // A lone half of a pair is no text: UTF-8 has none.
      expect(await unpackedText(await packedText(text))).toBe(
        new TextDecoder().decode(new TextEncoder().encode(text)),
      );
    }),
    { numRuns: 50 },
  );
  expect(await unpackedText(await packedText("\ufeffbegins with a mark"))).toBe("\ufeffbegins with a mark");
});

test("it is deflated (RFC 1951) and written in base64url (RFC 4648), as others read it", async () => {
  const text = readFileSync("examples/board.ramp", "utf8");
  const letters = await packedText(text);
  expect(letters).toMatch(/^[A-Za-z0-9_-]+$/);
  expect(inflateRawSync(Buffer.from(letters, "base64url")).toString("utf8")).toBe(text);
  expect(await unpackedText(deflateRawSync(Buffer.from(text)).toString("base64url"))).toBe(text);
  // The largest of the examples fits into a link.
  expect(letters.length).toBeLessThan(longestLink / 2);
});

test("what is no text of ours is none", async () => {
  const packed = await packedText('title "nest box"\nresistor load a -> ground 1 kohm\n');
  for (const letters of ["", "%%%", "a b", "AAAA", packed.slice(0, -4), `${packed}=`, "_".repeat(50)])
    expect(await unpackedText(letters)).toBeUndefined();
  // No UTF-8.
  expect(
    await unpackedText(deflateRawSync(Uint8Array.of(0xff, 0xfe, 0xc0)).toString("base64url")),
  ).toBeUndefined();
  // Too long as it comes, and too long once it is unpacked.
  expect(await unpackedText("A".repeat(longestLink + 1))).toBeUndefined();
  const bomb = deflateRawSync(Buffer.alloc(5_000_000)).toString("base64url");
  expect(bomb.length).toBeLessThan(longestLink);
  expect(await unpackedText(bomb)).toBeUndefined();
});
