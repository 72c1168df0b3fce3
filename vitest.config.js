import { defineConfig } from "vitest/config";
export default defineConfig({
    test: {
        include: ["tests/**/*.test.ts", "examples/**/*.test.ts"],
        globalSetup: ["tests/setup.ts"],
        testTimeout: 60_000,
    },
});
