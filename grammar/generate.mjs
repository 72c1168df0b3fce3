// Writes the generated files of this folder: the words and the formal part of language.md, the pictures in language.svg
// and the highlighting grammar. Needs a build (`npm run grammar` makes one first). All of it comes from the parser and
// from the lists of kinds, waveforms and measures.
import { readFileSync, writeFileSync } from "node:fs";
import { withWords } from "../dist/report/wordbook.js";
import { generated } from "../dist/syntax/reference.js";

const here = (name) => new URL(name, import.meta.url);
const language = withWords(readFileSync(here("language.md"), "utf8"));
for (const [name, text] of Object.entries(generated(language))) writeFileSync(here(name), text);
