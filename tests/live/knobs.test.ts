// Which values can be turned, and how far.
import fc from "fast-check";
import { expect, test } from "vitest";
import { compile, simulate, verify, withValues } from "../../src/index.js";
import { casesOf, knobsOf, placeOn, valueOn } from "../../src/live/knobs.js";

const text = `given timing = 15 nF +- 5 %
given lift = -2 V
given nothing = 0 V
given slack = 0 V +- 20 mV
supply plus = 12 V
block ramp joins supply, out
given charge = 1 mA
given size = 22 nF
current feed supply -> out charge
capacitor hold out -> ground size
end
use ramp as line joins plus, saw with size timing
potentiometer level plus -> ground 10 kohm, tap slider, at 60 %
resistor load slider -> ground 100 kohm
find timing from 10 nF to 22 nF in E12 for "high"
run for 1 ms
check "high" peak of saw above 1 V
case "cold" timing is 12 nF
check "there" peak of saw above 1 V
`;

const design = () => compile(text);

test("the values of the text, then what a hand turns, then those inside blocks", () => {
  const knobs = knobsOf(design());
  expect(knobs.map(({ name }) => name)).toEqual([
    "timing",
    "lift",
    "nothing",
    "slack",
    "level.at",
    "line.charge",
  ]);
  // What the block is given is turned by its first name: `line.size` is `timing`.
  expect(knobs.filter(({ inside }) => inside).map(({ name }) => name)).toEqual(["line.charge"]);
});

test("a knob goes where the text seeks its value, where its part allows it, or to preferred values on both sides", () => {
  const knob = (name: string) => knobsOf(design()).find((one) => one.name === name)!;
  expect(knob("timing")).toMatchObject({ from: 10e-9, to: 22e-9, unit: "F", value: 15e-9, log: true });
  expect(knob("level.at")).toMatchObject({ from: 0, to: 1, unit: "%", value: 0.6, log: false });
  // IEC 60063, E3: 1, 2.2, 4.7. Half of 1 mA is 0.5 mA, below it stands 470 uA; twice is 2 mA, above it stands 2.2 mA.
  const { from, to, log } = knob("line.charge");
  expect([from, to, log]).toEqual([470e-6, 2.2e-3, true]);
  expect(knob("lift")).toMatchObject({ from: -4.7, to: -1, log: false });
  expect(knob("slack")).toMatchObject({ from: -0.02, to: 0.02 });
  expect(knob("nothing").from).toBeUndefined();
});

test("a potentiometer that does not say where its tap stands is turned from its middle", () => {
  const one = compile(`supply plus = 10 V
potentiometer level plus -> ground 10 kohm, tap slider
run for 1 ms
check "tap" mean of slider above 1 V`);
  expect(knobsOf(one)).toMatchObject([{ name: "level.at", from: 0, to: 1, value: 0.5 }]);
  const tap = (at?: number) =>
    verify(simulate(at === undefined ? one : withValues(one, { "level.at": at })))[0].measured;
  expect(tap()).toBeCloseTo(5, 9);
  // A fifth of the way from the tail, which is at 10 V.
  expect(tap(0.2)).toBeCloseTo(8, 9);
});

test("a case says which knobs it sets itself", () => {
  const one = design();
  const [drawn, cold] = casesOf(one, knobsOf(one));
  expect(drawn).toEqual({ name: "", checks: 1, sets: {} });
  expect(cold).toEqual({ name: "cold", checks: 1, sets: { timing: 12e-9 } });
});

test("a place on a way of even ratios and the value there belong together", () => {
  const [any] = knobsOf(design());
  fc.assert(
    fc.property(
      fc.double({ min: 1e-12, max: 1e6, noNaN: true }),
      fc.double({ min: 2, max: 1e4, noNaN: true }),
      fc.double({ min: 0, max: 1, noNaN: true }),
      (from, ratio, place) => {
        const knob = { ...any, from, to: from * ratio, log: true };
        // Half a unit of four figures is a share of 5e-4 of the value at most: that much of its logarithm.
        expect(Math.abs(placeOn(knob, valueOn(knob, place)) - place)).toBeLessThan(5.1e-4 / Math.log(ratio));
      },
    ),
  );
  // Half way between 10 nF and 22 nF stands their geometric mean, 14.832 nF.
  expect(valueOn(any, 0.5)).toBe(14.83e-9);
});

test("the ends of a way are exact", () => {
  const knob = { ...knobsOf(design())[0], from: 1 / 3, to: 2 / 3 };
  expect([valueOn(knob, 0), valueOn(knob, 1)]).toEqual([1 / 3, 2 / 3]);
});
