// One Chromium for all tests of the browser: the one that the environment names as CHROMIUM, or one of the usual places.
import { existsSync, mkdirSync, rmSync } from "node:fs";
import { chromium } from "playwright-core";
import type { TestProject } from "vitest/node";
import { drawn } from "./drawn.js";

const usual = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

declare module "vitest" {
  export interface ProvidedContext {
    /** Where the browser listens. */
    browser: string;
  }
}

export default async function launch(project: TestProject): Promise<() => Promise<void>> {
  const executablePath = process.env["CHROMIUM"] || usual.find((path) => existsSync(path));
  if (!executablePath) throw new Error("there is no browser: install chromium, or name one as CHROMIUM");
  rmSync(drawn, { recursive: true, force: true });
  mkdirSync(drawn, { recursive: true });
  const server = await chromium.launchServer({
    executablePath,
    args: ["--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--force-color-profile=srgb"],
  });
  project.provide("browser", server.wsEndpoint());
  return () => server.close();
}
