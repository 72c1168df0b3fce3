// Writes the generated files of this folder: the formal part of language.md, the pictures in language.svg and the
// highlighting grammar. Needs a build (`npm run grammar` makes one first). All of it comes from the parser.
import { readFileSync, writeFileSync } from "node:fs";
import { generated } from "../dist/syntax/reference.js";

const here = (name) => new URL(name, import.meta.url);
for (const [name, text] of Object.entries(generated(readFileSync(here("language.md"), "utf8")))) {
  writeFileSync(here(name), text);
}
