// Pictures in the dark. Contrast by WCAG 2.2, success criteria 1.4.3 (text: 4.5) and 1.4.11 (what is needed to understand: 3).
import { expect, test } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { darkStyle, inTheDark } from "../../src/report/darkness.js";
import { darkInk, inkAt } from "../../src/report/inkscale.js";
import { waveforms } from "../../src/schematic/reporting.js";
import { draw } from "../../src/schematic/schematic.js";

/** Relative luminance and contrast as WCAG 2.2 defines them. */
function luminance(colour: string): number {
  const [r, g, b] = [1, 3, 5].map((at) => {
    const c = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
function contrast(a: string, b: string): number {
  const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
}

test.each(["#ffffff", "#f8f9fa"])("words and curves can be read on what was %s", (ground) => {
  for (const words of ["#1d2733", "#5b6773", "#6b4a00", "#a3201c", "#00609c", "#c24a00", "#00795a"])
    expect(contrast(inTheDark[words], inTheDark[ground]), words).toBeGreaterThanOrEqual(4.5);
  expect(contrast(inTheDark["#a87400"], inTheDark[ground])).toBeGreaterThanOrEqual(3);
});

test("every colour of a waveform picture and a schematic has one for the dark", () => {
  const run = simulate(
    compile(`signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns
resistor load gate -> ground 1 kohm
run for 1 ms
check "peak" peak of gate each gate between 4 V and 6 V`),
  );
  for (const svg of [waveforms(run)!, draw(run.design)]) {
    expect(svg).toContain("@media screen and (prefers-color-scheme:dark)");
    const drawn = svg.replace(/<style>.*?<\/style>/s, "");
    for (const [, colour] of drawn.matchAll(/ (?:fill|stroke)="(#[0-9a-f]+)"/g))
      expect(svg).toContain(`{fill:${inTheDark[colour]}}`);
  }
});

test("a drawing with a colour of its own stays light", () => {
  expect(darkStyle('<path stroke="#123456"/>')).toBe("");
  expect(darkStyle('<path stroke="#1d2733" fill="none"/>')).toContain('[stroke="#1d2733"]{stroke:#e2e8ee}');
});

test("what goes along a range can be read in the dark, in the order of its lightness", () => {
  const dark = Array.from({ length: 40 }, (_, k) => darkInk(inkAt(k / 39))!);
  for (const ink of dark) expect(contrast(ink, inTheDark["#ffffff"]), ink).toBeGreaterThanOrEqual(4.5);
  for (const [k, ink] of dark.entries())
    if (k > 0) expect(luminance(ink)).toBeGreaterThan(luminance(dark[k - 1]));
  expect(darkStyle(`<path stroke="${inkAt(0.37)}"/>`)).toContain(darkInk(inkAt(0.37)));
});
