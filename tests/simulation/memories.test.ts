// A memory that no period sets: with it there are two settled states, and a run that begins in one of them says so.
import { expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

const settled = (text: string) =>
  simulate(
    compile(`${text}\nresistor r q -> a 10 kohm\ncapacitor c a -> ground 10 nF\nrun for 4 ms, from settled`),
  );
const clock = (volts: number) => `signal clock = sine 0 V to ${volts} V, at 1 kHz\n`;

it.each([
  ["a bistable whose clock never comes", `${clock(1)}bistable half clock -> q`, "'half'"],
  [
    "a comparator within its hysteresis",
    `${clock(1)}supply level = 0.5 V\ncomparator slice clock -> q minus level, hysteresis 2 V`,
    "'slice'",
  ],
  [
    "a latch of gates that is never set",
    `${clock(1)}gate one clock -> q or three\ninverter two q -> two\ninverter last two -> three`,
    "'one', 'two', 'last'",
  ],
])("%s", (_, text, names) => {
  const run = settled(text);
  expect(run.status).toBe("complete");
  expect(run.warnings).toEqual([
    `nothing turns ${names} in a settled period, and a state with ${names} the other way is settled too`,
  ]);
});

it.each([
  ["a clock that comes", `${clock(5)}bistable half clock -> q`],
  ["a reset that lasts", `${clock(1)}supply on = 5 V\nbistable half clock -> q reset on`],
  [
    "a comparator that leaves its hysteresis once a period",
    `${clock(1)}supply level = 0.5 V\ncomparator slice clock -> q minus level, hysteresis 0.5 V`,
  ],
  [
    "a comparator beyond its hysteresis",
    `${clock(1)}supply level = 2 V\ncomparator slice clock -> q minus level, hysteresis 0.5 V`,
  ],
  ["an inverter with a delay", `${clock(1)}inverter turn clock -> q, delay 1 us`],
  ["a pulse that never begins", `${clock(1)}oneshot pulse clock -> q lasts 40 us`],
])("nothing is open with %s", (_, text) => {
  const run = settled(text);
  expect(run.status).toBe("complete");
  expect(run.warnings).toEqual([]);
});

// Positive feedback without hysteresis: between the rails there is a state that a period leads back to itself, and that the least
// disturbance leaves, by exp(2 pi · bandwidth · feedback · period) in a period. The settled state is at one of the rails less its
// reach, from where the feedback holds it.
const latch = (bandwidth: string) => `
supply upper = 12 V
supply lower = -5 V
signal s = sine 0 V to 5 V, at 1 kHz
resistor away s -> q 100 kohm
resistor down in -> ground 8 kohm
resistor up in -> mid 1 kohm
capacitor slow in -> ground 22 nF
capacitor quick mid -> ground 22 nF
amplifier held in -> out high upper, low lower, bandwidth ${bandwidth}, gain 10000, reach 1 V, output 0 ohm
resistor back out -> mid 1 kohm
resistor beside mid -> ground 1 kohm`;

it.each(["4.5 kHz", "45 kHz"])("an amplifier that holds itself at a rail, %s", (bandwidth) => {
  const run = settled(latch(bandwidth));
  expect([run.status, run.warnings]).toEqual([
    "complete",
    ["nothing turns 'held' in a settled period, and a state with 'held' the other way is settled too"],
  ]);
  // 11 V or −4 V through 1 kohm, beside 1 kohm and 9 kohm; 8/9 of that at the input.
  const out = run.trace("out").at(0);
  expect([11, -4]).toContain(out);
  for (const t of [0, 1.3e-3, 3.9e-3]) {
    expect(run.trace("out").at(t)).toBeCloseTo(out, 9);
    expect(run.trace("in").at(t) / ((out * 8) / 19)).toBeCloseTo(1, 9);
  }
});

it("an oscillator at rest is in balance, and has no settled state", () => {
  const run = settled(`
supply upper = 12 V
supply lower = -12 V
signal s = sine 0 V to 5 V, at 1 kHz
resistor away s -> q 100 kohm
amplifier swings plus -> out minus slow, high upper, low lower, bandwidth 1 MHz
resistor back out -> plus 10 kohm
resistor beside plus -> ground 10 kohm
resistor charge out -> slow 10 kohm
capacitor timing slow -> ground 10 nF`);
  expect([run.status, run.code]).toEqual(["stopped", "not-settled"]);
  expect(run.reason).toBe(
    "the periodic state that was found is a balance that no circuit keeps: what disturbs 'swings' the least grows beyond all numbers in a period",
  );
});
