// The whole board of the nest-box monitor: `board-bars`, `board-crosshatch`, `board-colour`, `board-repeat`.
// Always: the run is complete, its checks pass, and both ramps, which climb towards the far end of their sources' output
// resistance, follow that closed form between two instants of a line and of a field to 1e-6 of their swing.
import {
  compile,
  countedPlaces,
  panelGroups,
  png,
  raster,
  simulate,
  tracePicture,
  verify,
} from "../out/bench/engine.mjs";
import { apart, best, computed, demand, mostBytes, passing, repeating, timed, whole } from "./kit.mjs";
import { boardDrawn, boardWith, line } from "./texts.mjs";

const megabyte = 1e6;
const far = (charge) => charge * line.output + line.rail - line.headroom;
const ramps = [
  // The line's over its active part, the field's from its first picture line on (ITU-R BT.1700, as in the example).
  { name: "line_ramp", far: far(1e-3), tau: line.output * 15e-9, from: 10.5e-6, to: 62.5e-6, period: 64e-6 },
  {
    name: "field_ramp",
    far: far(0.94e-3),
    tau: line.output * 4.7e-6,
    from: 1450.5e-6,
    to: 19838.5e-6,
    period: 20e-3,
  },
];
const pulses = [
  'check "no sync is missing" missing pulses of line_gate rising through 2.5 V each camera.pulses after 1 ms below 0.5',
  'check "no sync is extra" extra pulses of line_gate rising through 2.5 V each camera.pulses after 1 ms below 0.5',
];

/** Half a second of bars; both ramps and the drive traced. */
export function boardBars({ short }) {
  const length = short ? 3e-3 : 0.5;
  const design = compile(boardWith("bars", `run for ${length} s`, ...pulses));
  let run;
  let simulating;
  let first;
  const own = best(() => {
    const drawn = timed(() => {
      simulating = timed(() => {
        run = whole(simulate(design, computed));
      });
      run.draw(["line_ramp", "field_ramp", "drive"]);
    });
    first ??= drawn;
  });
  passing(verify(run));
  const error = climbing(run);
  const notes = { ...counts(run), simulating, first, error };
  return { seconds: own, ratios: {}, values: { "simulated over wall": length / own }, notes };
}

/** Two frames of the example's crosshatch, then both of its pictures. */
export function boardCrosshatch({ short }) {
  const length = short ? 2e-3 : 80e-3;
  // The example's own checks, since the picture of its waveforms shows what they look at; they are not judged here.
  const design = compile(boardDrawn);
  let run;
  let image;
  let drawn;
  let bytes;
  const goes = { simulating: [], drawing: [] };
  best(() => {
    goes.simulating.push(
      timed(() => {
        run = whole(simulate(design, { until: length, ...computed }));
      }),
    );
    goes.drawing.push(
      timed(() => {
        run.draw(countedPlaces(run));
        image = png(raster(run, { width: 768, height: 576, from: 0, to: length }));
        drawn = tracePicture(panelGroups(run), { title: design.title });
      }),
    );
    // What one go holds: the next comes on top of what is not yet collected.
    bytes ??= mostBytes();
  });
  const [simulating, drawing] = [Math.min(...goes.simulating), Math.min(...goes.drawing)];
  demand(image.length > 1000 && drawn.includes("</svg>"), "a picture is empty");
  const error = climbing(run);
  if (!short) passing(verify(run));
  return {
    seconds: simulating + drawing,
    ratios: {},
    values: {
      "simulated over wall without pictures": length / simulating,
      "simulated over wall with pictures": length / (simulating + drawing),
      memory: bytes / megabyte,
    },
    notes: { ...counts(run), simulating, drawing, first: goes.simulating[0] + goes.drawing[0], error },
  };
}

/** 100 ms of colour bars, burst and chroma and all. */
export function boardColour({ short }) {
  const length = short ? 0.5e-3 : 0.1;
  const design = compile(boardWith("colour bars", `run for ${length} s`, ...(short ? [] : pulses)));
  let run;
  let first;
  const own = best(() => {
    const going = timed(() => {
      run = whole(simulate(design, computed));
    });
    first ??= going;
  });
  if (!short) passing(verify(run));
  const error = climbing(run);
  const notes = { ...counts(run), first, error };
  return { seconds: own, ratios: {}, values: { "simulated over wall": length / own }, notes };
}

/** Ten seconds of bars from the settled start, what repeats computed once; in a process of its own for its memory. */
export async function boardRepeat({ short, part }) {
  if (part !== undefined) return repeated(Number(part));
  const length = short ? 0.2 : 10;
  const brief = await apart("board-repeat", String(short ? 0.04 : 0.1), short);
  const long = await apart("board-repeat", String(length), short);
  return {
    seconds: long.seconds,
    ratios: {},
    values: {
      "simulated over wall": length / long.seconds,
      "memory over that of 0.1 s": long.bytes / brief.bytes,
    },
    notes: { megabytes: long.bytes / megabyte },
  };
}

function repeated(length) {
  const design = compile(
    boardWith(
      "bars",
      `run for ${length} s, from settled`,
      // In the lines with broad pulses the ramp is held back, so every line has a bound on one side only.
      'check "line keeps within" peak of line_ramp each camera.lines below 4.1 V',
      'check "line starts from nothing" floor of line_ramp each camera.lines below 20 mV',
      'check "field fills" peak of field_ramp each camera.fields is 3.95 V +- 5 %',
      'check "field starts from nothing" floor of field_ramp each camera.fields below 20 mV',
      // The tube's full drive is 2.9 V; the mean of these bars is not that of the picture it was set with. The sync lies
      // below its cut-off, by as much as the gain of five makes of 0.3 V.
      'check "drive by lines" peak of drive each camera.lines below 3.2 V',
      'check "drive by fields" swing of drive each camera.fields between 2.5 V and 5 V',
    ),
  );
  let run;
  let results;
  const seconds = timed(() => {
    run = whole(simulate(design, repeating));
    results = verify(run);
  });
  const bytes = mostBytes();
  passing(results);
  const lines = Math.floor(length / 64e-6);
  const counted = results.find(({ name }) => name === "line keeps within").periods;
  demand(Math.abs(counted - lines) <= 2, `${counted} lines were looked at, not ${lines}`);
  climbing(run);
  return { seconds, bytes };
}

/** By how much the ramps of the last line and field that lie whole in the run are off their closed form; checked. */
function climbing(run) {
  const off = {};
  for (const { name, far: end, tau, from, to, period } of ramps) {
    const [kind] = name.split("_");
    const starts = run.periods(`camera.${kind}s`);
    // Around the field sync pulses come at half lines as well, and hold the line's ramp back: well before the end.
    const apart = kind === "line" ? 40 * period : 0;
    const begin = starts.findLast((t) => t + period + apart <= run.until && t > period);
    if (begin === undefined) continue;
    const [trace] = run.stretch([name], begin + from, begin + to);
    const [low, high] = [trace.at(begin + from), trace.at(begin + to)];
    const error = Math.abs(end - (end - low) * Math.exp((from - to) / tau) - high) / (high - low);
    demand(error < 1e-6, `${name} is off its closed form by ${error} of its swing`);
    off[name] = error;
  }
  return off;
}

function counts(run) {
  const { steps, events, combinations } = run.statistics;
  return { steps, events, combinations };
}
