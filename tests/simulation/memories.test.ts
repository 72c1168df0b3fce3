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
// disturbance leaves. It grows by the positive root of the characteristic polynomial of three states (two places and the amplifier),
// by the laws of the kinds. Where it is fast, nothing but rounding is left of whether anything else could be otherwise.
it.each([4.5, 45, 1000])("an amplifier of %d kHz in balance between its rails", (kilohertz) => {
  const run = settled(`
supply upper = 12 V
supply lower = -5 V
signal s = sine 0 V to 5 V, at 1 kHz
resistor away s -> q 100 kohm
resistor down in -> ground 8 kohm
resistor up in -> mid 1 kohm
capacitor slow in -> ground 22 nF
capacitor quick mid -> ground 22 nF
amplifier held in -> out high upper, low lower, bandwidth ${kilohertz} kHz, gain 10000, reach 1 V, output 0 ohm
resistor back out -> mid 1 kohm
resistor beside mid -> ground 1 kohm`);
  expect(run.status).toBe("complete");
  expect(run.trace("out").at(0)).toBe(0);
  const [told, ...more] = run.warnings;
  expect(more).toEqual([]);
  const [, growth] =
    /^the settled start is a balance .* disturbs '.+' the least grows (.+) times in a period$/.exec(told) ??
    [];
  const [pole, over] = [2 * Math.PI * kilohertz * 1e3, 1e-3 / 22e-9];
  const [input, middle, inside] = [1.125 * over, 3 * over, pole / 10_000];
  const polynomial = (x: number) =>
    (x + inside) * ((x + input) * (x + middle) - over * over) - over * over * pole;
  let [low, high] = [0, pole];
  for (let turn = 0; turn < 60; turn++) {
    const between = (low + high) / 2;
    if (polynomial(between) < 0) low = between;
    else high = between;
  }
  expect(growth).toBe(Math.exp(low * 1e-3).toPrecision(2));
});
