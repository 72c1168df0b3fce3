// Every picture of the example as the browser has it.
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { textWidth } from "../../src/report/lettering.js";
import { draw, place } from "./drawn.js";
import { shoot, visit } from "./open.js";

const folder = place("pictures");
draw("check", "examples/nestbox.ramp", "--pictures", folder);
draw("run", "examples/field.ramp", "--until", "60 ms", "--out", join(folder, "field-traces.svg"));
const pictures = readdirSync(folder).filter((file) => file.endsWith(".svg"));

test("there are pictures of the design, of each case, and of one run", () => {
  expect(pictures.length).toBeGreaterThan(8);
});

test.each(pictures)("%s is a picture", async (file) => {
  const path = join(folder, file);
  await visit(path, { width: 1200 }, async (page) => {
    const markup = (await page.evaluate("document.documentElement.outerHTML")) as string;
    expect(markup, "the browser cannot read it").not.toMatch(/parsererror/i);
    expect(markup).toMatch(/^<svg /);
    expect(markup).toMatch(/<path /);
    expect(markup, "a coordinate is no number").not.toMatch(/NaN|Infinity/);
    await shoot(page, `${path}.png`);
  });
});

// What is written is fitted without a font at hand, so its width is taken for more than it is, in every script that this machine has.
test.each([
  "fills the tube",
  "Щёлк, Жёсткая Юла",
  "Ψωμί Ωμέγα",
  "ժապավեն Ամպ",
  "مفصول تيار",
  "Æon Œuvre façade",
])("'%s' is no wider than it is taken for", async (words) => {
  await visit(join(folder, pictures[0]), {}, async (page) => {
    for (const weight of [400, 600]) {
      const measured = await page.evaluate(
        `(() => { const on = new OffscreenCanvas(10, 10).getContext("2d"); on.font = "${weight} 100px sans-serif"; return on.measureText(${JSON.stringify(words)}).width; })()`,
      );
      expect(measured).toBeGreaterThan(100);
      expect(measured).toBeLessThanOrEqual(textWidth(words, 100, weight === 600));
    }
  });
});
