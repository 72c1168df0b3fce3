// The waveforms of the page that computes, as a hand moves them; a run that is left for another; paper; and what stands without script.
import { readFileSync, writeFileSync } from "node:fs";
import { expect, test } from "vitest";
import { place } from "./drawn.js";
import { above, aboveScreen, halfway, middled } from "./halfway.js";
import { live, opened, settled } from "./livepages.js";
import { pinch, shoot, visit } from "./open.js";
import { expectPrinted } from "./paper.js";

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
    const printed = place("live", "paper.pdf");
    expectPrinted(await page.pdf({ path: printed, format: "A4" }), printed, [
      "Nest-box monitor, line sweep",
      "Anode voltage: kilovolts",
      'check "fills the tube"',
      "All 8 checks pass.",
    ]);
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

test("from a failed check straight to the instant that decided it", async () => {
  await opened(live("examples/line.ramp", "decided"), { fragment: "#set.timing=18+nF" }, async (page) => {
    const row = page.locator("#rows tr.bad").filter({ hasText: "fills the tube" });
    const told = async () => Number.parseFloat((await row.locator("td").nth(1).textContent())!);
    const values = page.locator('[data-trace="ramp"] .values');
    await row.getByRole("button", { name: "Show" }).click();
    await values.filter({ hasText: "V" }).waitFor({ state: "attached" });
    // What the cursor stands on is what was measured, to the figures shown.
    expect(Number.parseFloat((await values.textContent())!)).toBeCloseTo(await told(), 2);
    expect(await page.evaluate("document.activeElement.className")).toBe("stack");
    await shoot(page, place("live", "decided.png"), { whole: false });
  });
});

test("a check that was decided where no time scale shows it gets one of its own", async () => {
  const design = place("live", "late.ramp");
  // More current from 1.5 ms on: the highest of the peaks is far from the first three lines.
  const text = readFileSync("examples/line.ramp", "utf8")
    .replace("run for 6 ms", "run for 2 ms")
    .replace("peak of ramp each gate is 3.95 V +- 3 %", "peak of ramp each gate below 3.9 V");
  writeFileSync(
    design,
    `${text.split("find timing")[0]}current late ground -> ramp path 0 A at 0 s, 0 A at 1.5 ms, 50 uA at 1.51 ms\n`,
  );
  await opened(live(design, "late"), {}, async (page) => {
    const titles = () => page.locator("#scales button").allTextContents();
    const before = await titles();
    await page.locator("#rows tr.bad button").first().click();
    const own = page.locator("#scales button").filter({ hasText: 'Worst of "fills the tube", from 1.' });
    await own.waitFor();
    expect(await own.getAttribute("aria-pressed")).toBe("true");
    expect(await titles()).toHaveLength(before.length + 1);
    const { length } = await titles();
    // A turned knob leaves it there, judged anew; another scale is chosen in its place.
    await page.getByRole("slider", { name: "timing" }).press("ArrowLeft");
    await settled(page);
    expect(await own.getAttribute("aria-pressed")).toBe("true");
    await page.locator("#scales button").first().click();
    expect(await titles()).toHaveLength(length - 1);
  });
});

test.each([
  ["the beam stands on the picture where the cursor is", "beam", halfway, middled],
  ["where the screen is dark the beam stands beside its frame", "beside", above, aboveScreen],
] as const)("%s", async (_, name, text, stands) => {
  const design = place("live", `${name}.ramp`);
  writeFileSync(design, text);
  await opened(live(design, name), {}, async (page) => {
    const over = page.locator(".u-over").first();
    await over.scrollIntoViewIfNeeded();
    const { x, y, width } = (await over.boundingBox())!;
    await page.mouse.move(x + width / 2, y + 30);
    await page.locator(".beam").filter({ hasText: "At the cursor" }).waitFor();
    await stands(page);
    await shoot(page, place("live", `${name}.png`), { whole: false });
  });
});
