// Whole commands, each a process: `start`, `report`, `cold`.
// Always: the command ends with the status it should and leaves what it should; memory is the most that the process held.
import { spawnSync } from "node:child_process";
import { mkdirSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { availableParallelism } from "node:os";
import { demand, NotRun, timed } from "./kit.mjs";
import { boardWhole, leave, lineText } from "./texts.mjs";

const command = "dist/rampwright.js";

/**
 * Runs the command; gives seconds of wall time, the most bytes it held, its status and what it said.
 * @param good the statuses that are right
 */
export function ran(words, good = [0]) {
  const weighed = "out/bench/weighed.json";
  rmSync(weighed, { force: true });
  let told;
  const seconds = timed(() => {
    told = spawnSync(process.execPath, ["--require", "./bench/weigh.cjs", command, ...words], {
      encoding: "utf8",
      maxBuffer: 1e9,
      env: { ...process.env, BENCH_WEIGHED: weighed },
    });
  });
  if (told.error) throw told.error;
  demand(
    good.includes(told.status),
    `'${words[0]}' ends with ${told.status ?? told.signal}: ${last(told.stderr)}`,
  );
  return { seconds, ...JSON.parse(readFileSync(weighed, "utf8")), status: told.status, said: told.stdout };
}

function last(text) {
  return text.trim().split("\n").slice(-1)[0];
}

/** A row for two cores measures nothing on one. */
export function twoCores() {
  if (availableParallelism() < 2) throw new NotRun("there is one core only");
}

// Milliseconds of all runs of a text.
const lasting = (text) =>
  [...text.matchAll(/^run for (\S+) ms/gm)].reduce((sum, [, ms]) => sum + Number(ms), 0);

// The board with one of its cases, each run a hundredth as long, whatever its checks then say.
function brief(text) {
  const [drawn, ...cases] = text.split(/^(?=case )/m);
  return [drawn, cases.find((block) => block.startsWith('case "double terminated"'))]
    .join("")
    .replaceAll(/^run for (\d+) ms/gm, (_, ms) => `run for ${Number(ms) / 100} ms`);
}

// The whole board, or in short a part of it; and how much of it that is.
function boardFile(short) {
  if (!short) return { file: "examples/board.ramp", share: 1, good: [0] };
  const text = brief(boardWhole);
  return { file: leave("brief", text), share: lasting(text) / lasting(boardWhole), good: [0, 1] };
}

/** What `npm start` does after the build: twelve runs, their verdicts, all pictures. */
export function start({ short }) {
  twoCores();
  const folder = "out/bench/start";
  mkdirSync(folder, { recursive: true });
  const { file, share, good } = boardFile(short);
  const { seconds, bytes, said } = ran(["check", file, "--pictures", folder], good);
  const pictures = readdirSync(folder).filter((name) => /\.(svg|png)$/.test(name));
  const runs = 1 + [...readFileSync(file, "utf8").matchAll(/^case /gm)].length;
  demand(pictures.length === 2 * runs, `${runs} runs left ${pictures.length} pictures`);
  demand(/checks/.test(said), "there are no verdicts");
  return {
    seconds,
    ratios: {},
    values: { "wall on two cores": seconds / share },
    notes: { megabytes: bytes / 1e6, pictures: pictures.length },
  };
}

/** `report` of the whole board. */
export function report({ short }) {
  const { file, share } = boardFile(short);
  const page = "out/bench/report.html";
  const { seconds, bytes } = ran(["report", file, "--out", page]);
  demand(readFileSync(page, "utf8").trimEnd().endsWith("</html>"), "the page is not whole");
  return { seconds, ratios: {}, values: { wall: seconds / share, memory: bytes / 1e6 }, notes: {} };
}

/** The command on the line sweep and the library's import, against Node that does nothing: user and system time. */
export function cold({ short }) {
  const check = [command, "check", "examples/line.ramp"];
  const load = ["--input-type=module", "-e", 'import "./dist/index.js"'];
  const nothing = ["-e", "0"];
  const goes = short ? 3 : 11;
  demand(ran(["check", leave("line", lineText)]).said.includes("passed"), "the line sweep does not pass");
  // In turn, so that what else the machine does falls on all three alike.
  const times = [[], [], []];
  for (let k = 0; k < goes; k++) {
    [nothing, check, load].forEach((words, i) => {
      times[i].push(processor(words));
    });
  }
  const [idle, checking, loading] = times.map((all) => all.sort((a, b) => a - b)[goes >> 1]);
  return {
    seconds: checking,
    ratios: {},
    values: { "check over node -e 0": checking / idle, "import over node -e 0": loading / idle },
    notes: { nothing: idle, check: checking, import: loading },
  };
}

/** User and system time of one process, s, as the shell counts it. */
function processor(words) {
  const script = 'TIMEFORMAT="%3U %3S"; time "$0" "$@" >/dev/null 2>&1';
  const { error, stderr, status } = spawnSync("bash", ["-c", script, process.execPath, ...words], {
    encoding: "utf8",
  });
  if (error) throw new NotRun("there is no bash to count processor time");
  demand(status === 0, `'${words.join(" ")}' ends with ${status}`);
  const [user, system] = stderr.trim().split(" ").map(Number);
  return user + system;
}
