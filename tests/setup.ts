// Builds the package once before the tests, so that the command and the packed tarball are the ones under test. Where
// nothing has changed since the last build, that one stays.
import { execFileSync } from "node:child_process";
import { fileURLToPath } from "node:url";

export default function setup(): void {
  const root = fileURLToPath(new URL("..", import.meta.url));
  execFileSync(process.execPath, [".ci/build.mjs"], { cwd: root, stdio: ["ignore", "inherit", "inherit"] });
}
