// What the page shows of a run: plain data, with an account where it is asked for.
import { expect, test } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { exhibit } from "../../src/report/page.js";

const design = compile(`title "Nest box: a charge"
supply plus5 = 5 V
resistor feed plus5 -> ramp 1 kohm
capacitor hold ramp -> ground 10 nF, starts 0 V
run for 210 us, from rest`);

/** Cells of current law and energy of the row of how a run was simulated. */
function laws(samples: "few" | "many", index: number): string[] {
  // 210 µs in steps of 10 ns are 21 000.
  const run = simulate(design, samples === "few" ? {} : { step: "10 ns" });
  const cells = [...exhibit(run, index, []).account.matchAll(/<td class="n">(.*?)<\/td>/g)].map((m) => m[1]);
  expect(cells.slice(0, 4).every((cell) => cell !== "")).toBe(true);
  return cells.slice(-2);
}

test("currents and energy are accounted for, of a long case they are not", () => {
  // Each a share, 0 or in the form 1.2e-16.
  const share = /^(0|\d\.\de[+-]\d+)$/;
  for (const [samples, index] of [
    ["few", 0],
    ["few", 1],
  ] as const) {
    const [law, energy] = laws(samples, index);
    expect(law).toMatch(share);
    expect(energy).toMatch(share);
    expect(Number(law)).toBeLessThan(1e-9);
    expect(Number(energy)).toBeLessThan(1e-4);
  }
  expect(laws("many", 0)).toEqual(["", ""]);
  expect(laws("many", 1)).toEqual(["", ""]);
});

test("an exhibit is plain data, as threads hand over", () => {
  const shown = exhibit(simulate(design), 0, []);
  expect(structuredClone(shown)).toEqual(shown);
  expect(shown.figures).toHaveLength(1);
});
