// Writes src/blocks/shipped.ts from examples/blocks: the core reads no files, so the texts of the blocks that ship stand
// in it, without their comments, which whoever bundles the core would carry along: the lines stay where they are, since messages
// name them. The build runs it first; the file is kept in the repository, so that the sources compile as they stand.
import { readdirSync, readFileSync, writeFileSync } from "node:fs";

const folder = new URL("../examples/blocks/", import.meta.url);
const target = new URL("../src/blocks/shipped.ts", import.meta.url);

const entries = readdirSync(folder)
  .filter((name) => name.endsWith(".ramp"))
  .sort()
  .map((name) => {
    const whole = readFileSync(new URL(name, folder), "utf8").replaceAll(/[^\S\n]*#.*$/gm, "");
    return `  [${JSON.stringify(name.replace(/\.ramp$/, ""))}, ${JSON.stringify(whole)}],\n`;
  });
const text = `// The blocks that ship, by the name that stands behind \`shipped/\` in a \`bring\`.
// Written from examples/blocks by the build; change those.
// biome-ignore-all format: a block to a line.

/** Texts of the blocks that ship, each with one block or a few, their comments left out. */
export const shipped: ReadonlyMap<string, string> = new Map([
${entries.join("")}]);
`;
if (read(target) !== text) writeFileSync(target, text);

function read(file) {
  try {
    return readFileSync(file, "utf8");
  } catch {
    return undefined;
  }
}
