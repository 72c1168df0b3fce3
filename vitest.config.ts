import { defineConfig } from "vitest/config";
import { BaseSequencer, type TestSpecification } from "vitest/node";

/**
 * The files that take longest where the CI asks for every case, the longest first. They are started before all others: one that
 * comes last keeps one core busy while the other has nothing left to do.
 */
const longest = [
  "tests/stepping/repeats.test.ts",
  "tests/fuzz/fuzz.test.ts",
  "tests/numerics/passive.test.ts",
  "tests/diagnosis/faults.test.ts",
  "tests/captures/match.test.ts",
  "tests/package/interface.test.ts",
  "tests/spread/trials.test.ts",
  "tests/syntax/laws.test.ts",
  "tests/bad/fuzz.test.ts",
];

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification) => {
      const known = longest.findIndex((name) => moduleId.endsWith(name));
      return known < 0 ? longest.length : known;
    };
    return (await super.sort(files)).sort((a, b) => place(a) - place(b));
  }
}

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts", "examples/**/*.test.ts"],
    // They need a browser, or engines that share out work, and have configurations of their own.
    exclude: ["tests/browser/**", "tests/machines/**", "node_modules/**"],
    globalSetup: ["tests/setup.ts"],
    setupFiles: ["tests/seed.ts"],
    // Files share their worker, and with it the library once it is read: reading it anew for each costs as much as the
    // tests. So no test may leave anything changed behind.
    isolate: false,
    // By itself it would leave one core of two to others.
    maxWorkers: "100%",
    // As the command does (src/command/main.ts): code that runs for seconds is not worth more optimising.
    execArgv: ["--max-inlined-bytecode-size-cumulative=200"],
    sequence: { sequencer: LongestFirst },
    // Nothing is judged by the clock; what hangs ends all the same.
    testTimeout: 600_000,
    hookTimeout: 600_000,
    // In the CI the results are counted from a report as well.
    reporters: process.env["CI"] ? ["default", "json"] : ["default"],
    outputFile: { json: "out/tests.json" },
    coverage: {
      provider: "v8",
      include: ["src/{syntax,design,equations,stepping,measures}/**"],
      reporter: ["json-summary", "text-summary"],
      reportsDirectory: "out/coverage",
      // One test that fails takes an hour of counting with it otherwise.
      reportOnFailure: true,
    },
  },
});
