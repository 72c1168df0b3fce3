// The sheet for the bench as a browser prints it, on both papers of the trade.
import { readFileSync, writeFileSync } from "node:fs";
import { expect, test } from "vitest";
import { draw, place } from "./drawn.js";
import { shoot, tooWide, visit } from "./open.js";
import { pagesOf } from "./paper.js";

/** Sizes of paper, mm: ISO 216 and ANSI/ASME Y14.1; of a screen 96 px are an inch. */
const papers = { A4: [210, 297], Letter: [215.9, 279.4] } as const;

test.each(["line", "board"])(
  "the sheet of %s prints on one page of either paper, cautions first",
  async (name) => {
    const design = place("sheet", `${name}.ramp`);
    writeFileSync(design, readFileSync(`examples/${name}.ramp`, "utf8"));
    const file = place("sheet", `${name}.html`);
    draw("sheet", design, "--boards", name === "line" ? "24" : "2", "--out", file);
    await visit(file, {}, async (page) => {
      const caution = page.locator(".caution");
      expect(await caution.locator("li").first().textContent()).toBe(
        "The earth clip of a probe on a live chassis is a short.",
      );
      const table = await page.locator("table").boundingBox();
      expect((await caution.boundingBox())!.y).toBeLessThan(table!.y);
      await page.emulateMedia({ media: "print" });
      for (const [format, [wide, tall]] of Object.entries(papers)) {
        const px = (mm: number) => Math.round((mm / 25.4) * 96);
        await page.setViewportSize({ width: px(wide - 18), height: px(tall - 18) });
        // Nothing sticks out of the paper.
        expect(await page.evaluate("document.documentElement.scrollWidth")).toBeLessThanOrEqual(
          px(wide - 18),
        );
        await page.screenshot({ path: `${file}.${format}.png`, fullPage: true });
        const pdf = await page.pdf({ format, path: `${file}.${format}.pdf`, preferCSSPageSize: false });
        expect(pagesOf(pdf), format).toBe(1);
      }
    });
  },
);

// WCAG 2.2, 1.4.10: text is read at 320 px without scrolling two ways; a word is not cut where there is room for it.
test("on a telephone a test point is a card, and its screen as wide as the page", async () => {
  const file = place("sheet", "narrow.html");
  draw("sheet", "examples/line.ramp", "--boards", "2", "--out", file);
  await visit(file, { width: 320 }, async (page) => {
    expect(await tooWide(page)).toBe(false);
    const name = (await page.locator("td b").first().boundingBox())!;
    const text = await page
      .locator("td div")
      .first()
      .evaluate((e) => Number.parseFloat(getComputedStyle(e).fontSize));
    // One line, in letters of 11 pt.
    expect(name.height).toBeLessThan(2 * text);
    expect(text).toBeGreaterThan(14);
    expect((await page.locator("svg").first().boundingBox())!.width).toBeGreaterThan(250);
    await shoot(page, `${file}.png`);
  });
});
