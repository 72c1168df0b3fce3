// Builds the package: the library as separate modules with types (tsc), the command as one bundled file
// (esbuild: importing the parser library file by file costs 0.4 s at every start, bundled 0.06 s).
import { execFileSync } from "node:child_process";
import { chmodSync, rmSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

process.chdir(fileURLToPath(new URL("..", import.meta.url)));
execFileSync(process.execPath, [".ci/blocks.mjs"], { stdio: "inherit" });
rmSync("dist", { recursive: true, force: true });
execFileSync(process.execPath, ["node_modules/typescript/bin/tsc", "-p", "src/tsconfig.json"], {
  stdio: "inherit",
});
const required =
  "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);";
const bundle = (entry, outfile, banner) =>
  build({
    entryPoints: [entry],
    outfile,
    bundle: true,
    platform: "node",
    format: "esm",
    target: "node20",
    banner: { js: banner },
    logLevel: "warning",
  });
await bundle("src/command/main.ts", "dist/rampwright.js", `#!/usr/bin/env node\n${required}`);
// The program of the threads that measure trials, which the command starts from beside itself.
await bundle("src/command/worker.ts", "dist/worker.js", required);
chmodSync("dist/rampwright.js", 0o755);
