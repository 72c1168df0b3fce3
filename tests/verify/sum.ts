// `npm run verify:checksum`: prints the checksum of the fixed runs as the sources stand. With `-- --write` it becomes the
// expected one, which a change of the method needs and nothing else may.
import { readFileSync, writeFileSync } from "node:fs";
import { compile, simulate } from "../../src/index.js";
import { checksum, expected } from "./checksum.js";

const sum = checksum({ compile, simulate });
console.log(sum === expected ? `${sum}, as expected` : `${sum}, expected ${expected}`);
if (process.argv.includes("--write")) {
  const file = "tests/verify/checksum.ts";
  writeFileSync(file, readFileSync(file, "utf8").replace(`"${expected}"`, `"${sum}"`));
}
