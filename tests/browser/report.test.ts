// The page of a design as the browser has it.
import { readFileSync, writeFileSync } from "node:fs";
import { expect, test } from "vitest";
import { draw, place } from "./drawn.js";
import { shoot, tooWide, visit } from "./open.js";
import { wordsOf } from "./paper.js";

test("the report stands alone", async () => {
  const file = place("report", "nestbox.html");
  draw("report", "examples/nestbox.ramp", "--out", file);
  await visit(file, {}, async (page) => {
    expect(await page.locator("figure.still svg").count()).toBe(9);
    expect(await page.locator(".drawing svg").count()).toBe(2);
    expect(await page.locator("footer").count()).toBe(1);
    await shoot(page, `${file}.png`);
  });
});

// Common practice, no source: a last sheet of paper has more on it than the footer. At the middle one of these heights it was alone there.
test("the footer is never alone on a sheet of paper", async () => {
  const file = place("report", "footed.html");
  draw("report", "examples/line.ramp", "--stress", "--out", file);
  await visit(file, {}, async (page) => {
    for (const tall of [215, 220, 225]) {
      const path = `${file}.pdf`;
      await page.pdf({ path, width: "210mm", height: `${tall}mm` });
      const last = wordsOf(path)?.at(-1) ?? "";
      expect(last.slice(0, 10), `${tall} mm`).not.toBe("Written by");
    }
  });
});

// WCAG 2.2, 1.4.10: what needs two dimensions may be scrolled, the page may not.
test("without script waveforms can be read on a telephone: they are scrolled, and the page is not", async () => {
  const file = place("report", "narrow.html");
  draw("report", "examples/line.ramp", "--out", file);
  await visit(file, { width: 360, script: false }, async (page) => {
    const letters = page.locator("figure.still svg text").first();
    await letters.scrollIntoViewIfNeeded();
    // Letters as tall as the smallest of the page.
    expect((await letters.boundingBox())!.height).toBeGreaterThan(9);
    expect(await tooWide(page)).toBe(false);
    await shoot(page, `${file}.png`, { whole: false });
  });
});

test("markup in a design is shown and does nothing", async () => {
  const evil = "<img src=x onerror=document.title=1><script>document.title=2</script>&lt;b&gt; ' \u202e";
  const text = readFileSync("examples/line.ramp", "utf8").replace(/title ".*"/, `title "${evil}"`);
  const design = place("report", "markup.ramp");
  writeFileSync(design, text);
  const file = place("report", "markup.html");
  draw("report", design, "--out", file);
  await visit(file, {}, async (page) => {
    expect(await page.locator("img").count()).toBe(0);
    expect(await page.title()).toBe(evil.replace("\u202e", "[U+202E]"));
    expect(await page.locator("h1").textContent()).toContain("<script>document.title=2</script>&lt;b&gt;");
  });
});
