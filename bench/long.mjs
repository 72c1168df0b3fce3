// `long`: a hundred million leaps or steps of the line sweep, handed on in blocks and kept nowhere.
// Always: the ramp follows its closed form to 1e-6 of its swing all the way, and memory is that of whole processes, one
// for the run and one for a tenth of it.

import { settled, waveform } from "../out/bench/byhand.mjs";
import { compile, simulate } from "../out/bench/engine.mjs";
import { apart, computed, demand, mostBytes, timed, whole } from "./kit.mjs";
import { line, lineText } from "./texts.mjs";

/** Memory of so many, and of a tenth. */
export async function long({ short, part }) {
  if (part !== undefined) return streamed(Number(part));
  const count = short ? 2e6 : 1e8;
  const tenth = await apart("long", String(count / 10), short);
  const all = await apart("long", String(count), short);
  return {
    seconds: all.seconds,
    ratios: {},
    values: { memory: all.bytes / 1e6, "memory over that of a tenth": all.bytes / tenth.bytes },
    notes: {
      steps: all.steps,
      samples: all.samples,
      error: all.worst,
      "megabytes of a tenth": tenth.bytes / 1e6,
    },
  };
}

function streamed(count) {
  const design = compile(lineText);
  // How many steps a line takes, from a short run; in blocks too, so that nothing is kept.
  const few = simulate(design, { until: 100 * line.period, ...computed }).statistics.steps / 100;
  const periods = Math.ceil(count / few);
  const exact = waveform(line);
  const top = settled(line).peak;
  let samples = 0;
  let worst = 0;
  let run;
  const block = ({ time, values: [ramp] }) => {
    samples += time.length;
    for (let i = 0; i < time.length; i += 97) {
      const t = time[i];
      const into = t - Math.floor(t / line.period) * line.period;
      // On the way up, where an instant's own rounding is not seen.
      if (into < line.pulse + 1e-6 || into > line.period - 1e-9) continue;
      const off = Math.abs(ramp[i] - exact(t)) / top;
      if (!(off <= worst)) worst = off;
    }
  };
  const seconds = timed(() => {
    run = whole(
      simulate(design, {
        until: periods * line.period,
        limits: { steps: 2 * count, periods: count },
        stream: { traces: ["ramp"], block },
        ...computed,
      }),
    );
  });
  demand(worst < 1e-6, `the ramp is off its closed form by ${worst} of its swing`);
  const { steps } = run.statistics;
  demand(steps > 0.95 * count, `${steps} steps were taken, not ${count}`);
  return { seconds, bytes: mostBytes(), steps, samples, worst };
}
