// Every single fault of the whole board, as drawn and unplugged, and whether it is found: `npm run verify:faults`, for an hour or
// so. With `--every N` only each N-th fault, with `--seeds 1,2` other draws; the table is kept in out/.
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { parseArgs } from "node:util";
import { SymptomStudy } from "../../src/diagnosis/symptomstudy.js";
import { compile, readSymptoms, type SymptomTable, symptoms } from "../../src/index.js";
import { median, tryFaults } from "./trying.js";

const { values } = parseArgs({ options: { every: { type: "string" }, seeds: { type: "string" } } });
const design = compile(readFileSync("examples/board.ramp", "utf8"), { name: "board.ramp" });
const kept = "out/board.symptoms.json";

function table(): SymptomTable {
  const { fingerprint } = new SymptomStudy(design);
  const known = existsSync(kept) ? readSymptoms(JSON.parse(readFileSync(kept, "utf8"))) : undefined;
  if (known?.fingerprint === fingerprint) return known;
  const made = symptoms(design, { progress: (done, of) => process.stderr.write(`\r${done} of ${of} `) });
  mkdirSync("out", { recursive: true });
  writeFileSync(kept, JSON.stringify(made));
  return made;
}

const score = tryFaults(design, table(), {
  cases: ["", "camera unplugged and plugged in again"],
  targets: ["line_gate", "line_ramp", "across", "field_gate", "field_ramp", "down", "plus12.current"],
  seeds: (values.seeds ?? "1").split(",").map(Number),
  every: Number(values.every ?? 1),
  advised: true,
});
const shows = score.boards - score.invisible;
const share = (n: number, of: number) => `${n} of ${of}, ${((100 * n) / of).toFixed(1)} %`;
console.log(score.misses.join("\n"));
console.log(`boards with a fault: ${score.boards}; moving no reading by its resolution: ${score.invisible}`);
console.log(`first or tied first: ${share(score.first, shows)}; median size of ties: ${median(score.ties)}`);
console.log(
  `found from nothing by at most four advised looks: ${share(score.found, shows)}; median ${median(score.looks)}`,
);
console.log(`after the readings above by at most four more: ${share(score.after, shows)}`);
console.log(`called unexplained: ${share(score.unexplained, shows)}`);
process.exitCode = score.first / shows >= 0.95 && score.found / shows >= 0.9 ? 0 : 1;
