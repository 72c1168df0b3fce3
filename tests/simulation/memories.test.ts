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
