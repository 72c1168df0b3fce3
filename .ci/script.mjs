// Bundles a script, sources and all, and runs it from the root of the project: `node .ci/script.mjs tests/verify/report.ts`.
// What stands behind goes to the script. Garbage collection is made callable, for those that watch memory.
import { mkdirSync } from "node:fs";
import { basename } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { build } from "esbuild";

process.chdir(fileURLToPath(new URL("..", import.meta.url)));
const [script] = process.argv.splice(2, 1);
if (!/^(tests|grammar)\/[a-z/]+\.ts$/.test(script ?? "")) {
  console.error("usage: node .ci/script.mjs FOLDER/NAME.ts [OPTIONS], of tests or grammar");
  process.exit(2);
}
setFlagsFromString("--expose-gc");
globalThis.gc = runInNewContext("gc");
mkdirSync("out/scripts", { recursive: true });
const outfile = `out/scripts/${basename(script, ".ts")}.mjs`;
await build({
  entryPoints: [script],
  outfile,
  bundle: true,
  platform: "node",
  format: "esm",
  target: "node20",
  external: ["esbuild", "typescript", "vitest"],
  logLevel: "warning",
});
await import(pathToFileURL(outfile).href);
