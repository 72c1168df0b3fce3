// One row, or a part of one, in a process of its own: sends what it gives, or why it gives nothing, and ends.
// Takes the name of the row, `--short` for a fraction of it, and `--part=WORD` for what a row wants apart.
import { NotRun, Wrong } from "./kit.mjs";
import { rows } from "./rows.mjs";

const [name, ...flags] = process.argv.slice(2);
const part = flags.find((flag) => flag.startsWith("--part="))?.slice("--part=".length);
const row = rows.find((one) => one.name === name);
const called = name.replaceAll(/-(.)/g, (_, letter) => letter.toUpperCase());

let told;
try {
  const { [called]: measure } = await import(`./${row.file}.mjs`);
  told = { result: await measure({ short: flags.includes("--short"), part }) };
} catch (error) {
  const kind = error instanceof Wrong ? "wrong" : error instanceof NotRun ? "not run" : "broken";
  told = { error: String(error?.message ?? error), kind };
}
process.send(told, () => process.disconnect());
