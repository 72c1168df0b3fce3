// Writes what is generated of the documents: the words and the formal part of grammar/language.md, the pictures in
// language.svg, the highlighting grammar, and README's table of verbs. All of it comes from the parser, from the lists of kinds,
// waveforms and measures, and from the records of the verbs. `npm run grammar`, from the root of the project.
import { readFileSync, writeFileSync } from "node:fs";
import { verbTable } from "../../src/command/helptext.js";
import { verbs } from "../../src/command/verbs.js";
import { generated } from "../../src/syntax/reference.js";
import { withWords } from "./wordbook.js";

const language = withWords(readFileSync("grammar/language.md", "utf8"));
for (const [name, text] of Object.entries(generated(language))) writeFileSync(`grammar/${name}`, text);

const table = verbTable(await Promise.all(Object.values(verbs).map((one) => one())));
const readme = readFileSync("README.md", "utf8");
writeFileSync(
  "README.md",
  readme.replace(/^\| command .*\n\| -.*\n(\|.*\n)+/m, () => `${table}\n`),
);
