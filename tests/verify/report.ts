// `npm run verify:report`: works out every claim of the table and writes out/verification.html. Exits 1 where a claim
// does not hold; the page is written all the same and says so.
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { cpus } from "node:os";
import { compile, simulate } from "../../src/index.js";
import { allowed, kept } from "../numerics/bounds.js";
import { checksum } from "./checksum.js";
import { measured } from "./measure.js";
import { page } from "./page.js";

const begun = performance.now();
const all = measured();
const seconds = (performance.now() - begun) / 1000;
const bounds = kept();
const { version } = JSON.parse(readFileSync("package.json", "utf8")) as { version: string };
mkdirSync("out", { recursive: true });
const file = "out/verification.html";
writeFileSync(
  file,
  page(all, {
    version,
    node: process.version.slice(1),
    machine: `${cpus()[0].model}, ${process.platform} ${process.arch}`,
    date: new Date().toISOString().slice(0, 10),
    seconds,
    checksum: checksum({ compile, simulate }),
    bound: ({ row, claim }) => allowed(row, claim, bounds),
  }),
);
const failed = all.filter((m) => !m.pass);
console.log(`${file}: ${all.length} claims, ${failed.length} beyond their tolerance`);
for (const { row, claim, got, error } of failed)
  console.log(
    `  ${row.row}: ${claim.what}: expected ${claim.expected}, got ${got}, error ${error} of ${claim.bound}`,
  );
process.exitCode = failed.length > 0 ? 1 : 0;
