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
