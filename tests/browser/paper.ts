// What a browser prints, read back: pages from the file itself, words by poppler's `pdftotext` where it is installed, as it is in the CI.
import { spawnSync } from "node:child_process";
import { expect } from "vitest";

/** Pages of a PDF: each has an object of its own (ISO 32000-1, 7.7.3.3). */
export const pagesOf = (pdf: Buffer): number =>
  [...pdf.toString("latin1").matchAll(/\/Type\s*\/Page\b(?!s)/g)].length;

/** Sizes of its pages, in 1/72 inch (7.7.3.3: MediaBox). */
export const sizesOf = (pdf: Buffer): readonly (readonly number[])[] =>
  Array.from(
    pdf.toString("latin1").matchAll(/\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]/g),
    ([, wide, tall]) => [Number(wide), Number(tall)],
  );

/** The words of each page, white space folded; undefined where nothing here reads them. */
export function wordsOf(file: string): readonly string[] | undefined {
  const { status, stdout } = spawnSync("pdftotext", [file, "-"], { encoding: "utf8" });
  if (status !== 0) return undefined;
  return stdout
    .split("\f")
    .slice(0, -1)
    .map((page) => page.replace(/\s+/g, " ").trim());
}

/** What was printed on A4 is on sheets of that size, none of them empty, and says these things; gives the words of each, if they can be read. */
export function expectPrinted(pdf: Buffer, file: string, says: readonly string[]): readonly string[] {
  const sizes = sizesOf(pdf);
  expect(sizes.length).toBe(pagesOf(pdf));
  // ISO 216: 210 mm by 297 mm; a browser rounds to whole pixels of 1/96 inch.
  for (const [wide, tall] of sizes) {
    expect(Math.abs(wide - (210 / 25.4) * 72)).toBeLessThan(0.75);
    expect(Math.abs(tall - (297 / 25.4) * 72)).toBeLessThan(1.1);
  }
  const pages = wordsOf(file);
  if (!pages) return [];
  expect(pages.length).toBe(sizes.length);
  expect(pages.filter((words) => words === "")).toEqual([]);
  const all = pages.join(" ");
  for (const one of says) expect(all).toContain(one);
  return pages;
}
