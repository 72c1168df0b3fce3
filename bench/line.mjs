// The line sweep: `machine`, `line`, `line-drawn`, `line-repeat`.
// Always: the checks of the example pass, and what was timed follows the closed form of the sweep (bench/byhand.ts) to
// 1e-6 of its swing from the end of the reset to the peak, as the loop's peak does.

import { loop, settled, waveform } from "../out/bench/byhand.mjs";
import { balance, compile, simulate, verify } from "../out/bench/engine.mjs";
import { best, computed, demand, passing, repeating, whole } from "./kit.mjs";
import { equally, instants, Peer } from "./peer.mjs";
import { lineSettled, lineText, line as values } from "./texts.mjs";

const lines = (count) => count * values.period;
const exact = waveform(values);
const top = settled(values).peak;
/** Share of a period after which the switch has opened and the ramp is on its way up. */
const settledBy = 5e-6 / values.period;

/** The yardstick: one simulated second by the loop by hand, 100 ns a step. */
export function machine() {
  let volts;
  const seconds = best(() => {
    volts = loop(values, 1, 100e-9);
  });
  const last = volts.at(-1);
  demand(Math.abs(last / top - 1) < 1e-6, `the loop's peak is ${last} V, by its closed form ${top} V`);
  return { seconds, values: {} };
}

/** One simulated second with its checks judged, no trace read. */
export async function line({ short }) {
  const length = short ? lines(1500) : 1;
  const design = compile(lineText);
  let run;
  let results;
  const own = best(() => {
    run = whole(simulate(design, { until: length, ...computed }));
    results = verify(run);
  });
  passing(results);
  const hand = best(() => loop(values, length, 100e-9));
  const error = followed(run, length);
  const { steps } = run.statistics;
  const notes = { periods: Math.floor(length / values.period), steps, error, ...accounts(design) };
  const measured = { "simulated over wall": length / own };
  const ratios = { "loop by hand": hand / own };
  const told = { seconds: own, ratios, values: measured, notes };
  const peer = Peer.made("line");
  if (!peer.ready) return { ...told, reason: peer.reason };
  const equal = await besidePeer(peer, run, length, short);
  measured["times the peer's speed"] = equal.seconds / own;
  ratios["CVODE, equal error"] = equal.seconds / own;
  ratios["CVODE, tolerance 1e-7"] = peer.march(1e-7, length).seconds / own;
  return { ...told, notes: { ...notes, peer: equal } };
}

/** The same, and its ramp read as a trace. */
export function lineDrawn({ short }) {
  const length = short ? lines(1500) : 1;
  const design = compile(lineText);
  let run;
  let results;
  let ramp;
  const own = best(() => {
    run = whole(simulate(design, { until: length, ...computed }));
    results = verify(run);
    ramp = run.trace("ramp");
  });
  passing(results);
  demand(ramp.to >= length * (1 - 1e-12), `the trace ends at ${ramp.to} s`);
  followed(run, length);
  const hand = best(() => loop(values, length, 100e-9));
  return {
    seconds: own,
    ratios: { "loop by hand": hand / own },
    values: { "simulated over wall": length / own },
    notes: { samples: ramp.time.length },
  };
}

/** A hundred seconds from the settled start, what repeats computed once. */
export function lineRepeat({ short }) {
  const length = short ? 1 : 100;
  const design = compile(lineSettled);
  let run;
  let results;
  const own = best(() => {
    run = whole(simulate(design, { until: length, ...repeating }));
    results = verify(run);
  }, 4);
  passing(results);
  const count = Math.floor(length / values.period);
  for (const { name, periods } of results)
    demand(Math.abs(periods - count) <= 1, `"${name}" was asked of ${periods} periods, not of ${count}`);
  followed(run, length);
  return { seconds: own, ratios: {}, values: { "simulated over wall": length / own } };
}

/** Largest distance of the last lines' samples from the closed form, as a share of the swing; checked while they rise. */
function followed(run, length) {
  const end = lines(Math.floor(length / values.period));
  const [ramp] = run.stretch(["ramp"], end - lines(20), end);
  let [anywhere, rising] = [0, 0];
  ramp.time.forEach((t, i) => {
    const off = Math.abs(ramp.value[i] - exact(t)) / top;
    const into = t / values.period - Math.floor(t / values.period);
    if (off > anywhere) anywhere = off;
    if (into > settledBy && into < 1 - 1e-6 && !(off <= rising)) rising = off;
  });
  demand(rising < 1e-6, `the ramp is off its closed form by ${rising} of its swing`);
  const [before] = run.stretch(["ramp"], end - lines(2), end);
  const peak = Math.abs(before.at(end) / top - 1);
  demand(peak < 1e-6, `the peak is off its closed form by ${peak}`);
  return { anywhere, rising, peak };
}

/** What the account of energy and the current law lack, over the first lines. */
function accounts(design) {
  const { currentLaw, energy } = balance(whole(simulate(design, { until: lines(200) })));
  return { currentLaw, energy };
}

/** The peer at the loosest tolerance at which its waveform is as exact as ours, both read between samples too. */
async function besidePeer(peer, run, length, short) {
  const at = instants(lines(10) + 1e-9, lines(30), 16384);
  const truth = Float64Array.from(at, exact);
  const [ramp] = run.stretch(["ramp"], lines(9), lines(31));
  const ours = Float64Array.from(at, (t) => ramp.at(t));
  const swings = [top];
  return equally({ peer, length, at, truth: [truth], ours: [ours], swings, goes: short ? 1 : 2 });
}
