// Random circuits that come back to where they were, and all that a run says of itself, so that two runs of one circuit can
// be held against each other: one in which what repeats is computed once, one in which all of it is.
import { compile, type Run, type SimulateOptions, simulate, verify } from "../../src/index.js";
import { Chance } from "./chance.js";

/** Traces that every one of these circuits has. */
export const shown = ["a", "b", "c", "d", "e", "charge.current", "share.current", "reset.power"];

/**
 * A circuit with memories short and long, driven by pulses and sines with a common period of 20 us or a few times as much:
 * switches that a signal commands and some that a level does, diodes, delays, a divider by two or three (which comes back
 * after several beats), charge that is shared. Signals of some start late, stop or take a path of their own.
 */
export function returning(seed: number): string {
  const chance = new Chance(seed);
  const of = <T>(...words: readonly T[]): T => chance.of(words);
  const between = (low: number, high: number) => (low + (high - low) * chance.share()).toPrecision(4);
  const often = (share: number) => chance.happens(share);
  const gates = ["", "", "", `, starts ${between(60, 200)} us`, `, stops ${between(300, 900)} us`];
  const lines = [
    "supply plus5 = 5 V",
    `signal clock = pulse 0 V to 5 V, wide ${between(2, 8)} us, every ${of(10, 20)} us${often(0.7) ? `, edges ${of(100, 200, 400)} ns` : ""}${of(...gates)}`,
    `signal slow = pulse 0 V to 5 V, wide ${between(3, 15)} us, every ${of(20, 30, 40)} us${of(...gates)}`,
    `signal tone = sine ${between(-3, 0)} V to ${between(1, 4)} V, at ${of(50, 100, 200)} kHz${of("", "", ", starts 100 us")}`,
    `signal lift = path 0 V at 0 s, ${between(0, 2)} V at ${between(100, 300)} us, ${between(0, 2)} V at ${between(400, 500)} us`,
    `resistor charge ${of("plus5", "tone", "slow")} -> a ${between(1, 20)} kohm`,
    `capacitor ca a -> ground ${between(0.1, 3)} nF`,
    `resistor link a -> b ${between(1, 10)} kohm`,
    `capacitor cb b -> ${of("ground", "a", "lift")} ${between(0.1, 3)} nF`,
    `diode clip b -> ${of("plus5", "ground", "c")} drop ${of(0, 0.3, 0.6)} V, on ${of(1, 10)} ohm`,
    `resistor leak c -> ground ${between(1, 10)} kohm`,
    `capacitor cc c -> ground ${between(0.1, 1)} nF`,
    `switch reset a -> ground closed while ${of("clock", "slow")} above 2.5 V, on ${of(0, 5, 50)} ohm`,
    `switch share b -> c closed while clock above ${between(1, 4)} V, on ${of(0, 0, 20)} ohm`,
    often(0.5)
      ? `inductor choke tone -> d ${between(0.1, 2)} mH\nresistor burden d -> ground ${between(100, 900)} ohm`
      : `resistor burden tone -> d ${between(100, 900)} ohm\ncapacitor cd d -> ground ${between(0.1, 1)} nF`,
    `comparator slice ${of("a", "b", "d")} -> e threshold ${between(0.2, 2)} V, hysteresis ${between(10, 200)} mV, delay ${of(0, 100, 330)} ns`,
  ];
  const divider = of("none", "half", "both", "hold");
  if (divider === "half" || divider === "both")
    lines.push("bistable half e -> f", "resistor pull f -> a 47 kohm");
  if (divider === "both") lines.push("bistable third f -> g", "resistor push g -> c 33 kohm");
  if (divider === "hold")
    lines.push(`oneshot hold e -> f lasts ${between(1, 33)} us`, "resistor pull f -> a 47 kohm");
  if (often(0.2))
    lines.push(
      `signal hiss = noise 5 mV, spacing 1 us, every 10 ms, seed ${seed}`,
      "resistor n hiss -> a 1 Mohm",
    );
  lines.push(
    'check "peaks" peak of a each clock below 9 V',
    'check "floors" floor of b each clock above -9 V',
    'check "means" mean of c each slow from 1 us to 9 us between -9 V and 9 V',
    'check "crosses" crossing of a rising through 1 V each slow below 1 s',
    'check "later" value of d at 3 us each clock after 210 us before 1100 us below 9 V',
    'check "all of it" peak of d below 50 V',
    'check "current" peak current of share each slow below 9 A',
  );
  return lines.join("\n");
}

/** Everything a run has to say. */
export function said(run: Run, traces: readonly string[]): unknown {
  const { status, code, reason, reached, statistics, losses, warnings } = run;
  // How many matrices were made is a matter of the computing.
  const { matrices: _, ...counts } = statistics;
  const drawn = run.recording.count > 0 ? run.draw(traces) : [];
  return {
    ending: { status, code, reason, reached },
    counts,
    losses,
    warnings,
    samples: samplesOf(run),
    traces: drawn.map(({ name, time, value, slope, impulses }) => ({ name, time, value, slope, impulses })),
    checks: run.recording.count > 0 ? verify(run) : [],
  };
}

/**
 * Every sample of a run as it is recorded: tick, modes, which states it gives, and these. What a sample does not give is worked out for
 * whoever asks, and is compared by the traces.
 */
function samplesOf({ recording, assembly }: Run): Float64Array {
  const nx = assembly.system.states.length;
  const out = new Float64Array(recording.count * (nx + 3));
  for (let i = 0, at = 0; i < recording.count; i++, at += nx + 3) {
    const given = recording.given(i);
    out[at] = recording.tick(i);
    out[at + 1] = recording.mode(i);
    out[at + 2] = given;
    for (let state = 0; state < nx; state++)
      if ((given >> state) & 1) out[at + 3 + state] = recording.state(i, state);
  }
  return out;
}

/** All blocks of a streamed run, and how it ended. */
export function streamed(
  text: string,
  options: SimulateOptions,
  traces: readonly string[],
  size: number,
): unknown {
  const blocks: unknown[] = [];
  const run = simulate(compile(text), {
    ...options,
    stream: {
      traces,
      size,
      block: ({ time, values, losses }) => {
        blocks.push(time.slice(), ...values.map((v) => v.slice()), losses);
      },
    },
  });
  const { status, code, reached, statistics } = run;
  const { matrices: _, ...counts } = statistics;
  return { status, code, reached, counts, blocks };
}

/** Where two things that runs say differ to the last bit, by their names in it; undefined where they do not. */
export function difference(a: unknown, b: unknown, at = "it"): string | undefined {
  if (Object.is(a, b)) return undefined;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return at;
  // Number by number, as a matcher goes, the comparing takes longer than the runs.
  if (ArrayBuffer.isView(a) && ArrayBuffer.isView(b)) return bytesOf(a).equals(bytesOf(b)) ? undefined : at;
  const [ofA, ofB] = [Object.entries(a), new Map(Object.entries(b))];
  if (ofA.length !== ofB.size || Object.getPrototypeOf(a) !== Object.getPrototypeOf(b)) return at;
  for (const [name, value] of ofA) {
    const found = ofB.has(name) ? difference(value, ofB.get(name), `${at}.${name}`) : `${at}.${name}`;
    if (found) return found;
  }
  return undefined;
}

function bytesOf({ buffer, byteOffset, byteLength }: ArrayBufferView): Buffer {
  return Buffer.from(buffer, byteOffset, byteLength);
}
