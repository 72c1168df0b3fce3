// Prints "PASSED FAILED" from a report of tests (vitest's JSON). A file of tests
// that could not even be loaded counts as one failure. Exits 1 where there is no such report.
import { readFileSync } from "node:fs";

const report = JSON.parse(readFileSync(process.argv[2], "utf8"));
const unloaded = (report.testResults ?? []).filter(
  (file) => file.status === "failed" && !file.assertionResults.some((test) => test.status === "failed"),
);
console.log(`${report.numPassedTests} ${report.numFailedTests + unloaded.length}`);
