// Opens a file as a reader does, in a browser of its own kind of screen, and watches over it: a page of ours writes no error to
// the console, throws nothing, and asks for nothing that it does not hold itself.
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import { type BrowserContextOptions, chromium, type Page } from "playwright-core";
import { expect, inject } from "vitest";

/** The screen and the wishes of a reader. */
export interface Look {
  /** CSS pixels; 1280 by 900 unless given. */
  readonly width?: number;
  readonly height?: number;
  readonly dark?: boolean;
  /** False for a reader who lets no script run. */
  readonly script?: boolean;
  /** True for a screen that is touched. */
  readonly touch?: boolean;
  /** What comes behind the file's name, `#` included. */
  readonly fragment?: string;
  /** What is done with the page before the file is in it. */
  readonly before?: (page: Page) => Promise<void>;
}

/** The two widths at which every page has to do: a telephone and a desk. */
export const widths = [360, 1280] as const;

/**
 * Opens a file, lets `action` use it, and then expects that nothing went wrong on the way.
 * @returns what `action` gives
 */
export async function visit<T>(file: string, look: Look, action: (page: Page) => Promise<T>): Promise<T> {
  const browser = await chromium.connect(inject("browser"));
  try {
    const context = await browser.newContext(settings(look));
    const page = await context.newPage();
    const wrong = watch(page);
    await look.before?.(page);
    await page.goto(`${pathToFileURL(file).href}${look.fragment ?? ""}`);
    const result = await action(page);
    expect(wrong).toEqual([]);
    return result;
  } finally {
    await browser.close();
  }
}

function settings({ width = 1280, height = 900, dark, script, touch }: Look): BrowserContextOptions {
  return {
    viewport: { width, height },
    colorScheme: dark ? "dark" : "light",
    offline: true,
    javaScriptEnabled: script ?? true,
    hasTouch: touch ?? false,
    // Clicks and drags are worth the wait; nothing that moves by itself is.
    reducedMotion: "reduce",
  };
}

/** Gathers what must not happen. */
function watch(page: Page): string[] {
  const wrong: string[] = [];
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) wrong.push(`console: ${message.text()}`);
  });
  page.on("pageerror", (error) => wrong.push(`thrown: ${error.message}`));
  page.on("dialog", (dialog) => {
    wrong.push(`dialog: ${dialog.message()}`);
    void dialog.dismiss();
  });
  let first = true;
  page.on("request", (request) => {
    // The file itself, and what a page makes out of what it holds, as a worker is started.
    const own = first || /^(blob|data):/.test(request.url());
    first = false;
    if (!own) wrong.push(`request: ${request.url()}`);
  });
  return wrong;
}

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** What axe-core finds against the page as it stands, a line each: the rule and the element. */
export async function violations(page: Page): Promise<string[]> {
  await page.evaluate(axe);
  const found = (await page.evaluate("axe.run(document, { preload: false })")) as {
    violations: { id: string; help: string; nodes: { html: string }[] }[];
  };
  return found.violations.flatMap(({ id, help, nodes }) =>
    nodes.map(({ html }) => `${id} (${help}): ${html.slice(0, 160)}`),
  );
}

/** Whether the page is wider than its screen, so that it has to be pushed from side to side. */
export async function tooWide(page: Page): Promise<boolean> {
  return page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth");
}

/** A picture of the whole page, or of the screen alone, for people to look at. A blank one is an error. */
export async function shoot(page: Page, path: string, { whole = true } = {}): Promise<void> {
  // Asked of the browser itself: by way of playwright it never comes to an end where a picture is opened by itself.
  const session = await page.context().newCDPSession(page);
  const { data } = await session.send("Page.captureScreenshot", { captureBeyondViewport: whole });
  const bytes = Buffer.from(data, "base64");
  writeFileSync(path, bytes);
  expect(bytes.length, `${path} is blank`).toBeGreaterThan(5000);
}

/** Two fingers on a plot go apart, from a fifth of its width to three fifths. */
export async function pinch(
  page: Page,
  { x, y, width }: { readonly x: number; readonly y: number; readonly width: number },
): Promise<void> {
  const session = await page.context().newCDPSession(page);
  const touch = (type: "touchStart" | "touchMove" | "touchEnd", ...at: number[]) =>
    session.send("Input.dispatchTouchEvent", {
      type,
      touchPoints: at.map((share, id) => ({ x: x + share * width, y: y + 40, id })),
    });
  await touch("touchStart", 0.4, 0.6);
  for (const by of [0.05, 0.1, 0.15, 0.2]) await touch("touchMove", 0.4 - by, 0.6 + by);
  await touch("touchEnd");
}
