// The package as its users get it: packed, installed into an empty folder, used from a script and from the shell; and
// its core, which must run where there is neither Node nor a page.
import { execFileSync, spawnSync } from "node:child_process";
import {
  copyFileSync,
  cpSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createContext, runInContext } from "node:vm";
import { build } from "esbuild";
import { afterAll, beforeAll, expect, test } from "vitest";
import { root } from "../command/running.js";

const place = mkdtempSync(join(tmpdir(), "rampwright-user-"));
const inside = join(place, "node_modules", "rampwright");

beforeAll(() => {
  // The global set-up has built it; building again here would pull it away from under the other tests.
  const words = ["pack", "--ignore-scripts", "--json", "--pack-destination", place];
  const [{ filename }] = JSON.parse(execFileSync("npm", words, { cwd: root, encoding: "utf8" }));
  writeFileSync(join(place, "package.json"), '{ "private": true, "type": "module" }');
  const install = ["install", "--prefer-offline", "--no-audit", "--no-fund", `./${filename}`];
  execFileSync("npm", install, { cwd: place, stdio: ["ignore", "ignore", "inherit"] });
});

afterAll(() => rmSync(place, { recursive: true, force: true }));

test("it holds the library with its types, the command, the language reference, the examples and its licence", () => {
  for (const file of [
    "dist/index.js",
    "dist/index.d.ts",
    "dist/rampwright.js",
    "grammar/language.md",
    "examples/nestbox.ramp",
    "examples/nestbox.svg",
    "LICENSE",
    "README.md",
    "CHANGELOG.md",
  ]) {
    expect(existsSync(join(inside, file)), file).toBe(true);
  }
  // Of the tests only what the README speaks of.
  const tests = readdirSync(join(inside, "tests"), { recursive: true, encoding: "utf8" });
  expect(tests.filter((name) => name.endsWith(".test.ts"))).toEqual([]);
  expect(tests.length).toBeLessThan(10);
  // The language's reference, not what generates it.
  expect(readdirSync(join(inside, "grammar")).filter((name) => name.endsWith(".ts"))).toEqual([]);
  // The bundles alone, not the modules that they are made of.
  expect(existsSync(join(inside, "dist/base/quantity.d.ts"))).toBe(true);
  expect(existsSync(join(inside, "dist/base/quantity.js"))).toBe(false);
});

test("a clone is built when its dependencies are installed, and nothing runs where the package is installed", () => {
  const { scripts } = JSON.parse(readFileSync(join(inside, "package.json"), "utf8"));
  // What npm runs, or warns of, for a package that is installed from a file or a repository.
  for (const event of ["preinstall", "install", "postinstall", "prepare"])
    expect(scripts).not.toHaveProperty(event);
  const clone = mkdtempSync(join(tmpdir(), "rampwright-clone-"));
  const kept = Object.entries(scripts).filter(([name]) => /^(post|pre)?prepare$/.test(name));
  const own = {
    ...Object.fromEntries(kept),
    build: "node -e \"require('fs').writeFileSync('built.txt', '')\"",
  };
  writeFileSync(join(clone, "package.json"), JSON.stringify({ name: "x", version: "1.0.0", scripts: own }));
  execFileSync("npm", ["install", "--offline", "--no-audit", "--no-fund"], { cwd: clone, stdio: "ignore" });
  expect(existsSync(join(clone, "built.txt"))).toBe(true);
  rmSync(clone, { recursive: true });
});

/** What a strict compiler says of a file of the user's. */
function typed(file: string, more: object): string {
  const options = {
    compilerOptions: {
      target: "es2023",
      strict: true,
      skipLibCheck: false,
      types: ["node"],
      typeRoots: [join(root, "node_modules/@types")],
      ...more,
    },
    files: [file],
  };
  writeFileSync(join(place, "tsconfig.json"), JSON.stringify(options));
  const tsc = spawnSync(process.execPath, [join(root, "node_modules/typescript/bin/tsc")], {
    cwd: place,
    encoding: "utf8",
  });
  return tsc.stdout;
}

test.each([
  ["nodenext", "nodenext"],
  ["esnext", "bundler"],
])(
  "its types hold under the strictest settings, and refuse a misspelt option: %s, %s",
  (module, moduleResolution) => {
    const text = `import { compile, type RunSummary, simulate, verifyAll } from "rampwright";
import * as node from "rampwright/node";
import * as report from "rampwright/report";
import * as testing from "rampwright/testing";
const design = compile("run for 1 ms", { name: "none.ramp" });
const plain: RunSummary = simulate(design, { until: "1 ms" }).toJSON();
export const names: readonly string[] = plain.names;
export const all = [node.readDesign, report.draw, testing, verifyAll(design)] as const;
// @ts-expect-error: it is spelt until
simulate(design, { untill: "1 ms" });
`;
    writeFileSync(join(place, "strictest.ts"), text);
    const strictest = {
      module,
      moduleResolution,
      exactOptionalPropertyTypes: true,
      noUncheckedIndexedAccess: true,
      noPropertyAccessFromIndexSignature: true,
      isolatedModules: true,
      verbatimModuleSyntax: true,
      noEmit: true,
    };
    expect(typed("strictest.ts", strictest)).toBe("");
  },
);

test("it needs four packages at run time and no more", () => {
  const { dependencies, optionalDependencies } = JSON.parse(
    readFileSync(join(inside, "package.json"), "utf8"),
  );
  // What makes a PNG of a drawing is larger than the rest, and can be left out.
  expect(Object.keys(optionalDependencies).sort()).toEqual(["@fontsource/noto-sans", "@resvg/resvg-wasm"]);
  expect(Object.keys(dependencies).sort()).toEqual(["chevrotain", "fflate", "fraction.js", "ml-matrix"]);
});

test("the script of the examples runs, and its types hold", () => {
  copyFileSync(join(root, "examples/script.ts"), join(place, "script.ts"));
  copyFileSync(join(root, "examples/line.ramp"), join(place, "line.ramp"));
  expect(typed("script.ts", { module: "nodenext" })).toBe("");
  const out = execFileSync(process.execPath, ["script.js"], { cwd: place, encoding: "utf8" });
  // 55.3 µs after the pulse: 1 mA / 15 nF gives 3.687 V, and the source's 2 Mohm a little more.
  expect(out).toMatch(/at 60 µs: 3\.7\d* V/);
  expect(out).toContain("every 8 µs: 9 values");
  expect(out.match(/^pass {2}/gm)).toHaveLength(8);
  expect(out).not.toContain("FAIL");
});

test("a console shows what a run came to, and its classes by their names; a mistake in a script is told in a few lines", () => {
  writeFileSync(
    join(place, "shown.js"),
    `import { compile, simulate } from "rampwright";
const run = simulate(compile("supply s = 5 V\\nresistor r s -> ground 1 kohm\\nrun for 1 ms"));
console.log(run, run.trace("s"));
compile("nothing");
`,
  );
  const { status, stdout, stderr } = spawnSync(process.execPath, ["shown.js"], {
    cwd: place,
    encoding: "utf8",
  });
  expect(status).toBe(1);
  expect(stdout).toMatch(
    /^\{\n {2}title: 'design',\n[\s\S]*status: 'complete',[\s\S]*\n\} Trace \{\n {2}name: 's',/,
  );
  expect(stdout.split("\n").length).toBeLessThan(60);
  expect(stderr).toMatch(/^DesignError: 1:1: 'nothing' begins no statement/m);
  // Node shows the line that threw: in a bundle without line ends it would be all of it.
  expect(stderr.length).toBeLessThan(3000);
});

test("the command runs from the shell of an installed package", () => {
  const words = ["--no-install", "rampwright", "check", "--json", join(inside, "examples/line.ramp")];
  const { status, stdout } = spawnSync("npx", words, { cwd: place, encoding: "utf8" });
  expect(status).toBe(0);
  expect(JSON.parse(stdout).checks.length).toBeGreaterThan(5);
});

test("the README's snippets give what stands there where the package is all there is", () => {
  const readme = readFileSync(join(inside, "README.md"), "utf8");
  const snippets = [...readme.matchAll(/^```(\w+)\n(.*?)^```$/gms)].map((m) => m[2]);
  const [, design, passes, diagnosing, diagnosed, script, printed] = snippets;
  expect(snippets).toHaveLength(7);
  // The examples that it speaks of come with the package.
  cpSync(join(inside, "examples"), join(place, "examples"), { recursive: true });
  writeFileSync(join(place, "line.ramp"), design);
  writeFileSync(join(place, "readme.js"), script);
  const said = (words: string) => {
    const done = spawnSync("bash", ["-c", words], {
      cwd: place,
      encoding: "utf8",
      env: { ...process.env, NO_COLOR: "1", npm_config_offline: "true" },
    });
    return [done.status, done.stdout];
  };
  const [checking] = /npx rampwright check line\.ramp/.exec(readme)!;
  expect(said(checking)).toEqual([0, passes]);
  expect(said(diagnosing)).toEqual([0, diagnosed]);
  expect(said("node readme.js")).toEqual([0, printed]);
});

test("the core runs without Node and without a page, a clock or chance", async () => {
  const source = `
    import { compile, verifyAll } from "rampwright";
    globalThis.results = () => verifyAll(compile(text)).map((r) => [r.name, r.pass]);
  `;
  writeFileSync(join(place, "browser.js"), source);
  const { outputFiles, warnings } = await build({
    entryPoints: [join(place, "browser.js")],
    bundle: true,
    write: false,
    format: "iife",
    platform: "browser",
    logLevel: "silent",
  });
  // Whoever bundles it is told of nothing, e.g. of imports that the package says have no effect.
  expect(warnings).toEqual([]);
  const text = readFileSync(join(inside, "examples/line.ramp"), "utf8");
  const context = createContext({ text });
  runInContext(outputFiles[0].text, context);
  // Once loaded (the parser's libraries look at the clock there), neither the day nor chance may be asked.
  runInContext("Math.random = Date = () => { throw new Error('not deterministic') }", context);
  const results = runInContext("results()", context) as [string, boolean][];
  expect(results.length).toBe(8);
  expect(results.every(([, pass]) => pass)).toBe(true);
});
