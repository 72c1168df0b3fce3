// Writes the generated files of this folder anew, and README's table of verbs: `npm run grammar`. They come from the parser,
// from the lists of kinds, waveforms and measures, and from the records of the verbs. The scripts run from the root of the
// project, of sources that are built.
import { readFileSync, writeFileSync } from "node:fs";
import { commandPage, verbTable } from "../src/command/helptext.js";
import { verbs } from "../src/command/verbs.js";
import { diagnosticsPage } from "./diagnostics.js";
import { generated } from "./reference.js";
import { withWords } from "./wordbook.js";

const language = withWords(readFileSync("grammar/language.md", "utf8"));
for (const [name, text] of Object.entries(generated(language))) writeFileSync(`grammar/${name}`, text);

const all = await Promise.all(Object.values(verbs).map((one) => one()));
writeFileSync("examples/guide/command.md", commandPage(all));
writeFileSync("examples/guide/diagnostics.md", diagnosticsPage());

const table = verbTable(all);
const readme = readFileSync("README.md", "utf8");
writeFileSync(
  "README.md",
  readme.replace(/^\| command .*\n\| -.*\n(\|.*\n)+/m, () => `${table}\n`),
);
