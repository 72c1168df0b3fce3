// Builds the package: types and separate modules (tsc), then the library, the command and the program of its threads as
// bundles that share their chunks (esbuild). Reading the parser library file by file costs 0.35 s at every start; only
// the bundles are packed, with the types. The separate modules are for the scripts of this repository.
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

// The library that reads the command line asks for Node's modules with `require`, which a module does not have; this
// hands them over as imports, so that no chunk needs a `require` of its own and the library stays free of Node.
const required = {
  name: "required",
  setup({ onResolve, onLoad }) {
    onResolve({ filter: /^node:/ }, ({ path, kind }) =>
      kind === "require-call" ? { path, namespace: "required" } : undefined,
    );
    onLoad({ filter: /.*/, namespace: "required" }, ({ path }) => ({
      contents: path === "node:process" ? "module.exports = process" : `export * from "${path}"`,
    }));
  },
};
await build({
  entryPoints: {
    index: "src/index.ts",
    rampwright: "src/command/main.ts",
    // Started by the command from beside itself.
    worker: "src/command/worker.ts",
    // Apart from what the others share, so that whoever draws no tube can leave out the library that writes PNG files,
    // which needs more of its surroundings than the core does.
    png: "src/tube/png.ts",
  },
  outdir: "dist",
  chunkNames: "chunk-[hash]",
  allowOverwrite: true,
  bundle: true,
  splitting: true,
  minifyWhitespace: true,
  minifySyntax: true,
  platform: "node",
  mainFields: ["module", "main"],
  format: "esm",
  target: "node20",
  plugins: [required],
  logLevel: "warning",
});
chmodSync("dist/rampwright.js", 0o755);
