// The recipes for many machines, run: they need programs that most machines lack, and say so where one is missing.
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    root: new URL("../..", import.meta.url).pathname,
    include: ["tests/machines/*.test.ts"],
    globalSetup: ["tests/setup.ts"],
    fileParallelism: false,
    // Nothing is judged by the clock; what hangs ends all the same.
    testTimeout: 600_000,
    hookTimeout: 120_000,
    reporters: process.env["CI"] ? ["default", "json"] : ["default"],
    outputFile: { json: "out/machines.json" },
  },
});
