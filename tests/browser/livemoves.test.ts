// The waveforms of the page that computes, as a hand moves them; a run that is left for another; paper; and what stands without script.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { place } from "./drawn.js";
import { live, opened, settled } from "./livepages.js";
import { pinch, visit } from "./open.js";

test("zoom: drag, wheel and double click, and a turned knob leaves what is seen as it is", async () => {
  await opened(live("examples/line.ramp", "zoom"), {}, async (page) => {
    const over = page.locator(".u-over").first();
    await over.scrollIntoViewIfNeeded();
    const { x, y, width } = (await over.boundingBox())!;
    const shows = async () => (await page.locator(".shows").textContent())!;
    // Three lines are seen (ITU-R BT.1700: 64 us each).
    expect(await shows()).toBe("shown: 0 s to 192 µs");
    await page.mouse.move(x + width / 4, y + 30);
    await page.mouse.down();
    await page.mouse.move(x + width / 2, y + 30, { steps: 4 });
    await page.mouse.up();
    await page
      .locator(".shows")
      .filter({ hasNotText: /to 192 µs$/ })
      .waitFor({ state: "attached" });
    const [, from, to] = /([\d.]+) µs to ([\d.]+) µs/.exec(await shows())!;
    // A quarter and a half of it, to a pixel.
    expect(Math.abs(Number(from) - 48)).toBeLessThan(192 / width);
    expect(Math.abs(Number(to) - 96)).toBeLessThan(192 / width);
    const before = await shows();
    await page.getByRole("slider", { name: "timing" }).focus();
    await page.keyboard.press("ArrowRight");
    await settled(page);
    expect(await shows()).toBe(before);
    await page.locator(".stack").focus();
    await page.mouse.move(x + width / 2, y + 30);
    await page.mouse.wheel(0, -200);
    await page.locator(".shows").filter({ hasNotText: before }).waitFor({ state: "attached" });
    await page.mouse.dblclick(x + width / 2, y + 30);
    await page
      .locator(".shows")
      .filter({ hasText: /^shown: 0 s to 192 µs$/ })
      .waitFor({ state: "attached" });
  });
});

test("a knob that is turned while the board computes ends what went on", async () => {
  await visit(live("examples/board.ramp", "cancel"), {}, async (page) => {
    // The first run is under way: nothing of it has been judged.
    await page.locator(".stack").waitFor({ timeout: 200_000 });
    const knob = page.getByRole("slider", { name: "line_cap" });
    await knob.focus();
    // Each picture of the screen is counted while the knob is turned: the page goes on.
    await page.evaluate(`
      window.frames = 0;
      const count = () => { window.frames++; requestAnimationFrame(count); };
      requestAnimationFrame(count);
      window.noted = [];
      new MutationObserver(() => window.noted.push(document.querySelector(".knob-value").value))
        .observe(document.getElementById("rows"), { childList: true });`);
    for (let k = 0; k < 5; k++) await page.keyboard.press("ArrowRight");
    const turned = await page.locator("#knobs .knob-value").first().inputValue();
    await settled(page);
    expect(turned).not.toBe("15 nF");
    expect(await page.evaluate("window.frames")).toBeGreaterThan(5);
    // What belonged to another value was never shown.
    expect(await page.evaluate("window.noted.length")).toBeGreaterThan(0);
    expect(new Set((await page.evaluate("window.noted")) as string[])).toEqual(new Set([turned]));
  });
});

test("on paper it is light, and all of the text stands", async () => {
  const text = readFileSync("examples/line.ramp", "utf8");
  await opened(live("examples/line.ramp", "paper"), { dark: true }, async (page) => {
    const bytes = await page.pdf({ path: place("live", "paper.pdf"), format: "A4" });
    expect(bytes.subarray(0, 5).toString()).toBe("%PDF-");
    await page.emulateMedia({ media: "print", colorScheme: "dark" });
    expect(await page.locator("#paper").textContent()).toBe(text);
    expect(await page.locator("#paper").isVisible()).toBe(true);
    expect(await page.locator("#editor").isVisible()).toBe(false);
    expect(await page.evaluate("getComputedStyle(document.body).backgroundColor")).toBe("rgb(255, 255, 255)");
    // The ink of the curves is that of paper as well.
    const ink = (await page.evaluate(`(() => {
      const canvas = document.querySelector('[data-trace="ramp"] canvas');
      const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
      let bluest = [255, 255, 255];
      for (let i = 0; i < data.length; i += 4)
        if (data[i + 3] === 255 && data[i + 2] - data[i] > 100 && data[i] < bluest[0]) bluest = [data[i], data[i + 1], data[i + 2]];
      return bluest;
    })()`)) as number[];
    expect(ink).toEqual([0x00, 0x60, 0x9c]);
    await page.screenshot({ path: place("live", "paper.png"), fullPage: true });
  });
});

test("without script it says so, and shows the text and the cautions", async () => {
  await visit(live("examples/line.ramp", "still"), { script: false }, async (page) => {
    expect(await page.locator("noscript pre").textContent()).toContain("capacitor hold");
    expect(await page.locator("noscript p").textContent()).toContain("scripts are switched off");
    expect(await page.locator(".caution").isVisible()).toBe(true);
  });
});

test("two fingers zoom at 360 px", async () => {
  await opened(live("examples/line.ramp", "touch"), { width: 360, touch: true }, async (page) => {
    const over = page.locator(".u-over").first();
    await over.scrollIntoViewIfNeeded();
    const { x, y, width } = (await over.boundingBox())!;
    await pinch(page, { x, y, width });
    await page
      .locator(".shows")
      .filter({ hasNotText: /to 192 µs$/ })
      .waitFor({ state: "attached" });
    const [, from, to] = /([\d.]+) µs to ([\d.]+) µs/.exec((await page.locator(".shows").textContent())!)!;
    // From a fifth of the width to three fifths: a third of three lines of 64 us.
    expect((Number(to) - Number(from)) / 64).toBeCloseTo(1, 1);
  });
});
