// Pages that compute, for the tests of the browser: made by the command, and opened until all of the first run is there.
import type { Page } from "playwright-core";
import { rampwright } from "../command/running.js";
import { place } from "./drawn.js";
import { type Look, visit } from "./open.js";

/** The page of a design; gives its file. */
export function live(design: string, name: string): string {
  const file = place("live", `${name}.html`);
  const { status, err } = rampwright(["live", design, "--out", file]);
  if (status !== 0) throw new Error(`rampwright live ended with ${status}: ${err}`);
  return file;
}

/** Waits until all that belongs to the newest turn is there. */
export async function settled(page: Page): Promise<void> {
  await page.locator("html[data-settled]").waitFor({ state: "attached", timeout: 200_000 });
}

/** Opens a page, and uses it when the first run is there. */
export const opened = (file: string, look: Look, action: (page: Page) => Promise<void>) =>
  visit(file, look, async (page) => {
    await settled(page);
    await action(page);
  });
