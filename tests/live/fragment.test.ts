// Changed values in a link, and back.
import fc from "fast-check";
import { expect, test } from "vitest";
import { compile } from "../../src/index.js";
import { fragmentOf, readFragment, typedValue } from "../../src/live/fragment.js";
import { casesOf, knobsOf } from "../../src/live/knobs.js";

const text = `given timing = 15 nF
given case = 5 V
given steep = 67 V/ms
supply plus = case
resistor load plus -> ground 1 kohm
potentiometer level plus -> ground 10 kohm, tap slider, at 60 %
resistor more slider -> ground 1 kohm
capacitor hold slider -> ground timing
case "50 % & more" timing is 10 nF
`;
const design = compile(text);
const knobs = knobsOf(design);
const known = { knobs, cases: casesOf(design, knobs) };

test("a link can be read by a person", () => {
  const link = fragmentOf(knobs, { timing: 18e-9, "level.at": 0.25 }, "50 % & more");
  expect(link).toBe("#set.timing=18+nF&set.level.at=25+%25&case=50+%25+%26+more");
  expect(readFragment(link, known)).toEqual({
    values: { timing: 18e-9, "level.at": 0.25 },
    case: "50 % & more",
    refused: [],
  });
  expect(fragmentOf(knobs, {}, "")).toBe("");
});

test("every number comes back to the last bit", () => {
  fc.assert(
    fc.property(
      fc.record({
        timing: fc.double({ min: 1e-15, max: 1, noNaN: true }),
        case: fc.double({ min: -1e9, max: 1e9, noNaN: true }),
        steep: fc.double({ min: -1e9, max: 1e9, noNaN: true }),
      }),
      (values) => {
        const back = readFragment(fragmentOf(knobs, values, ""), known);
        expect(back.refused).toEqual([]);
        for (const [name, value] of Object.entries(values)) expect(back.values[name] === value).toBe(true);
      },
    ),
  );
});

test("what the design does not know or allow is told, and nothing is thrown", () => {
  const { values, refused } = readFragment(
    "#set.timing=5 V&set.tming=1 nF&case=none&x=1&set.case=<b>",
    known,
  );
  expect(values).toEqual({});
  expect(refused).toEqual([
    expect.stringContaining("5 V is a voltage, not a capacitance"),
    "no value is called 'tming'",
    'no case is called "none"',
    "no value is called 'x'",
    expect.stringContaining("case"),
  ]);
  fc.assert(fc.property(fc.string({ unit: "binary" }), (any) => void readFragment(any, known)));
});

test("a typed value is refused with a reason", () => {
  expect(typedValue(knobs[0], " 4.7 nF ")).toBe(4.7e-9);
  // IEC 60062: the letter stands where the decimal sign would.
  expect(typedValue(knobs[0], "4n7")).toBe(4.7e-9);
  expect(() => typedValue(knobs[0], "4k7")).toThrow("timing");
  expect(() => typedValue(knobs[0], "7 parsec")).toThrow("timing");
});
