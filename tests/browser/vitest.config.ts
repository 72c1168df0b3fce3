// The tests in a real browser, apart from all others: `npm test` needs none.
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    root: new URL("../..", import.meta.url).pathname,
    include: ["tests/browser/*.test.ts"],
    globalSetup: ["tests/setup.ts", "tests/browser/launch.ts"],
    // Nothing is judged by the clock; what hangs ends all the same.
    testTimeout: 240_000,
    hookTimeout: 240_000,
    reporters: process.env["CI"] ? ["default", "json"] : ["default"],
    outputFile: { json: "out/browser.json" },
  },
});
