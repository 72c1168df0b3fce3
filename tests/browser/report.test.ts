// The page of a design as the browser has it.
import { readFileSync, writeFileSync } from "node:fs";
import { expect, test } from "vitest";
import { draw, place } from "./drawn.js";
import { shoot, visit } from "./open.js";

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
