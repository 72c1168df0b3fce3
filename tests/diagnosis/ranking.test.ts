// Ranking, ties, conflicts and advice on tables small enough to reckon by hand: likelihoods of normal variables, Shannon's entropy
// of classes that a reading tells apart for certain.
import { describe, expect, it } from "vitest";
import { diagnose, type SymptomTable } from "../../src/index.js";
import { tableByHand } from "./byhand.js";

/** With what each suspect shows at the places. */
const tableOf = (values: readonly (readonly number[])[], spreadAlike?: readonly (readonly number[])[]) =>
  tableByHand(
    values[0].map((_, i) => ({ what: `mean of p${i}` })),
    values,
    { spreadAlike },
  );

const weightOf = (told: ReturnType<typeof diagnose>, name: string) =>
  told.candidates.find((c) => c.faults.some((f) => f.name === name))!;

describe("ranking", () => {
  it("weighs two faults as their normal densities stand to each other", () => {
    // Standard deviation 0.1 V for each; read 10.1 V, so that nothing failed (0 V) is out of the question; 10 V lies one deviation
    // off, 10.4 V three: exp(−1/2) to exp(−9/2) is e^4 to 1.
    const table = tableOf([[0], [10], [10.4]], [[0.1]]);
    const told = diagnose(table, [{ what: "mean of p0", value: 10.1, resolution: 0 }], { accuracy: 0 });
    expect(told.candidates.map((c) => c.faults.map((f) => f.name))).toEqual([["a"], ["b"], [""]]);
    const ratio = told.candidates[0].weight / told.candidates[1].weight;
    expect(ratio / Math.exp(4)).toBeCloseTo(1, 3);
    expect(told.candidates[0].misfit).toBeCloseTo(1, 3);
    expect(told.explained).toBe(true);
  });

  it.each([
    // Read 9.9 V: one deviation below the one, so that the ratio of likelihoods is e^2.4 and e^4 for the other. What is expected of
    // it is d²/2 deviations: ln 3 is 1.48 deviations' worth.
    { apart: 0.14, told: [["a", "b"]] },
    { apart: 0.2, told: [["a"], ["b"]] },
  ])("ties two faults that lie $apart V apart by what such readings can tell", ({ apart, told }) => {
    const table = tableOf([[0], [10], [10 + apart]], [[0.1]]);
    const found = diagnose(table, [{ what: "mean of p0", value: 9.9, resolution: 0 }], { accuracy: 0 });
    expect(found.candidates.slice(0, told.length).map((c) => c.faults.map((f) => f.name))).toEqual(told);
  });

  it("does not tie what tolerances spread differently: one of them tells of it where it is true", () => {
    // Equal in the middle. Bhattacharyya: ln((1 + 100)/2 / √(1 · 100))/2 = 0.81, beside ln 3/4 = 0.27.
    const one = tableOf([[0], [10], [10]]);
    const spread = [[[0.1]], [[0.1]], [[1]]];
    const table = {
      ...one,
      tolerances: ["t"],
      rows: one.rows.map((row, i) => ({ ...row, spread: spread[i] })),
    };
    const found = diagnose(table, [{ what: "mean of p0", value: 10, resolution: 0 }], { accuracy: 0 });
    // The narrower is ten times as likely there.
    expect(found.candidates.map((c) => c.faults[0].name)).toEqual(["a", "b", ""]);
    expect(found.candidates[0].weight / found.candidates[1].weight).toBeCloseTo(10, 1);
  });

  it("prefers nothing failed to a value that is off by less than counts as off", () => {
    // A value ten times too high moves the place by 10 V, 1.3 times by ln 1.3/ln 10 of it, 1.14 V. Read 0.2 V with a deviation of
    // 0.1 V: nothing failed lies two deviations off, the value at 1.3 times more than nine. Under a value that bends on the way, a
    // fourth of what it may do, the place is anywhere in the 10 V from 1.3 to 10 times, which is ln(10/1.3) of its ln(50/1.3).
    const one = tableOf([[0], [10]], [[0.1]]);
    const table: SymptomTable = {
      ...one,
      suspects: [one.suspects[0], { name: "leg", kind: "value", factor: 10 }],
    };
    const found = diagnose(table, [{ what: "mean of p0", value: 0.2, resolution: 0 }], { accuracy: 0 });
    expect(found.candidates[0].faults).toEqual([{ name: "", kind: "none" }]);
    const bends = (Math.log(10 / 1.3) / Math.log(50 / 1.3)) * (1 / 4) * (1 / 10);
    const sound = Math.exp(-2) / (0.1 * Math.sqrt(2 * Math.PI));
    expect(found.candidates[0].weight).toBeCloseTo(sound / (sound + bends), 2);
    // Of a value that hardly moves anything nothing is told: it is tied.
    const faint = { ...table, rows: table.rows.map((row, i) => ({ ...row, values: [i * 0.1] })) };
    const tied = diagnose(faint, [{ what: "mean of p0", value: 0.2, resolution: 0 }], { accuracy: 0 });
    expect(tied.candidates[0].faults.map((f) => f.name).sort()).toEqual(["", "leg"]);
  });

  it("does not rule out a value under which one reading bends on the way, as where a guard begins to conduct", () => {
    // Up to twice, one place goes in proportion, 1 V to 2 V; the other is at 5 V, and stays there up to 1.8 times, as a ramp that its
    // guard holds, then falls to 0 V. At 1.6 times: 1.6 V and 5 V. On one chord with the first, the other would be at 1.6 V.
    const one = tableOf([
      [1, 5],
      [2, 0],
      [1.6, 3.5],
    ]);
    const table: SymptomTable = {
      ...one,
      suspects: [one.suspects[0], { name: "leg", kind: "value", factor: 2 }, one.suspects[2]],
    };
    const read = [1.6, 5].map((value, i) => ({ what: `mean of p${i}`, value, resolution: 0.02 }));
    const [first] = diagnose(table, read).candidates;
    expect(first.faults[0].name).toBe("leg");
    // Another fault shows 3.5 V in the place of 5 V, a hundred deviations of the instrument off.
    expect(diagnose(table, read).explained).toBe(true);
  });

  it("counts what one tolerance does to two readings once", () => {
    // Both places move together by 1 V with the one tolerance: 3 V more at both is three deviations, not 3 √2; 3 V up and 3 V down
    // is impossible. With covariance s sᵀ + e² the squared distance of (3, 3) is 9 · 2/(2 + e²).
    const table = tableOf(
      [
        [5, 5],
        [50, 50],
      ],
      [[1], [1]],
    );
    const read = (x: number, y: number) =>
      diagnose(
        table,
        [
          { what: "mean of p0", value: x, resolution: 0.1 * Math.sqrt(12) },
          { what: "mean of p1", value: y, resolution: 0.1 * Math.sqrt(12) },
        ],
        { accuracy: 0 },
      );
    expect(read(8, 8).candidates[0].misfit ** 2 * 2).toBeCloseTo((9 * 2) / 2.01, 2);
    expect(read(8, 8).explained).toBe(true);
    expect(read(8, 2).explained).toBe(false);
  });

  it("takes a resolution for a rectangle: a deviation of a step over √12 (JCGM 100:2008, 4.3.7)", () => {
    const table = tableOf([[0], [1], [2]], [[0]]);
    const told = diagnose(table, [{ what: "mean of p0", value: 1.1, resolution: 0.4 }], { accuracy: 0 });
    expect(told.candidates[0].misfit).toBeCloseTo(0.1 / (0.4 / Math.sqrt(12)), 4);
    // Typed figures are known to half of their last place.
    const typed = diagnose(table, [{ what: "mean of p0", value: "1.1 V" }], { accuracy: 0 });
    expect(typed.candidates[0].misfit).toBeCloseTo(0.1 / (0.1 / Math.sqrt(12)), 4);
    const milli = diagnose(table, [{ what: "mean of p0", value: "1100 mV" }], { accuracy: 0 });
    expect(milli.candidates[0].misfit).toBeCloseTo(0.1 / (0.001 / Math.sqrt(12)), 0);
  });

  it("keeps together what the readings do not tell apart, and advises what does", () => {
    // p0 tells nothing from the rest; p1 parts a, b from c, d; p2 parts a alone; p3 is the same for all.
    const table = tableOf([
      [0, 5, 5, 1],
      [10, 0, 0, 1],
      [10, 0, 9, 1],
      [10, 9, 9, 1],
      [10, 9, 9, 1],
    ]);
    const told = diagnose(table, [{ what: "mean of p0", value: "10.0 V" }]);
    expect(told.candidates[0].faults.map((f) => f.name).sort()).toEqual(["a", "b", "c", "d"]);
    expect(told.candidates[0].weight).toBeCloseTo(1, 6);
    // Four alike: 2 bits. Halves tell 1 bit; one of four tells 2 − 3/4 · log2 3 = 0.811 bit.
    expect(told.entropy).toBeCloseTo(2, 6);
    expect(told.next.map((n) => n.what)).toEqual(["mean of p1", "mean of p2"]);
    expect(told.next[0].gain).toBeCloseTo(1, 6);
    expect(told.next[0].left).toBeCloseTo(1, 6);
    expect(told.next[1].gain).toBeCloseTo(2 - 0.75 * Math.log2(3), 6);
    // c and d show the same everywhere: no look parts them.
    const after = diagnose(table, [
      { what: "mean of p0", value: "10.0 V" },
      { what: "mean of p1", value: "9.0 V" },
    ]);
    expect(after.candidates[0].faults.map((f) => f.name).sort()).toEqual(["c", "d"]);
    expect(after.next).toEqual([]);
    expect(after.entropy).toBeCloseTo(1, 6);
  });

  it("reckons that a look tells less where what is expected overlaps", () => {
    // Two alike at 0 V and d, deviation s each: between 0 bits (d = 0) and 1 bit, and never more than 1.
    const gain = (d: number) =>
      diagnose(
        tableOf(
          [
            [100, 100],
            [0, 10],
            [0, 10 + d],
          ],
          [[0], [1]],
        ),
        [{ what: "mean of p0", value: 0, resolution: 0.1 }],
      ).next[0]?.gain ?? 0;
    expect(gain(0)).toBe(0);
    expect(gain(1)).toBeGreaterThan(0.02);
    expect(gain(2)).toBeGreaterThan(gain(1));
    expect(gain(30)).toBeCloseTo(1, 3);
    // By the bound: −log2 (1/2 + exp(−d²/8)/2) with equal deviations; here s² = 1 + what the instrument adds.
    expect(gain(2)).toBeLessThan(-Math.log2(0.5 + Math.exp(-0.5) / 2) + 1e-6);
  });

  it("says that nothing single explains readings, and still what comes nearest", () => {
    const table = tableOf([
      [0, 0],
      [10, 0],
      [0, 10],
    ]);
    const told = diagnose(table, [
      { what: "mean of p0", value: "10.0 V" },
      { what: "mean of p1", value: "10.0 V" },
    ]);
    expect(told.explained).toBe(false);
    expect(told.candidates.length).toBeGreaterThan(0);
    expect(told.contradictions).toEqual([]);
    expect(
      weightOf(told, "a")
        .faults.map((f) => f.name)
        .sort(),
    ).toEqual(["a", "b"]);
    // Without readings nothing is asked for.
    expect(diagnose(table, []).explained).toBe(true);
    expect(diagnose(table, []).entropy).toBeCloseTo(Math.log2(3), 6);
  });

  it("tells a value that is off by a factor between those that were run, and about which", () => {
    // A divider whose lower leg is r times its value: 10 V · r/(1 + r); run at 2 and 10 times.
    const at = (r: number) => (10 * r) / (1 + r);
    const one = tableOf([[at(1)], [at(0.1)], [at(0.5)], [at(2)], [at(10)]]);
    const factors = [0.1, 0.5, 2, 10];
    const table: SymptomTable = {
      ...one,
      suspects: [
        one.suspects[0],
        ...factors.map((factor) => ({ name: "leg", kind: "value" as const, factor })),
      ],
    };
    for (const [r, kind] of [
      [2, "value too high"],
      [3, "value too high"],
      [0.5, "value too low"],
      [0.3, "value too low"],
    ] as const) {
      const told = diagnose(table, [{ what: "mean of p0", value: at(r), resolution: 0.02 }], { accuracy: 0 });
      const [fault] = told.candidates[0].faults;
      expect([fault.name, fault.kind]).toEqual(["leg", kind]);
      // Along a straight line between the runs, so about.
      expect(Math.abs(Math.log(fault.factor! / r))).toBeLessThan(0.35);
      expect(told.explained).toBe(true);
    }
    const sound = diagnose(table, [{ what: "mean of p0", value: "5.0 V" }]);
    expect(sound.candidates[0].faults).toEqual([{ name: "", kind: "none" }]);
  });

  it("says which readings cannot all be true", () => {
    const names = ["floor", "peak", "mean", "swing"];
    const one = tableOf([
      [0, 5, 2, 5],
      [0, 0, 0, 0],
    ]);
    const table = { ...one, columns: one.columns.map((c, i) => ({ ...c, what: `${names[i]} of p` })) };
    const told = (...read: [string, string][]) =>
      diagnose(
        table,
        read.map(([what, value]) => ({ what, value })),
      ).contradictions;
    expect(told(["floor of p", "0.0 V"], ["peak of p", "5.0 V"], ["swing of p", "5.0 V"])).toEqual([]);
    expect(told(["peak of p", "5.0 V"], ["peak of p", "0.0 V"])).toMatchObject([{ readings: [0, 1] }]);
    expect(told(["floor of p", "5.0 V"], ["peak of p", "1.0 V"])[0].text).toMatch(
      /a floor lies below its peak/,
    );
    expect(told(["mean of p", "5.0 V"], ["peak of p", "1.0 V"])[0].text).toMatch(
      /a mean lies below the peak/,
    );
    expect(told(["mean of p", "0.0 V"], ["floor of p", "1.0 V"])[0].text).toMatch(
      /a mean lies above the floor/,
    );
    expect(told(["floor of p", "0.0 V"], ["peak of p", "5.0 V"], ["swing of p", "3.0 V"])[0].text).toMatch(
      /a swing is the peak less the floor/,
    );
  });
});
