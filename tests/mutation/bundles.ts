// Bundles test files with the sources they look at, all mutants in them, and runs single tests of a bundle under one mutant.
// Every mutant gets a fresh copy of the library, so that nothing one of them has left behind is seen by the next; packages from
// outside are shared.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { basename, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { compileFunction, Script } from "node:vm";
import { build, type Plugin } from "esbuild";
import type { Collected } from "./collected.js";
import { type Mutant, switchable, switches } from "./mutants.js";

/** A mutant with its place and its number, from 1. */
export interface Job extends Mutant {
  readonly id: number;
  readonly file: string;
  readonly group: string;
}

interface State {
  /** The mutant that is on; 0: none. */
  on: number;
  /** Which mutants have been come by. */
  hit: Uint8Array;
  /** Turns of loops so far, and how many there may be. */
  ticks: number;
  limit: number;
  endless: () => Error;
  run: () => unknown;
}

const state: State = {
  on: 0,
  hit: new Uint8Array(0),
  ticks: 0,
  limit: Number.POSITIVE_INFINITY,
  endless: () => new Error("goes on without end"),
  run: () => {},
};

const needed = createRequire(import.meta.url);

/** A file's tests, ready to be run. */
export class Bundle {
  private readonly load: (module: { exports: unknown }, require: unknown) => void;

  constructor(
    readonly file: string,
    code: string,
  ) {
    this.load = compileFunction(code, ["module", "require"], { filename: file }) as Bundle["load"];
  }

  /** A fresh copy of the file's tests, loaded under the mutant that is on. */
  tests(): readonly Collected[] {
    const module = { exports: {} };
    this.load(module, needed);
    return (module.exports as { all: () => readonly Collected[] }).all();
  }
}

/** Within one operation nothing is counted: a whole number without bounds, such as a power, is ended by a clock. */
const patience = 300_000;
const call = new Script("mutation.run()");

/** Runs something under a mutant; what it came by, how many turns of loops it took, and what it threw. */
export async function under(id: number, limit: number, mutants: number, run: () => unknown) {
  state.on = id;
  state.hit = new Uint8Array(mutants + 1);
  state.ticks = 0;
  state.limit = limit;
  let thrown: unknown;
  let endless = false;
  state.run = run;
  try {
    await call.runInThisContext({ timeout: patience });
  } catch (error) {
    thrown = error ?? new Error("nothing thrown");
    endless = (error as { code?: unknown })?.code === "ERR_SCRIPT_EXECUTION_TIMEOUT";
  }
  state.on = 0;
  endless ||= state.ticks > limit;
  state.limit = Number.POSITIVE_INFINITY;
  return { hit: state.hit, ticks: state.ticks, thrown, endless };
}

/** Bundles test files. */
export async function bundled(files: readonly string[], jobs: readonly Job[]): Promise<Bundle[]> {
  Object.assign(globalThis, { mutation: state, outside: {} });
  const done = await build({
    entryPoints: files.map((file) => ({ in: `tests:${file}`, out: file.replaceAll("/", "-") })),
    outdir: "out/mutation",
    bundle: true,
    write: false,
    platform: "node",
    format: "cjs",
    target: "node20",
    logLevel: "error",
    logOverride: { "empty-import-meta": "silent" },
    plugins: [withMutants(jobs)],
  });
  return done.outputFiles.map((out) => {
    const file = files.find((f) => basename(out.path) === `${f.replaceAll("/", "-")}.js`)!;
    return new Bundle(file, out.text);
  });
}

const withMutants = (jobs: readonly Job[]): Plugin => ({
  name: "mutants",
  setup(build) {
    build.onResolve({ filter: /^tests:/ }, ({ path }) => ({ path: path.slice(6), namespace: "tests" }));
    build.onLoad({ filter: /.*/, namespace: "tests" }, ({ path }) => ({
      contents: `import "./${path}";\nexport { all } from "vitest";`,
      resolveDir: process.cwd(),
    }));
    // The package says that its modules do nothing by being loaded; tests do.
    build.onResolve({ filter: /test\.ts$/ }, ({ path }) => ({ path: resolve(path), sideEffects: true }));
    build.onResolve({ filter: /^switches$/ }, () => ({ path: "switches", namespace: "switches" }));
    build.onLoad({ filter: /.*/, namespace: "switches" }, () => ({ contents: switches }));
    build.onResolve({ filter: /^vitest$/ }, ({ importer }) =>
      importer.endsWith("collected.ts")
        ? { path: "vitest", namespace: "outside" }
        : { path: resolve("tests/mutation/collected.ts") },
    );
    build.onResolve({ filter: /^[a-z@]/ }, ({ path }) => ({ path, namespace: "outside" }));
    build.onLoad({ filter: /.*/, namespace: "outside" }, async ({ path }) => {
      const found = await import(path);
      Object.assign(globalThis.outside, { [path]: found });
      const names = Object.keys(found).filter((n) => n !== "default" && /^[\w$]+$/.test(n));
      const from = `globalThis.outside[${JSON.stringify(path)}]`;
      return {
        contents: `${names.map((n) => `export const ${n} = ${from}.${n};`).join("\n")}\nexport default ${from}.default;`,
      };
    });
    build.onLoad({ filter: /\.ts$/ }, ({ path }) => {
      const text = readFileSync(path, "utf8");
      const own = jobs.filter(({ file }) => resolve(file) === path);
      const inside = path.startsWith(resolve("src")) && !path.endsWith("shipped.ts");
      return {
        contents: (inside ? switchable(text, own) : text).replaceAll(
          "import.meta.url",
          JSON.stringify(pathToFileURL(path).href),
        ),
        loader: "ts",
      };
    });
  },
});

declare global {
  // Packages from outside, by name.
  var outside: Record<string, unknown>;
}
