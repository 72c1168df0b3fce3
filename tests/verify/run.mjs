// Bundles one of the scripts beside it, sources and all, and runs it from the root of the project. Takes the name of
// the script: `node tests/verify/run.mjs report`. Garbage collection is made callable, for those that watch memory.
import { mkdirSync } from "node:fs";
import { fileURLToPath, pathToFileURL } from "node:url";
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { build } from "esbuild";

process.chdir(fileURLToPath(new URL("../..", import.meta.url)));
const [name] = process.argv.slice(2);
if (!/^[a-z]+$/.test(name ?? "")) {
  console.error("usage: node tests/verify/run.mjs report|long|sum");
  process.exit(2);
}
setFlagsFromString("--expose-gc");
globalThis.gc = runInNewContext("gc");
mkdirSync("out/verify", { recursive: true });
const outfile = `out/verify/${name}.mjs`;
await build({
  entryPoints: [`tests/verify/${name}.ts`],
  outfile,
  bundle: true,
  platform: "node",
  format: "esm",
  target: "node20",
  external: ["esbuild"],
  logLevel: "warning",
});
await import(pathToFileURL(outfile).href);
