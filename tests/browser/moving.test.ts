// The waveforms of the report as they move: zoom, cursors, from a check to what decided it, periods laid over each other, keys
// alone, a telephone, paper, the dark, and names that would be markup.
import { readFileSync, writeFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { beforeAll, describe, expect, test } from "vitest";
import { draw, place } from "./drawn.js";
import { above, aboveScreen, halfway, middled } from "./halfway.js";
import { pinch, shoot, tooWide, violations, visit, widths } from "./open.js";
import { expectPrinted } from "./paper.js";

const file = place("moving", "nestbox.html");
const failing = place("moving", "failing.html");
const picture = place("moving", "tube.html");
const dead = place("moving", "dead.html");

beforeAll(() => {
  draw("report", "examples/nestbox.ramp", "--out", file);
  draw("report", "examples/line.ramp", "--with", "timing 18 nF", "--out", failing);
  for (const [page, text] of [
    [picture, halfway],
    [dead, above],
  ] as const) {
    const design = page.replace(".html", ".ramp");
    writeFileSync(design, text);
    draw("report", design, "--out", page);
  }
});

const stack = ".stack >> nth=0";
const over = ".stack >> nth=0 >> .u-over >> nth=0";
const shown = (page: Page) => page.locator(".stack >> nth=0 >> .shows").textContent();
const times = (page: Page) => page.locator(".stack >> nth=0 >> .times").textContent();
const values = (page: Page, trace: string) =>
  page.locator(`.stack >> nth=0 >> [data-trace="${trace}"] .values`).textContent();

/** Brings the first stack into view; gives the frame of its first panel. */
async function opened(page: Page) {
  await page.locator(".moving").first().scrollIntoViewIfNeeded();
  await page.locator(over).waitFor();
  await page.waitForTimeout(300);
  await page.evaluate("document.querySelector('.stack').scrollIntoView()");
  await page.locator(".shows").filter({ hasText: /./ }).first().waitFor({ state: "attached" });
  return (await page.locator(over).boundingBox())!;
}

/** Seconds in words such as `shown: 19.2 ms to 19.3 ms`. */
function span(words: string | null): { from: number; to: number } {
  const units: Readonly<Record<string, number>> = { s: 1, ms: 1e-3, µs: 1e-6, ns: 1e-9, ps: 1e-12 };
  const [from, to] = [...words!.matchAll(/([\d.]+) ([mµnp]?s)\b/g)].map(
    ([, n, unit]) => Number(n) * units[unit],
  );
  return { from, to };
}

describe("zoom", () => {
  test("a drag shows the stretch it goes over, a double click the whole again", async () => {
    await visit(file, {}, async (page) => {
      const { x, y, width } = await opened(page);
      expect(span(await shown(page))).toEqual({ from: 0, to: 60e-3 });
      await page.mouse.move(x + width / 4, y + 30);
      await page.mouse.down();
      await page.mouse.move(x + width / 2, y + 30, { steps: 4 });
      await page.mouse.up();
      await page.waitForTimeout(100);
      // A quarter and a half of 60 ms, to a pixel.
      const { from, to } = span(await shown(page));
      expect(Math.abs(from - 15e-3)).toBeLessThan(60e-3 / width);
      expect(Math.abs(to - 30e-3)).toBeLessThan(60e-3 / width);
      await page.mouse.dblclick(x + width / 2, y + 30);
      await page.waitForTimeout(100);
      expect(span(await shown(page))).toEqual({ from: 0, to: 60e-3 });
    });
  });

  test("the wheel is the page's until the plot is in use, and then zooms down to one edge", async () => {
    await visit(file, {}, async (page) => {
      const { x, y, width } = await opened(page);
      await page.mouse.move(x + width / 3, y + 30);
      await page.mouse.wheel(0, 10);
      await page.waitForTimeout(100);
      expect(span(await shown(page)).to).toBe(60e-3);
      await page.locator(stack).focus();
      await page.mouse.move(x + width / 3, y + 30);
      // Twenty turns of e to the power of 0.8: 60 ms become some 7 ns, shorter than the edges of 200 ns.
      for (let k = 0; k < 20; k++) await page.mouse.wheel(0, -400);
      await page.waitForTimeout(200);
      const { from, to } = span(await shown(page));
      expect(to - from).toBeLessThan(200e-9);
      expect(from).toBeGreaterThan(19.9e-3);
      expect(to).toBeLessThan(20.1e-3);
      await shoot(page, place("moving", "edge.png"), { whole: false });
    });
  });

  test("two fingers zoom", async () => {
    await visit(file, { width: 360, touch: true }, async (page) => {
      const { x, y, width } = await opened(page);
      // The buttons of the verdicts stand below each other, under the verdicts.
      const ends = await page
        .locator("tr[data-check]:has(button)")
        .evaluateAll((rows) =>
          rows.map((row) =>
            ["td:nth-child(5)", "button"].map((one) =>
              Math.round(row.querySelector(one)!.getBoundingClientRect().right),
            ),
          ),
        );
      expect(ends.length).toBeGreaterThan(1);
      for (const [verdict, button] of ends) expect(button).toBe(verdict);
      await pinch(page, { x, y, width });
      await page.waitForTimeout(200);
      // From a fifth of the width to three fifths: a third of the run, about its middle.
      const { from, to } = span(await shown(page));
      expect((to - from) / 60e-3).toBeCloseTo(1 / 3, 1);
      expect((from + to) / 2 / 30e-3).toBeCloseTo(1, 1);
    });
  });
});

test("two cursors tell values, time and its inverse between them", async () => {
  await visit(file, {}, async (page) => {
    const { x, y, width } = await opened(page);
    await page.mouse.move(x + width / 6, y + 30);
    await page.getByRole("button", { name: "Second cursor" }).first().click();
    await page.mouse.move(x + width / 3 - 1, y + 30);
    await page.waitForTimeout(100);
    // The field ramp goes from nothing to 3.998 V in 20 ms less its pulse of 160 us: half way at 10 ms.
    const words = (await times(page))!;
    expect(words).toMatch(/Δt (9\.[89]|10)/);
    const [, apart] = /Δt ([\d.]+) ms/.exec(words)!;
    const [, rate] = /1\/Δt ([\d.]+) Hz/.exec(words)!;
    expect(Number(apart) * Number(rate)).toBeCloseTo(1000, 0);
    const [first, second, difference] = [
      ...(await values(page, "field_ramp"))!.matchAll(/(-?[\d.]+) V/g),
    ].map(([, v]) => Number(v));
    expect(second).toBeCloseTo(1.985, 1);
    expect(first).toBeCloseTo(3.98, 1);
    expect(difference).toBeCloseTo(first - second, 2);
  });
});

test("from a failed check straight to the instant that decided it", async () => {
  await visit(failing, {}, async (page) => {
    await page.locator("tr.bad button").first().click();
    await page.waitForTimeout(300);
    // The ramp ends at 3.315 V where the second pulse begins, 64 us after the first.
    expect(await times(page)).toMatch(/^6[34]\.?\d* µs/);
    expect(await values(page, "ramp")).toMatch(/^3\.31\d* V/);
    const box = (await page.locator('[data-trace="ramp"]').first().boundingBox())!;
    expect(box.y).toBeGreaterThan(0);
    expect(box.y + box.height).toBeLessThan(900);
    expect(await page.evaluate("document.activeElement.className")).toBe("stack");
    await shoot(page, place("moving", "jump.png"), { whole: false });
  });
});

test("periods are laid over each other", async () => {
  await visit(file, {}, async (page) => {
    await opened(page);
    await page.locator(".stack >> nth=0 >> select").selectOption({ index: 1 });
    await page.waitForTimeout(300);
    const { from, to } = span(await shown(page));
    expect(from).toBe(0);
    expect([64e-6, 20e-3].some((period) => Math.abs(to / period - 1) < 1e-3)).toBe(true);
    await shoot(page, place("moving", "laid.png"), { whole: false });
  });
});

test.each([
  ["the beam stands on the picture where the cursor is", () => picture, middled],
  ["where the screen is dark the beam stands beside its frame", () => dead, aboveScreen],
] as const)("%s", async (_, file, stands) => {
  await visit(file(), {}, async (page) => {
    const { x, y, width } = await opened(page);
    await page.mouse.move(x + width / 2, y + 30);
    await page.waitForTimeout(100);
    await stands(page);
  });
});

test("all of it with the keyboard alone", async () => {
  await visit(file, {}, async (page) => {
    // From the head of the page: where a browser begins after a scroll is its own affair.
    let reached = false;
    for (let k = 0; k < 400 && !reached; k++) {
      await page.keyboard.press("Tab");
      reached = await page.evaluate("document.activeElement === document.querySelector('.stack')");
    }
    expect(reached).toBe(true);
    await page.locator(".shows").filter({ hasText: /./ }).first().waitFor({ state: "attached" });
    const outline = await page.evaluate("getComputedStyle(document.activeElement).outlineStyle");
    expect(outline).toBe("solid");
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("m");
    for (let k = 0; k < 5; k++) await page.keyboard.press("ArrowRight");
    // A fiftieth of what is seen each time: 1.2 ms of 60 ms.
    // What is told comes with the next frame, whenever that is.
    const told = { timeout: 10_000 };
    await expect.poll(() => times(page), told).toContain("Δt 6 ms · 1/Δt 166.67 Hz");
    await page.keyboard.press("Escape");
    await expect.poll(() => times(page), told).not.toContain("Δt");
    for (let k = 0; k < 10; k++) await page.keyboard.press("+");
    const seen = async () => span(await shown(page));
    await expect
      .poll(async () => ((await seen()).to - (await seen()).from) / (60e-3 / 1.6 ** 10), told)
      .toBeCloseTo(1, 2);
    await page.keyboard.press("Home");
    await expect.poll(async () => (await seen()).to, told).toBe(60e-3);
  });
});

test("a line of the text, its symbol and its waveforms point at each other", async () => {
  await visit(failing, {}, async (page) => {
    await opened(page);
    await page.locator('.text [data-part="hold"]').focus();
    await page.keyboard.press("Enter");
    expect(await page.locator('.drawing [data-part="hold"]').first().getAttribute("class")).toContain(
      "chosen",
    );
    expect(await page.locator('[data-trace="ramp"]').first().getAttribute("class")).toContain("chosen");
    await page.locator('.drawing [data-part="reset"]').first().click({ force: true });
    expect(await page.locator('.text [data-part="reset"]').getAttribute("class")).toContain("chosen");
    expect(await page.locator(".text .chosen").count()).toBe(1);
  });
});

describe.each(widths)("at %i px", (width) => {
  test.each([false, true])("nothing is too wide and axe-core finds nothing; dark: %s", async (dark) => {
    await visit(file, { width, dark }, async (page) => {
      await opened(page);
      await page.locator("td button").first().click();
      await page.waitForTimeout(200);
      expect(await tooWide(page)).toBe(false);
      expect(await violations(page)).toEqual([]);
      await shoot(page, place("moving", `${width}-${dark ? "dark" : "light"}.png`), { whole: false });
    });
  });
});

test("on paper the still pictures stand in its place", async () => {
  await visit(file, {}, async (page) => {
    await opened(page);
    const printed = place("moving", "nestbox.pdf");
    const sheets = expectPrinted(await page.pdf({ path: printed, format: "A4" }), printed, [
      "Nest-box monitor, both sweeps",
      "Anode voltage: kilovolts",
      'check "line fills the tube"',
      "How it was simulated",
    ]);
    // A case that fits on one sheet is on one: its heading and verdicts, and its waveforms, whose title is the same.
    const runs = sheets.slice(
      0,
      Math.max(
        0,
        sheets.findIndex((words) => words.includes("How it was simulated")),
      ),
    );
    const named = runs.flatMap((words) => [...new Set(words.match(/Case "[^"]*"/g))]);
    expect(new Set(named).size).toBe(named.length);
    await page.emulateMedia({ media: "print" });
    expect(await page.locator("figure.still").first().isVisible()).toBe(true);
    expect(await page.locator(stack).isVisible()).toBe(false);
    // What is folded up cannot be opened there, so its heading is not there either.
    for (const folded of await page.locator("details:not([open])").all())
      expect(await folded.isVisible()).toBe(false);
  });
});

test("a still picture stands until they are made, so that the whole page is never without them", async () => {
  await visit(file, {}, async (page) => {
    const last = page.locator("section.run").last();
    const still = last.locator("figure.still").first();
    expect(await still.isVisible()).toBe(true);
    expect(await last.locator(".stack").count()).toBe(0);
    await last.locator(".moving").scrollIntoViewIfNeeded();
    await last.locator(".stack").waitFor();
    expect(await still.isVisible()).toBe(false);
  });
});

test("without script it shows all that it holds, still", async () => {
  await visit(file, { script: false }, async (page) => {
    expect(await page.locator("figure.still").first().isVisible()).toBe(true);
    expect(await page.locator("figure.still").count()).toBe(9);
    expect(await page.locator(".text li").count()).toBeGreaterThan(20);
    // biome-ignore lint: what is seen, and not all of the page's text, which holds the samples as well
    expect(await page.innerText("body")).not.toContain('{"title"');
  });
});

test("names that would be markup stay text, wherever they stand", async () => {
  const evil = "</script><img src=x onerror=document.title=1><style>*{display:none}</style>&lt;";
  const text = readFileSync("examples/line.ramp", "utf8")
    .replace(/title ".*"/, `title "${evil}"`)
    .replaceAll('"fills the tube"', `"${evil}"`)
    .replace('case "camera unplugged"', `case "${evil}"`);
  const design = place("moving", "hostile.ramp");
  writeFileSync(design, text);
  const out = place("moving", "hostile.html");
  draw("report", design, "--out", out);
  await visit(out, {}, async (page) => {
    await opened(page);
    for (const one of await page.locator("td button").all()) await one.click();
    expect(await page.locator("img").count()).toBe(0);
    expect(await page.title()).toBe(evil);
    expect(await page.locator("td", { hasText: evil }).count()).toBeGreaterThan(0);
    expect(await page.locator(".limits", { hasText: evil }).count()).toBeGreaterThan(0);
  });
});
