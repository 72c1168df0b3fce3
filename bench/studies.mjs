// Many runs of one design: `find`, `faults`, `trials`, `board-trials`.
// Always: what is found meets its goal, every trial and fault that was asked for is there, and what two cores give is to
// the byte what one gives. In short a fraction is done, and seconds are put in proportion.
import { readFileSync, rmSync } from "node:fs";
import { settled } from "../out/bench/byhand.mjs";
import { compile, diagnose as ranked, readSymptoms, size } from "../out/bench/engine.mjs";
import { demand, passing, timed } from "./kit.mjs";
import { ran, twoCores } from "./processes.mjs";
import { boardDrawn, boardWhole, boardWith, leave, line, lineSettled } from "./texts.mjs";

/** One `find` on the board, for a check of 25 ms: the value, preferred values, pairs, the trimmer. */
export function find({ short }) {
  const [length, after] = short ? [0.7, 0.5] : [25, 22];
  const design = compile(
    boardWith(
      "bars",
      `run for ${length} ms`,
      // Between two preferred values, nearer to a pair of them than to either.
      `check "line reaches" peak of line_ramp after ${after} ms is 3.8 V +- 3 %`,
      'find line_cap from 10 nF to 22 nF in E12 for "line reaches"',
    ),
  );
  let found;
  const seconds = timed(() => {
    found = size(design, design.finds[0]);
  });
  demand(found.status === "found", `${found.status}: ${found.reason}`);
  const [answer] = found.answers;
  passing(answer.results);
  const off = Math.abs(answer.results[0].measured / 3.8 - 1);
  demand(off < 1e-6, `what was found comes to ${answer.results[0].measured} V`);
  demand(answer.preferred.length > 0 && answer.pairs.length > 0 && answer.trim, "something is left out");
  return {
    seconds,
    ratios: {},
    values: { runs: found.runs, wall: (seconds * 25) / length },
    notes: { value: answer.values[0], off },
  };
}

/** The table of faults of the board as drawn. */
export function faults({ short }) {
  twoCores();
  const file = leave("drawn", boardDrawn);
  // In short a few parts of the picture's way, for a hundredth of the time.
  const some = short ? ["--parts", "mix,add,gain.upper", "--until", "600 us"] : [];
  const { seconds, bytes, said } = ran(["faults", file, "--json", ...some], [0, 1]);
  const { faults: rows } = JSON.parse(said);
  const drawn = rows.find(({ kind }) => kind === "as drawn");
  demand(drawn.status === "complete", `as drawn it is ${drawn.status}: ${drawn.reason}`);
  if (!short) demand(drawn.failing.length === 0, `as drawn it fails ${drawn.failing.join(", ")}`);
  // As drawn, every part open and short, every supply dead, open and low, and every signal stopped.
  const { parts } = compile(boardDrawn);
  const ways = { supply: 3, signal: 1 };
  const all = parts.reduce((sum, { kind }) => sum + (ways[kind.word] ?? 2), 1);
  demand(rows.length === (short ? 7 : all), `there are ${rows.length} faults`);
  const share = short ? (rows.length / all) * 0.01 : 1;
  return {
    seconds,
    ratios: {},
    values: { "wall on two cores": seconds / share },
    notes: { faults: rows.length, megabytes: bytes / 1e6 },
  };
}

/** The table of symptoms of the whole board, and the ranking of three readings by it. */
export function diagnose({ short }) {
  twoCores();
  const file = leave("board", boardWhole);
  const kept = "out/bench/board.symptoms.json";
  rmSync(kept, { force: true });
  // In short some parts of the line sweep for a hundredth of the time, which gives each run about a fiftieth of its work.
  const some = short ? ["--parts", "line.reset,line.guard", "--until", "600 us"] : [];
  const words = ["diagnose", file, "--table", kept, "--json", ...some];
  const { seconds, bytes } = ran(words, [0, 1]);
  const table = readSymptoms(JSON.parse(readFileSync(kept, "utf8")));
  const suspects = short ? 5 : 233;
  demand(table.suspects.length === suspects, `there are ${table.suspects.length} suspects`);
  demand(table.missing === 0, `${table.missing} rows are missing`);
  const readings = [
    { what: "peak of line_ramp", value: "5.6 V" },
    { what: "swing of line_ramp", value: "0.0 V" },
    { what: "peak of line_gate", value: "5.0 V" },
  ];
  const [sound] = ranked(table, []).candidates;
  demand(sound.faults.length > 1, "without readings all are alike");
  const rank = () => ranked(table, readings);
  if (!short) demand(rank().explained, "a stuck reset is not explained");
  const ranking = timed(rank);
  const share = short ? (suspects / 233) * 0.02 : 1;
  return {
    seconds,
    ratios: {},
    values: { "wall of the table on two cores": seconds / share, "wall of a ranking": ranking },
    notes: { rows: table.rows.length, megabytes: bytes / 1e6 },
  };
}

/** Ten thousand trials of the line sweep, on one core and on two. */
export function trials({ short }) {
  twoCores();
  const count = short ? 200 : 10_000;
  const file = leave("settled", lineSettled);
  const spread = (workers) => {
    const out = `out/bench/trials-${workers}.json`;
    const words = ["spread", file, "--trials", String(count), "--workers", String(workers), "--out", out];
    const { seconds } = ran(words, [0, 1]);
    return { seconds, text: readFileSync(out, "utf8") };
  };
  const two = spread(2);
  const one = spread(1);
  demand(one.text === two.text, "two cores give other bits than one");
  const told = JSON.parse(two.text);
  const of = told.checks.findIndex(({ name }) => name === "fills the tube");
  demand(told.measured[of].filter((volts) => volts > 0).length === count, "a trial is missing");
  const off = Math.abs(told.nominal[of] / settled(line).peak - 1);
  demand(off < 1e-6, `the nominal peak is off its closed form by ${off}`);
  return {
    seconds: two.seconds,
    ratios: { "one core": one.seconds / two.seconds },
    values: {
      "wall on two cores": (two.seconds * 10_000) / count,
      "one core's wall over that of two": one.seconds / two.seconds,
    },
    notes: { trials: count, off },
  };
}

/** A hundred trials of 25 ms of the board with bars. */
export function boardTrials({ short }) {
  twoCores();
  const [count, length] = short ? [2, 0.7] : [100, 25];
  const file = leave(
    "spread",
    boardWith(
      "bars",
      `run for ${length} ms`,
      'check "line fills" peak of line_ramp each line_gate after 0.5 ms is 3.95 V +- 10 %',
      'check "sync is prompt" crossing of line_gate rising through 2.5 V each camera.pulses after 0.5 ms below 1 us',
    ),
  );
  const out = "out/bench/board-trials.json";
  const words = ["spread", file, "--trials", String(count), "--workers", "2", "--out", out];
  const { seconds, bytes } = ran(words, [0, 1]);
  const told = JSON.parse(readFileSync(out, "utf8"));
  for (const measured of told.measured)
    demand(
      measured.filter(Number.isFinite).length === count,
      `a trial has no value: ${told.missing[0]?.reason}`,
    );
  const share = (count / 100) * (length / 25);
  return {
    seconds,
    ratios: {},
    values: { "wall on two cores": seconds / share },
    notes: { trials: count, megabytes: bytes / 1e6 },
  };
}
