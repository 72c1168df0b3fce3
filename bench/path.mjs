// `video-path`: the board's linear video path alone, from the jack to the separator's filter, on a crosshatch.
// Always: clean, bright and smooth video follow the exact answer (bench/cascade.mjs) at 12 288 instants of three lines,
// and the peer in C, which reads the same corners from a file, is compared at equal error.
import { writeFileSync } from "node:fs";
import { compile, simulate } from "../out/bench/engine.mjs";
import { Cascade } from "./cascade.mjs";
import { best, computed, demand, NotRun, whole } from "./kit.mjs";
import { distance, equally, instants, Peer } from "./peer.mjs";

// As in examples/board.ramp, but for the camera's cable, and for amplifiers ten times as quick as there: where the circle
// meets an upright stroke the picture has edges that those would not follow, and the path would not be linear.
const text = `
title "Nest-box monitor, video path"
bring "shipped/input"
bring "shipped/gain"
bring "shipped/chroma"
supply plus5 = 5 V
supply minus5 = -5 V
signal camera = video of 625/50, crosshatch, circle
voltage  sender sent -> ground 0 V, follows camera, gain 2
resistor output sent -> jack 75 ohm
use video_input as entry joins jack, plus5, minus5, coupled with average 76 mV
use follower as buffer joins coupled, plus5, minus5, clean with slew 1 V/ns
use gain_stage as gain joins clean, plus5, minus5, bright with slew 1 V/ns
use chroma_filter as filter joins clean, smooth`;

const places = ["clean", "bright", "smooth"];
// What reaches them at most: the video's volt, and five times as much.
const swings = [1, 5, 1];

/** Fifty milliseconds, every corner. */
export function videoPath({ short }) {
  const length = short ? 4e-3 : 50e-3;
  const design = compile(text);
  let run;
  const own = best(() => {
    run = whole(simulate(design, { until: length, ...computed }));
  }, 6);
  const corners = cornersOf(design, length);
  writeFileSync("out/bench/corners.bin", corners);
  // Three lines with a level stroke and the circle in them.
  const [from, to] = short ? [3.2e-3, 3.392e-3] : [10e-3, 10.192e-3];
  const at = instants(from, to, 12288);
  const truth = exact(corners, at);
  const traces = run.stretch(places, from - 1e-6, to + 1e-6);
  const ours = traces.map((trace) => Float64Array.from(at, (t) => trace.at(t)));
  const error = distance(ours, truth, swings);
  demand(error < 1e-4, `the video is off its exact answer by ${error} of its swing`);
  const { steps } = run.statistics;
  const notes = { steps, corners: corners.length / 2, error };
  const told = { seconds: own, notes: { ...notes, "simulated over wall": length / own } };
  const peer = Peer.made("path");
  if (!peer.ready) throw new NotRun(peer.reason);
  const extra = ["out/bench/corners.bin"];
  const equal = equally({ peer, length, at, truth, ours, swings, goes: short ? 1 : 2, extra });
  const faster = equal.seconds / own;
  const ratios = {
    "CVODE, equal error": faster,
    "CVODE, tolerance 1e-7": peer.march(1e-7, length, extra).seconds / own,
  };
  return {
    ...told,
    ratios,
    values: { "times the peer's speed": faster },
    notes: { ...told.notes, peer: equal },
  };
}

/** Instants and levels of the camera's corners, in turn, up to the first behind the end. */
function cornersOf(design, length) {
  const { shape, scale } = design.parts.find(({ name }) => name === "camera").wave;
  const unit = Number(shape.unit.n) / Number(shape.unit.d);
  const factor = Number(scale.n) / Number(scale.d);
  const at = (i, cycle) => (shape.times[i] + cycle * shape.length) * unit;
  const level = (i) => shape.values[i] * factor;
  // At time zero the wave is on its way from the last corner of a period to the first.
  const last = shape.times.length - 1;
  const share = -at(last, -1) / (at(0, 0) - at(last, -1));
  const found = at(0, 0) === 0 ? [] : [0, level(last) + share * (level(0) - level(last))];
  for (let cycle = 0; ; cycle++) {
    for (let i = 0; i < shape.times.length; i++) {
      found.push(at(i, cycle), level(i));
      if (at(i, cycle) >= length) return Float64Array.from(found);
    }
  }
}

/** Clean, bright and smooth video, exactly; the circuit as bench/path.c has it. */
function exact(corners, at) {
  const [load, behind, capacity] = [75e3, 37.5, 10e-6];
  const [speed, gain] = [2 * Math.PI * 50e6, 200_000];
  const [series, shunt] = [1e3, 330e-12];
  const share = load / (load + behind);
  const filter = 1 / (series * shunt);
  const cascade = new Cascade(
    [
      [-share / load / capacity, 0, 0, 0],
      [-speed * share, -speed * (1 + 1 / gain), 0, 0],
      [0, speed, -speed * (1 / 5 + 1 / gain), 0],
      [0, filter, 0, -filter],
    ],
    [share / load / capacity, speed * share, 0, 0],
  );
  const coupled = (corners[1] - 76e-3) * share;
  const clean = coupled / (1 + 1 / gain);
  const [, ...seen] = cascade.wave([76e-3, clean, clean / (1 / 5 + 1 / gain), clean], corners, at);
  return seen;
}
