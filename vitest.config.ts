import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts", "examples/**/*.test.ts"],
    globalSetup: ["tests/setup.ts"],
    testTimeout: 60_000,
    // In the CI the results are counted from a report as well.
    reporters: process.env["CI"] ? ["default", "json"] : ["default"],
    outputFile: { json: "out/tests.json" },
  },
});
