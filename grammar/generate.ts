// Writes the generated files of this folder anew: `npm run grammar`. They come from the parser and from the lists of kinds,
// waveforms and measures. The scripts run from the root of the project.
import { readFileSync, writeFileSync } from "node:fs";
import { generated } from "./reference.js";
import { withWords } from "./wordbook.js";

const language = withWords(readFileSync("grammar/language.md", "utf8"));
for (const [name, text] of Object.entries(generated(language))) writeFileSync(`grammar/${name}`, text);
