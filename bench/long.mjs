// `long`: a hundred million leaps or steps of the line sweep, handed on in blocks and kept nowhere.
// Always: memory is that of whole processes, one for the run, one for a tenth of it, and one for a hundredth. The first two are
// handed on by the gate, whose edges must stay on their instants all the way: it is straight from corner to corner, so what they
// take is the leaps. The hundredth is handed on by the ramp, which follows its closed form to 1e-6 of its swing: to be so true
// it takes some fifty samples a reset, which for the whole run would be half an hour of drawing.

import { settled, waveform } from "../out/bench/byhand.mjs";
import { compile, simulate } from "../out/bench/engine.mjs";
import { apart, computed, demand, mostBytes, timed, whole } from "./kit.mjs";
import { line, lineText } from "./texts.mjs";

/** Memory of so many, of a tenth, and of a hundredth with all that a trace shows within them. */
export async function long({ short, part }) {
  if (part !== undefined) return streamed(...part.split(" "));
  const count = short ? 1e6 : 1e8;
  const drawn = await apart("long", `ramp ${count / 100}`, short);
  const tenth = await apart("long", `gate ${count / 10}`, short);
  const all = await apart("long", `gate ${count}`, short);
  return {
    seconds: all.seconds,
    ratios: {},
    values: {
      memory: Math.max(all.bytes, drawn.bytes) / 1e6,
      "memory over that of a tenth": all.bytes / tenth.bytes,
    },
    notes: {
      steps: all.steps,
      "samples of the gate": all.samples,
      "samples of the ramp in a hundredth": drawn.samples,
      "error of the gate": all.worst,
      "error of the ramp": drawn.worst,
      "megabytes of a tenth": tenth.bytes / 1e6,
      "megabytes of a hundredth, ramp drawn": drawn.bytes / 1e6,
    },
  };
}

/** The gate at an instant: pulses of 4.7 us between half levels (ITU-R BT.1700), straight edges, 200 ns from 10 to 90 %. */
function gateAt(t) {
  const { period, pulse, logic, edge } = line;
  const into = t - Math.round(t / period) * period;
  const [rise, fall] = [into, pulse - into].map((after) => 0.5 + (0.8 * after) / edge);
  return logic * Math.min(1, Math.max(0, Math.min(rise, fall)));
}

/** How far a level is from a curve about an instant: what the rounding of the instant does on an edge is no error of the run. */
function apartFrom(curve, t, level) {
  const about = [t, t * (1 - 2 ** -52), t * (1 + 2 ** -52)].map(curve);
  return Math.max(level - Math.max(...about), Math.min(...about) - level, 0);
}

function streamed(trace, steps) {
  const count = Number(steps);
  const design = compile(lineText);
  // How many steps a line takes, from a short run; in blocks too, so that nothing is kept.
  const few = simulate(design, { until: 100 * line.period, ...computed }).statistics.steps / 100;
  const periods = Math.ceil(count / few);
  const [exact, top] = trace === "gate" ? [gateAt, line.logic] : [waveform(line), settled(line).peak];
  let samples = 0;
  let looked = 0;
  let worst = 0;
  let run;
  const block = ({ time, values: [level] }) => {
    samples += time.length;
    for (let i = 0; i < time.length; i += 7) {
      const off = apartFrom(exact, time[i], level[i]) / top;
      looked++;
      if (!(off <= worst)) worst = off;
    }
  };
  const seconds = timed(() => {
    run = whole(
      simulate(design, {
        until: periods * line.period,
        limits: { steps: 2 * count, periods: count },
        stream: { traces: [trace], block },
        ...computed,
      }),
    );
  });
  demand(looked > periods / 7, `only ${looked} samples were looked at in ${periods} lines`);
  demand(worst < 1e-6, `the ${trace} is off its closed form by ${worst} of its swing`);
  const taken = run.statistics.steps;
  demand(taken > 0.95 * count, `${taken} steps were taken, not ${count}`);
  return { seconds, bytes: mostBytes(), steps: taken, samples, worst };
}
