// The same checksum under other versions of Node. Their binaries come from the package registry, each an ordinary
// package for one kind of machine; where none can be had, that is said and nothing fails. Each checks the library as
// it is packed (dist), bundled into one file.
import { execFileSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { build } from "esbuild";

/** The checksum under one version, or why there is none. */
export type Found =
  | { readonly version: string; readonly sum: string }
  | { readonly version: string; readonly missing: string };

/** Runs the checksum under each of the major versions. */
export async function engines(majors: readonly number[]): Promise<Found[]> {
  const folder = mkdtempSync(join(tmpdir(), "rampwright-"));
  try {
    const script = join(folder, "digest.mjs");
    const entry = `
      import { compile, simulate } from "./dist/index.js";
      import { checksum } from "./tests/verify/checksum.ts";
      console.log(checksum({ compile, simulate }));`;
    await build({
      stdin: { contents: entry, resolveDir: process.cwd() },
      outfile: script,
      bundle: true,
      platform: "node",
      format: "esm",
      target: "node20",
      // All of it is wanted here, whatever the package says of parts that need not be.
      ignoreAnnotations: true,
      logLevel: "warning",
    });
    const here = execFileSync(process.execPath, [script], { encoding: "utf8" }).trim();
    return [{ version: process.version, sum: here }, ...majors.map((major) => under(major, folder, script))];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function under(major: number, folder: string, script: string): Found {
  const version = `v${major}`;
  const name = `node-${process.platform}-${process.arch}`;
  const prefix = join(folder, `${major}`);
  try {
    execFileSync(
      "npm",
      ["install", "--no-save", "--no-audit", "--no-fund", "--prefix", prefix, `${name}@${major}`],
      {
        stdio: "pipe",
        timeout: 180_000,
        // npm wants a folder with a package of its own.
        cwd: packageIn(prefix),
      },
    );
    const binary = join(prefix, "node_modules", name, "bin", "node");
    if (!existsSync(binary)) return { version, missing: `${name} holds no binary` };
    const exact = execFileSync(binary, ["--version"], { encoding: "utf8" }).trim();
    return { version: exact, sum: execFileSync(binary, [script], { encoding: "utf8" }).trim() };
  } catch (error) {
    return { version, missing: `${error}`.split("\n")[0] };
  }
}

function packageIn(prefix: string): string {
  mkdirSync(prefix, { recursive: true });
  writeFileSync(join(prefix, "package.json"), "{}");
  return prefix;
}
