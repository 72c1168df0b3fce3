// Builds the package: types and separate modules (tsc), then the library, the command and the program of its threads as
// bundles that share their chunks (esbuild). Reading the parser library file by file costs 0.35 s at every start; only
// the bundles are packed, with the types. The separate modules are for the scripts of this repository.
//
// Where nothing that goes into it has changed, nothing is built: `dist/.made` tells what the build was made from. It is
// made beside and moved into its place, so that whoever reads `dist` meanwhile, or builds it too, sees all of one build.
import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import {
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { basename, dirname, join, parse, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync } from "node:zlib";
import { coarse } from "./maps.mjs";
import { leaveTypes } from "./types.mjs";

process.chdir(fileURLToPath(new URL("..", import.meta.url)));
await import("./blocks.mjs");
const sources = digest();
if (made() === sources) process.exit(0);

const beside = `out/build-${process.pid}`;
mkdirSync("out", { recursive: true });
rmSync(beside, { recursive: true, force: true });
// Only what has changed is made anew: the compiler leaves its modules, and what it knows of them, in `out`.
execFileSync(process.execPath, ["node_modules/typescript/bin/tsc", "-p", "src/tsconfig.json"], {
  stdio: "inherit",
});
cpSync("out/modules", beside, { recursive: true, filter: hasSource });

const { build } = await import("esbuild");
const usual = {
  outdir: beside,
  allowOverwrite: true,
  bundle: true,
  minifyWhitespace: true,
  minifySyntax: true,
  // Names that the package hands out stay what they are.
  minifyIdentifiers: true,
  // Node shows the line of an error that nobody catches: it shall not be the whole bundle.
  lineLimit: 200,
  platform: "node",
  mainFields: ["module", "main"],
  format: "esm",
  target: "node20",
  logLevel: "warning",
  alias: leaner(),
  // They name file and line of the sources, whose text is in the repository: packed, it would double the package.
  sourcemap: true,
  sourcesContent: false,
  plugins: [halves()],
};
// The program of the page that `report` writes, for a browser: one text, that the command puts into the page as it is. As a file it
// is for the tests alone.
await build({
  entryPoints: { page: "src/page/reportpage.ts" },
  outdir: beside,
  allowOverwrite: true,
  bundle: true,
  minify: true,
  platform: "browser",
  mainFields: ["module", "main"],
  format: "iife",
  target: "es2022",
  // It stands in the page itself: as ASCII it is the same bytes in any encoding, and its hash is that of the file.
  charset: "ascii",
  legalComments: "none",
  banner: {
    js: "/*! With uPlot, Copyright (c) Leon Sorokin, MIT licence. */",
  },
  logLevel: "warning",
});
// What goes into pages weighs as much as the rest of the package: it is packed more tightly than an archive would pack it, and what
// two of them hold is there once.
const assets = { ...(await liveAssets()), report: readFileSync(join(beside, "page.js"), "utf8") };
writeFileSync(join(beside, "pages.br"), brotliCompressSync(Buffer.from(JSON.stringify(assets))));
const liveTexts = {
  name: "live",
  setup: (on) =>
    on.onLoad({ filter: /[\\/]live[\\/]assets\.ts$/ }, () => ({
      contents: `
        import { readFileSync } from "node:fs";
        import { brotliDecompressSync } from "node:zlib";
        const packed = readFileSync(new URL("./pages.br", import.meta.url));
        export const assets = JSON.parse(brotliDecompressSync(packed).toString());`,
    })),
};
const bundles = {
  ...usual,
  entryPoints: {
    index: "src/index.ts",
    rampwright: "src/command/main.ts",
    // Started by the command from beside itself.
    worker: "src/command/worker.ts",
    // What helps tests, for any runner and for Vitest, which whoever uses it has.
    testing: "src/testing/testing.ts",
    vitest: "src/testing/vitest.ts",
    // Pictures and the page; designs in files, and threads.
    report: "src/schematic/reporting.ts",
    node: "src/command/designs.ts",
    // Apart from what the others share, so that whoever draws no tube can leave out what writes PNG files.
    png: "src/tube/image.ts",
  },
  chunkNames: "chunk-[hash]",
  external: ["vitest", "@resvg/resvg-wasm", "*/protocol.js"],
  splitting: true,
};
const { gathered, later } = await gather(bundles);
for (const [file, modules] of gathered)
  await build({
    ...usual,
    stdin: {
      contents: modules.map((one) => `export ${taken(one)} from "${pathOf(one)}";`).join("\n"),
      resolveDir: ".",
    },
    outfile: join(beside, file),
    outdir: undefined,
    plugins: [halves(), elsewhere(gathered, later, file)],
  });
await build({
  ...bundles,
  entryPoints: { ...bundles.entryPoints, ...later },
  plugins: [liveTexts, halves(), elsewhere(gathered, later)],
});
// Libraries of the older sort, in a file of their own: what they load of Node needs a loader that the others do without.
await build({
  ...usual,
  entryPoints: { protocol: "src/editor/protocol.ts" },
  banner: {
    js: 'import { createRequire } from "node:module"; const require = createRequire(import.meta.url);',
  },
});
leaveOut(beside);
keepTypes(beside);
mapped(beside);
chmodSync(join(beside, "rampwright.js"), 0o755);
writeFileSync(join(beside, ".made"), sources);
place();

/**
 * What every start of the everyday verb reads, as modules by the file that they are put into: what the library needs as well,
 * and the rest. By their entries alone the bundler would part them into some fifty files, and a process reads each by itself.
 */
async function gather(bundles) {
  const { metafile } = await build({
    ...bundles,
    plugins: [liveTexts, halves()],
    metafile: true,
    write: false,
  });
  const { inputs } = metafile;
  const entries = new Set(Object.values(bundles.entryPoints));
  /** All that is read at once with some modules. */
  const read = (from, found = new Set()) => {
    for (const one of from) {
      if (found.has(one) || !inputs[one]) continue;
      found.add(one);
      read(
        inputs[one].imports.flatMap(({ path, kind }) => (kind === "import-statement" ? [path] : [])),
        found,
      );
    }
    return found;
  };
  const library = read(["src/index.ts"]);
  const everyday = [...read(["src/command/main.ts", "src/command/verbs/check.ts"])];
  const own = everyday.filter((one) => one.startsWith("src/") && !entries.has(one)).sort();
  const core = own.filter((one) => library.has(one));
  // A library of others that is needed elsewhere too has a file of its own: in two of them it would be two libraries.
  const foreign = new Set(everyday.filter((one) => one.startsWith("node_modules/")));
  const shared = new Set();
  for (const [one, { imports }] of Object.entries(inputs))
    if (one.startsWith("src/") && !own.includes(one))
      for (const { path, original } of imports) if (foreign.has(path)) shared.add(original);
  const gathered = new Map([
    ["core.js", core],
    ["everyday.js", own.filter((one) => !library.has(one))],
    ["libraries.js", [...shared].sort()],
  ]);
  // What they load only when it is needed begins a file, by its own name and apart from those that callers know.
  const asked = own.flatMap((one) => inputs[one].imports.filter(({ kind }) => kind === "dynamic-import"));
  const later = Object.fromEntries(
    asked
      .filter(({ path }) => path.startsWith("src/") && !own.includes(path))
      .map(({ path }) => [`late-${parse(path).name}`, path]),
  );
  return { gathered, later };
}

/** Imports modules that are gathered in other files from there. */
function elsewhere(gathered, later, own) {
  const places = new Map();
  for (const [name, path] of own ? Object.entries(later) : []) places.set(pathOf(path), `./${name}.js`);
  for (const [file, modules] of gathered)
    if (file !== own) for (const one of modules) places.set(pathOf(one), `./${file}`);
  return {
    name: "elsewhere",
    setup: (on) =>
      on.onResolve({ filter: /^[^/]/ }, ({ path, importer }) => {
        const near = path.startsWith(".") && resolve(dirname(importer), path.replace(/\.js$/, ".ts"));
        const place = places.get(near || path);
        return place && { path: place, external: true, sideEffects: false };
      }),
  };
}

/** Libraries that weigh less by another file than by their name. */
function leaner() {
  return {
    // Its sources as modules, of which what nobody asks for is left out; by its name it comes whole.
    "ml-matrix": resolve("node_modules/ml-matrix/src/index.js"),
    "lodash-es": resolve(".ci/lodash.mjs"),
    // Without its threads, for which it asks Node.
    fflate: resolve("node_modules/fflate/esm/browser.js"),
  };
}

/**
 * Of the library for PNG files what reads them, of the parser library what reads texts, of the matrix library the methods that
 * somebody names.
 */
function halves() {
  return {
    name: "halves",
    setup: (on) => {
      on.onResolve({ filter: /^pako$/ }, () => ({
        path: resolve("node_modules/pako/dist/pako_inflate.js"),
        sideEffects: false,
      }));
      on.onLoad({ filter: /chevrotain\/lib\/src\/(scan|parse)\/.*\.js$/ }, ({ path }) => ({
        contents: parserPart(path.replace(/.*\/lib\/src\/|\.js$/g, ""), readFileSync(path, "utf8")),
      }));
      on.onLoad({ filter: /ml-matrix\/src\/(matrix|mathOperations)\.js$/ }, ({ path }) => ({
        contents: methodsNamed().get(basename(path)),
      }));
    },
  };
}

/**
 * A file of the parser library without what checks rules and tokens, works out how a token begins, words mistakes or builds trees: the
 * tests check both, and what the grammar finds it words itself.
 */
function parserPart(name, text) {
  const stub = (one) => `export const ${one} = () => { throw new Error("${one} is left out"); };\n`;
  if (name === "scan/lexer")
    return text.replaceAll(
      /^export function ((?:validate|find|perform)\w+)\([^\n]*\n[\s\S]*?^\}\n/gm,
      (_, one) => stub(one),
    );
  const whole = ["scan/reg_exp", "scan/reg_exp_parser", "parse/grammar/checks", "parse/cst/cst_visitor"];
  if (!whole.includes(name) && name !== "parse/errors_public") return text;
  const names = Array.from(text.matchAll(/^export (?:function|const|class) (\w+)/gm), ([, one]) => one);
  // Emptying what remembers expressions is called once, with nothing in it.
  return names
    .map((one) => (one.startsWith("clear") ? `export const ${one} = () => {};\n` : stub(one)))
    .join("");
}

/**
 * The two files of the matrix library with its hundreds of methods, by name, without those whose name stands nowhere: neither in our
 * sources nor in what is left of the library.
 */
function methodsNamed() {
  const folder = "node_modules/ml-matrix/src";
  const texts = new Map(
    ["matrix.js", "mathOperations.js"].map((name) => [name, readFileSync(join(folder, name), "utf8")]),
  );
  const others = [
    ...sourceFiles(),
    ...readdirSync(join(folder, "dc")).map((name) => join(folder, "dc", name)),
  ];
  const around = others.map((file) => readFileSync(file, "utf8")).join("\n");
  const method =
    /^ {2}(?:(?:static )?(?!constructor)(\w+)\([^\n]*\) \{|AbstractMatrix\.(?:prototype\.)?(\w+) = function [^\n]*\{)\n[\s\S]*?^ {2}\};?\n/gm;
  for (let left = -1; left !== 0; ) {
    left = 0;
    for (const [file, text] of texts) {
      const less = text.replaceAll(method, (whole, ...[ofClass, installed]) => {
        const name = ofClass ?? installed;
        const uses = new RegExp(`(?<!Math)\\.${name}\\b(?! = )`);
        const elsewhere = [around, ...[...texts.values()].map((one) => one.replace(whole, ""))];
        if (elsewhere.some((one) => uses.test(one))) return whole;
        left++;
        return "";
      });
      texts.set(file, less);
    }
  }
  return texts;
}

/** What is taken from a module: all that it gives, of a library what the sources name. */
function taken(one) {
  if (one.startsWith("src/")) return "*";
  const names = new Set();
  for (const file of sourceFiles())
    for (const [, list, from] of readFileSync(file, "utf8").matchAll(/^import \{([^}]*)\} from "([^"]+)"/gm))
      if (from === one) for (const name of list.split(",")) names.add(name.replace(/ as .*/, "").trim());
  return `{ ${[...names].filter((name) => name !== "" && !name.startsWith("type ")).join(", ")} }`;
}

/** A module of the sources by its whole path, one of a library by its name. */
function pathOf(one) {
  return one.startsWith("src/") ? resolve(one) : one;
}

/**
 * Takes out imports of other bundles that take no name from them: none does anything but give names, as the package says of
 * itself (`sideEffects`), so that a process reads fewer files, and the bundlers of those who use the library have nothing to
 * warn of.
 */
function leaveOut(folder) {
  for (const name of readdirSync(folder).filter((name) => name.endsWith(".js"))) {
    const file = join(folder, name);
    const text = readFileSync(file, "utf8");
    const without = text.replaceAll(/(?<=^|[;\n])import"\.\/[^"]+";/g, "");
    if (without !== text) writeFileSync(file, without);
  }
}

/** Leaves of the types what the package's entries speak of. */
function keepTypes(folder) {
  const { exports } = JSON.parse(readFileSync("package.json", "utf8"));
  const entries = Object.values(exports).flatMap(({ types }) => types ?? []);
  const files = readdirSync(folder, { recursive: true }).filter((name) => name.endsWith(".d.ts"));
  leaveTypes(
    files.map((name) => join(folder, name)),
    entries.map((types) => join(folder, types.replace("./dist/", ""))),
  );
}

/** Makes maps coarse, and names sources as seen from where the build will stand: it is made in a folder one deeper. */
function mapped(folder) {
  for (const name of readdirSync(folder, { recursive: true }).filter((name) => name.endsWith(".map"))) {
    const map = JSON.parse(readFileSync(join(folder, name), "utf8"));
    const made = coarse(map, readFileSync(join(folder, name.replace(/\.map$/, "")), "utf8"));
    const sources = made.sources.map((source) => source.replace("../", ""));
    writeFileSync(join(folder, name), JSON.stringify({ ...made, sources }));
  }
}

/** The page that computes, as texts: its script, and the engine that it starts in a worker. */
async function liveAssets() {
  const script = async (entry, notice) => {
    const { outputFiles } = await build({
      entryPoints: [entry],
      bundle: true,
      minify: true,
      write: false,
      platform: "browser",
      format: "iife",
      target: "es2023",
      // Within a page no text may close the element that it stands in.
      supported: { "inline-script": false },
      charset: "utf8",
      legalComments: "none",
      banner: { js: `/*! ${notice} */` },
      alias: leaner(),
      plugins: [halves()],
      logLevel: "warning",
    });
    return outputFiles[0].text;
  };
  const [page, engine] = await Promise.all([
    script(
      "src/live/front.ts",
      "With CodeMirror, Copyright (c) Marijn Haverbeke and others, and uPlot, Copyright (c) Leon Sorokin; both MIT licence.",
    ),
    script(
      "src/live/engine.ts",
      "With chevrotain, Copyright (c) Shahar Soel and others, Apache License 2.0; fraction.js, ml-matrix and fflate, MIT licence.",
    ),
  ]);
  return { page, engine };
}

/** Whether a folder or module that was compiled once still has a source. */
function hasSource(path) {
  return existsSync(path.replace(/^out\/modules/, "src").replace(/(\.d)?\.[jt]s(\.map)?$/, ".ts"));
}

/** The sources, in order. */
function sourceFiles() {
  return readdirSync("src", { recursive: true })
    .filter((name) => /\.(ts|json)$/.test(name))
    .map((name) => join("src", name))
    .sort();
}

/** What goes into the build, as one number: the sources and what chooses how they are built. */
function digest() {
  const sum = createHash("sha256");
  const inside = sourceFiles();
  const how = [
    "package.json",
    "package-lock.json",
    "tsconfig.json",
    ".ci/build.mjs",
    ".ci/lodash.mjs",
    ".ci/maps.mjs",
    ".ci/types.mjs",
  ];
  for (const file of [...how, ...inside]) sum.update(`${file}\0`).update(readFileSync(file)).update("\0");
  return sum.digest("hex");
}

/** What the build that stands in its place was made from. */
function made() {
  try {
    return readFileSync("dist/.made", "utf8");
  } catch {
    return undefined;
  }
}

/** Moves the build to its place, unless another process has put the same there meanwhile. */
function place() {
  const old = `${beside}-old`;
  while (made() !== sources) {
    if (moved("dist", old)) rmSync(old, { recursive: true, force: true });
    if (moved(beside, "dist")) return;
  }
  rmSync(beside, { recursive: true, force: true });
}

/** False where another process was quicker: there is nothing to move, or something stands there already. */
function moved(from, to) {
  try {
    renameSync(from, to);
    return true;
  } catch (error) {
    if (["ENOENT", "ENOTEMPTY", "EEXIST"].includes(error.code)) return false;
    throw error;
  }
}
