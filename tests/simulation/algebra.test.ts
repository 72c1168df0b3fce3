// Dense and sparse matrices must give the same run: every voltage and current to 1e-12 of the largest there is.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import {
  balance,
  compile,
  type Design,
  type SimulateOptions,
  simulate,
  type Trace,
} from "../../src/index.js";

const example = (name: string) =>
  compile(readFileSync(new URL(`../../examples/${name}.ramp`, import.meta.url), "utf8"));

/** A line of sections with a diode to ground at every seventh, and coils in series at every ninth. */
function ladder(sections: number): Design {
  const lines = [
    "signal v = pulse 0 V to 5 V, wide 10 us, every 40 us, edges 100 ns",
    "resistor r0 v -> n0 1 kohm",
  ];
  for (let i = 0; i < sections; i++) {
    lines.push(`capacitor c${i} n${i} -> ground ${100 + i} pF`);
    if (i % 9 === 4) {
      lines.push(`resistor r${i + 1} n${i} -> m${i} 100 ohm`, `inductor l${i} m${i} -> n${i + 1} 10 uH`);
    } else lines.push(`resistor r${i + 1} n${i} -> n${i + 1} 100 ohm`);
    if (i % 7 === 3) lines.push(`diode d${i} n${i} -> ground drop 1.5 V, on 100 ohm`);
    if (i % 11 === 5) lines.push(`capacitor t${i} n${i} -> n${i + 1} 22 pF`);
  }
  lines.push(`resistor end n${sections} -> ground 1 kohm`);
  return compile(lines.join("\n"));
}

/** Compares sample by sample; an event may be narrowed down to the neighbouring tick, by one step more or less. */
function same(design: Design, options: SimulateOptions): void {
  const dense = simulate(design, { method: "mixed", ...options, algebra: "dense" });
  const sparse = simulate(design, { method: "mixed", ...options, algebra: "sparse" });
  expect(sparse.status).toBe("complete");
  const names = dense.names.filter((n) => !n.endsWith(".power") && !n.endsWith(".voltage"));
  const drawn = dense.draw(names) as Trace[];
  const again = sparse.draw(names) as Trace[];
  // A small current is the difference of larger ones: its rounding is theirs.
  const size = (values: Float64Array) => values.reduce((most, v) => Math.max(most, Math.abs(v)), 0);
  const largest = (unit: string) =>
    Math.max(...drawn.map(({ unit: own, value }) => (own === unit ? size(value) : 0)));
  const scale: Record<string, number> = { V: largest("V"), A: largest("A") };
  for (const [n, a] of drawn.entries()) {
    const [name, b] = [names[n], again[n]];
    const most = scale[a.unit];
    let [matched, worst] = [0, 0];
    for (let i = 0, k = 0; i < a.time.length && k < b.time.length; ) {
      const apart = b.time[k] - a.time[i];
      if (Math.abs(apart) > 1e-12 * dense.until) {
        if (apart > 0) i++;
        else k++;
        continue;
      }
      worst = Math.max(worst, Math.abs(b.value[k] - a.value[i]));
      matched++;
      i++;
      k++;
    }
    expect(worst, name).toBeLessThanOrEqual(1e-12 * most);
    expect(matched, name).toBeGreaterThan(0.98 * a.time.length);
  }
  expect(balance(sparse).currentLaw).toBeLessThan(1e-9);
}

describe("dense and sparse agree", () => {
  // Long enough for the guard of the line sweep, unplugged at 2 ms; the sweeps together show what sweeps side by side do.
  it.each([
    ["line", "2.1 ms"],
    ["field", "2 ms"],
    ["nestbox", "300 us"],
  ])("on %s.ramp as drawn and in every case, for %s", (name, until) => {
    const design = example(name);
    for (const one of [design, ...design.cases]) same(one, { until });
  });
  it.each([5, 31, 40])("on a ladder of %i sections with diodes and coils", (sections) => {
    same(ladder(sections), { until: "45 us", step: "50 ns" });
  });
  it("on capacitors and coils that depend on others, and charge that is shared", () => {
    const design = compile(`
      supply p = 5 V
      signal g = pulse 0 V to 5 V, wide 4 us, every 10 us
      capacitor across p -> ground 1 uF
      capacitor one a -> ground 100 nF
      capacitor two b -> ground 47 nF
      switch join a -> b closed while g above 2.5 V
      resistor feed p -> a 1 kohm
      resistor load b -> ground 2 kohm
      inductor first b -> m 1 mH
      inductor second m -> ground 3 mH`);
    same(design, { until: "100 us" });
  });
  it("on a settled start", () => same(example("line"), { until: "200 us", start: "settled" }));
});

describe("a large circuit", () => {
  it("of 400 sections is solved sparsely of itself, and keeps the current law", () => {
    const run = simulate(ladder(400), { until: "20 us", step: "100 ns" });
    expect(run.status).toBe("complete");
    expect(run.assembly.system.sparse).toBe(true);
    expect(balance(run).currentLaw).toBeLessThan(1e-9);
  });
});
