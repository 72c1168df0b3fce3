// What each verb takes, as a process of its own, for the line sweep and for the whole board: seconds of wall time, written into
// the table of this folder's page. `node bench/costs.mjs` after a build; verbs that do not end within a minute say so.
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

process.chdir(fileURLToPath(new URL("..", import.meta.url)));
const place = mkdtempSync(join(tmpdir(), "rampwright-"));
const out = (name) => join(place, name);
const patience = 60_000;

/** Words of each verb behind the design; of the board where they differ. */
const asked = {
  check: [[]],
  run: [["--out", out("run.csv")]],
  report: [["--out", out("report.html")]],
  picture: [undefined, ["--out", out("picture.png")]],
  draw: [["--out", out("drawing.svg")]],
  live: [["--out", out("live.html")]],
  size: [[], undefined],
  vary: [
    ["--value", "timing", "--from", "12 nF", "--to", "18 nF", "--points", "4"],
    ["--value", "line_cap", "--from", "12 nF", "--to", "18 nF", "--points", "4"],
  ],
  spread: [["--trials", "100"]],
  faults: [["--drawn"]],
  stress: [[]],
  diagnose: [["--reading", "peak of ramp 5.6 V", "--table", out("line.json")], undefined],
  match: [["--capture", "examples/captures/timing.csv", "--of", "ramp", "--fit", "timing"], undefined],
  parts: [["--unrun"]],
  format: [[]],
};

const rows = Object.entries(asked).map(([verb, [line, board = line]]) => {
  const alone = asked[verb].length > 1 && asked[verb][1] === undefined;
  return [verb, taken(verb, "line", line), alone ? "" : taken(verb, "board", board)];
});
rmSync(place, { recursive: true, force: true });
const table = [["verb", "line sweep, s", "board, s"], ["---", "---", "---"], ...rows]
  .map((row) => `| ${row.join(" | ")} |`)
  .join("\n");
const page = readFileSync("bench/README.md", "utf8");
writeFileSync(
  "bench/README.md",
  page.replace(
    /(<!-- costs -->\n).*?(<!-- end of costs -->)/s,
    (_, from, to) => `${from}\n${table}\n\n${to}`,
  ),
);

/** Wall time of a verb, s. */
function taken(verb, design, words) {
  if (!words) return "";
  const began = performance.now();
  const { status } = spawnSync(
    process.execPath,
    ["dist/rampwright.js", verb, `examples/${design}.ramp`, ...words],
    {
      timeout: patience,
      stdio: "ignore",
    },
  );
  const seconds = (performance.now() - began) / 1000;
  const shown =
    status === null || seconds * 1000 >= patience ? `over ${patience / 1000}` : seconds.toPrecision(2);
  console.log(verb, design, shown, status);
  return shown;
}
