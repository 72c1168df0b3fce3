// `resonance`: a series circuit of Q 10 000, driven at its resonance from rest for 100 000 cycles.
// Always: what is compared is the capacitor's voltage at the samples of the last ten cycles; the exact answer is that of
// L q'' + R q' + q/C = V sin(w t) from rest, a steady part and a fading one (any textbook of vibrations).
import { compile, simulate } from "../out/bench/engine.mjs";
import { best, computed, demand, whole } from "./kit.mjs";

// Of 10 mH and 10 nF: 1 kohm at resonance, so 0.1 ohm is a Q of 10 000, and 100 mV become 1000 V.
const [henries, farads, ohms, volts, hertz] = [10e-3, 10e-9, 0.1, 0.1, 15915.494309189533];
const text = `
title "Resonance"
signal drive = sine -100 mV to 100 mV, at 15.915494309189533 kHz
inductor  coil drive -> middle 10 mH
resistor  loss middle -> top 0.1 ohm
capacitor tank top -> ground 10 nF`;

/** The capacitor's voltage at any instant. */
function exact() {
  const w = 2 * Math.PI * hertz;
  const fade = ohms / (2 * henries);
  const own = Math.sqrt(1 / (henries * farads) - fade * fade);
  // Steady part A sin(w t) + B cos(w t).
  const x = 1 - w * w * henries * farads;
  const y = w * ohms * farads;
  const size = volts / (x * x + y * y);
  const [a, b] = [size * x, -size * y];
  // The fading part takes its value and its slope away at time zero.
  const [c, d] = [-b, (-b * fade - a * w) / own];
  return (t) =>
    a * Math.sin(w * t) +
    b * Math.cos(w * t) +
    Math.exp(-fade * t) * (c * Math.cos(own * t) + d * Math.sin(own * t));
}

/** Error of the voltage and the time that it takes. */
export function resonance({ short }) {
  const cycles = short ? 1e4 : 1e5;
  const end = cycles / hertz;
  const design = compile(text);
  const options = { until: end, start: "rest", record: { from: end - 10 / hertz }, ...computed };
  let run;
  const seconds = best(() => {
    run = whole(simulate(design, options));
  }, 3);
  const wanted = exact();
  const trace = run.trace("top");
  demand(trace.time.length > 10, `there are ${trace.time.length} samples in ten cycles`);
  let worst = 0;
  trace.time.forEach((t, i) => {
    const off = Math.abs(trace.value[i] - wanted(t));
    if (!(off <= worst)) worst = off;
  });
  const amplitude = (volts / ohms) * Math.sqrt(henries / farads);
  return {
    seconds,
    ratios: {},
    values: { "error over the amplitude": worst / amplitude, wall: (seconds * 1e5) / cycles },
    notes: { steps: run.statistics.steps, cycles },
  };
}
