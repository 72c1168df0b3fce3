// A tube for the tests of the browser.
import type { Page } from "playwright-core";
import { expect } from "vitest";

/** A tube whose beam stands in the middle at 32 us: both sweeps are half way then. */
export const halfway = `title "Nest-box monitor: a tube"
signal lines = path 0 V at 0 s, 4 V at 64 us, every 64 us
signal fields = path 0 V at 0 s, 4 V at 64 us, every 64 us
supply bright = 1 V
tube screen bright -> ground across lines, down fields, left 0 V, right 4 V, top 0 V, bottom 4 V, full 1 V
run for 64 us
check "there" peak of lines above 3.9 V`;

/** The same, its field sweep dead: the beam stands a tenth of the height above the screen. */
export const above = halfway
  .replace(/^signal fields.*$/m, "supply low = -0.4 V")
  .replace("down fields", "down low");

/** Expects the beam drawn where it stands above the frame of the screen, and told to be beyond its edges. */
export async function aboveScreen(page: Page): Promise<void> {
  expect(await page.locator(".beam").textContent()).toContain("beyond the edges of the screen, drive 100 %");
  expect(await page.locator("figcaption").textContent()).toContain("the screen is dark, as wherever");
  const glass = (await page.locator(".glass").boundingBox())!;
  const spot = (await page.locator(".spot").boundingBox())!;
  expect(Math.abs(spot.x + spot.width / 2 - glass.x - glass.width / 2)).toBeLessThan(8);
  // A tenth of the height above the edge, with 4 % of it left free beyond, all drawn smaller by what is around.
  const share = 0.04 / (1 + 2 * 0.14);
  expect(Math.abs(spot.y + spot.height / 2 - glass.y - share * glass.height)).toBeLessThan(2);
}

/** Expects the beam to be told and drawn in the middle of the picture. */
export async function middled(page: Page): Promise<void> {
  const words = (await page.locator(".beam").textContent())!;
  const [across, down, drive] = [...words.matchAll(/([\d.]+) %/g)].map(([, n]) => Number(n));
  for (const share of [across, down]) expect(Math.abs(share - 50)).toBeLessThan(1);
  expect(drive).toBe(100);
  const glass = (await page.locator(".glass").boundingBox())!;
  const spot = (await page.locator(".spot").boundingBox())!;
  expect(Math.abs(spot.x + spot.width / 2 - glass.x - glass.width / 2)).toBeLessThan(8);
  expect(Math.abs(spot.y + spot.height / 2 - glass.y - glass.height / 2)).toBeLessThan(8);
}
