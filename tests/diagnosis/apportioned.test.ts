// How the joint effect of two values on the current of a rail is divided between them, by hand: a current that is always drawn,
// 1 mA ± 12 uA, and one that a switch draws now and then, 1 mA ± 11 uA. At the peak both move it, at the floor the first alone.
import { describe, expect, it } from "vitest";
import { columnsOf } from "../../src/diagnosis/columns.js";
import { apportioned, otherThan } from "../../src/diagnosis/tolerated.js";
import { compile } from "../../src/index.js";

const [floor, peak, mean] = [
  [12e-6, 0],
  [12e-6, 11e-6],
  [12e-6, 5e-6],
];
const divided = (change: number, levels: readonly (readonly number[])[]) =>
  apportioned(change, [0, 1], levels).map(([, part]) => part * 1e6);

describe("what two tolerances do together to the current of a rail", () => {
  it("is at a floor that a stuck switch has raised to the peak what it is at the peak", () => {
    // 23 uA: not 23 and none, by which the floor would go its own way, and readings of a flat current would not fit.
    const [always, switched] = divided(23e-6, [floor, floor, peak, mean]);
    expect(always).toBeCloseTo(12, 9);
    expect(switched).toBeCloseTo(11, 9);
  });

  it("is as without a fault where it is as much", () => {
    expect(divided(12e-6, [floor, floor, peak, mean])).toEqual([12, 0]);
  });

  it("is divided in proportion where it is like none of them", () => {
    // Twice what it is at the peak.
    const [always, switched] = divided(46e-6, [floor, floor, peak, mean]);
    expect(always).toBeCloseTo(24, 9);
    expect(switched).toBeCloseTo(22, 9);
  });

  it("goes to the first where none has an effect without a fault", () => {
    expect(divided(5e-6, [[0, 0]])).toEqual([5, 0]);
  });
});

describe("what a fault changes", () => {
  // A ramp of 4 V, reset in 1 us: a reset of 2 us is another, and so is a floor of 0.1 V in the place of none.
  const design = compile(`
supply rail = 12 V
signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns
current feed rail -> ramp 1 mA, headroom 0.9 V, output 2 Mohm
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
check "back in time" reset time of ramp each gate below 4 us
run for 1 ms
`);
  const looked = columnsOf(design, 1e-3, []).filter(({ spec }) => spec.target === "ramp");
  const shows = (levels: Readonly<Record<string, number>>) =>
    looked.map(({ spec }) => levels[spec.measure.words]);
  const sound = shows({ floor: 0, peak: 4, mean: 2, swing: 4, "reset time": 1e-6 });

  it.each([
    { words: "reset time", value: 2e-6, other: true },
    { words: "reset time", value: 1.001e-6, other: false },
    { words: "floor", value: 0.1, other: true },
    { words: "floor", value: 1e-3, other: false },
  ])("is told by its own unit: a $words of $value", ({ words, value, other }) => {
    const values = sound.map((v, i) => (looked[i].spec.measure.words === words ? value : v));
    const found = otherThan({ looked, values, movers: looked.map(() => undefined) }, sound);
    expect(found).toEqual(looked.map(({ spec }) => other && spec.measure.words === words));
  });
});
