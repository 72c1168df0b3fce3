// A model of each statement, which a message shows where nothing more is known about a mistake: of a part and of a signal the
// one of its own kind.
import type { IToken } from "chevrotain";

const models: Readonly<Record<string, string>> = {
  title: 'title "Nest-box monitor"',
  bring: 'bring "sweep.ramp"',
  given: "given timing = 15 nF +- 5 %",
  supply: "supply plus12 = 12 V",
  signal: "signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us",
  block: "block sweep joins rail, gate, ramp",
  end: "end",
  use: "use sweep as line joins plus12, gate, ramp with charge 1 mA",
  run: "run for 60 ms, from rest",
  case: 'case "camera unplugged" gate stops at 2 ms',
  check: 'check "fills the tube" peak of ramp each gate is 3.95 V +- 3 %',
  capture: 'capture "ramp.csv" of ramp, channel 1, attenuated 10',
  find: 'find timing from 1 nF to 100 nF in E12 for "fills the tube"',
  reading: 'reading "peak of ramp" 5.6 V',
  show: 'show "top of the ramp" peak of ramp each gate',
  testpoint: 'testpoint "top of the timing capacitor" at ramp',
  resistor: "resistor load ramp -> ground 4K7",
  current: "current feed plus12 -> ramp 1 mA, headroom 0.9 V",
  diode: "diode guard ramp -> plus5 drop 0.6 V, on 10 ohm",
  switch: "switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm",
  potentiometer: "potentiometer trim a -> b 10 kohm, tap wiper, at 40 %",
  amplifier: "amplifier stage in -> out minus back, high plus5, low minus5, bandwidth 10 MHz",
  comparator: "comparator slice video -> sync minus level, hysteresis 20 mV",
};

const waves: Readonly<Record<string, string>> = {
  sine: "signal tone = sine -1 V to 1 V, at 1 kHz",
  path: "signal stair = path 0 V at 0 s, 5 V at 1 ms, 5 V at 2 ms",
  sync: "signal ls = line sync of 625/50, 0 V to 5 V",
  video: "signal camera = video of 625/50, crosshatch",
  noise: "signal hiss = noise 5 mV, spacing 100 ns",
};

/** The model of the statement that has these tokens. */
export function modelOf(tokens: readonly IToken[]): string {
  const first = tokens[0].image;
  const [shape, sync] = [tokens[3]?.image, tokens[4]?.image];
  const wave = sync === "sync" ? sync : shape;
  if (first === "signal" && wave !== undefined && Object.hasOwn(waves, wave)) return waves[wave];
  return Object.hasOwn(models, first) ? models[first] : "capacitor hold ramp -> ground 15 nF";
}
