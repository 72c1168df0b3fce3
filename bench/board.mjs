// The whole board of the nest-box monitor on two frames of a crosshatch, from text to both pictures; a process of its own,
// so that the memory it takes is its own. Takes `--short` for a fraction of a field; prints one JSON object.
import { readFileSync } from "node:fs";
import { compile, png, raster, simulate } from "../dist/index.js";
import { board, countedPlaces } from "../dist/report/board.js";
import { picture } from "../dist/report/picture.js";
import { screenTraces } from "../dist/report/screens.js";

const seconds = process.argv.includes("--short") ? 3e-3 : 80e-3;
const text = readFileSync(new URL("../examples/board.ramp", import.meta.url), "utf8");
const laps = {};
let last = process.hrtime.bigint();
const lap = (name) => {
  const now = process.hrtime.bigint();
  laps[name] = Number(now - last) / 1e9;
  last = now;
};
const run = simulate(compile(text, { name: "board" }), { until: seconds });
lap("simulate");
if (run.status !== "complete") throw new Error(run.reason);
run.draw([...countedPlaces(run), ...screenTraces(run)]);
const image = png(raster(run, { width: 768, height: 576, from: 0, to: seconds }));
lap("screen");
const drawn = picture(board(run), { title: run.design.title });
lap("waveforms");
console.log(
  JSON.stringify({
    simulatedSeconds: seconds,
    steps: run.statistics.steps,
    laps,
    seconds: Object.values(laps).reduce((sum, s) => sum + s),
    bytes: process.resourceUsage().maxRSS * 1024,
    pictures: image.length + drawn.length,
  }),
);
