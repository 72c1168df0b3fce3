// What the README promises of any circuit, held by sixty kinds of circuit with closed forms: where leaps are taken, a trace is
// true to 1e-6 of its swing wherever one looks, and so are the levels and instants that checks ask for; where steps are taken,
// asked for by name or because the circuit is large, it is true to 1e-3; these, which are simple, to 1e-5.
import { describe, expect, it } from "vitest";
import { sparseFrom } from "../../src/equations/system.js";
import { compile, type SimulateOptions, simulate, verify } from "../../src/index.js";
import { type Known, known } from "./sixtykinds.js";

it("are sixty, each of another kind", () => expect(new Set(known.map(({ kind }) => kind)).size).toBe(60));

const instants = (until: number) => Array.from({ length: 500 }, (_, i) => ((i + 0.377) / 500) * until);

/** The highest value of a form: the best of many instants, and from there by golden sections, also up to a jump. */
function highest(form: (t: number) => number, until: number): number {
  const count = 4000;
  const at = (i: number) => (i / count) * until;
  let best = 0;
  for (let i = 1; i <= count; i++) if (form(at(i)) > form(at(best))) best = i;
  let [low, high] = [at(Math.max(0, best - 1)), at(Math.min(count, best + 1))];
  let most = form(at(best));
  const golden = (Math.sqrt(5) - 1) / 2;
  for (let turn = 0; turn < 80; turn++) {
    const [a, b] = [high - golden * (high - low), low + golden * (high - low)];
    const [fa, fb] = [form(a), form(b)];
    most = Math.max(most, fa, fb);
    if (fa > fb) high = b;
    else low = a;
  }
  return most;
}

/** The largest distance of a trace from its form, as a share of its swing. */
function away(one: Known, options: SimulateOptions = {}): number {
  const { text, until, trace, swing, form, start = "steady" } = one;
  const run = simulate(compile(text), { until, start, ...options });
  expect([run.status, run.reason]).toEqual(["complete", ""]);
  const found = run.trace(trace);
  return Math.max(...instants(until).map((t) => Math.abs(found.at(t) - form(t)) / swing));
}

/** A ladder that has nothing to do with the circuit but is on its way all through the run. */
function ladder(until: number): string {
  const written = (figure: number) => figure.toExponential().replace("e+", "e");
  const sections = Array.from(
    { length: sparseFrom },
    (_, i) =>
      `resistor zzr${i} zz${i} -> zz${i + 1} 1 kohm\ncapacitor zzc${i} zz${i + 1} -> ground ${written(until / 4e4)} F`,
  );
  return [`signal zz0 = sine -1 V to 1 V, at ${written(2 / until)} Hz`, ...sections].join("\n");
}

describe.each(known.map((one) => [one.kind, one] as const))("%s", (_, one) => {
  const { text, until, trace, swing, form, start = "steady" } = one;
  it("a trace", () => expect(away(one)).toBeLessThan(1e-6));

  it("levels and instants of checks", () => {
    const unit = trace.endsWith(".current") ? "A" : "V";
    const values = instants(until).map(form);
    const level = (Math.max(...values) + Math.min(...values)) / 2;
    const ats = [0.21, 0.53, 0.87].map((share) => share * until);
    const checks = [
      ...ats.map((at, k) => `check "${k}" value of ${trace} at ${at.toExponential()} s below 1 ${unit}`),
      `check "crossing" crossing of ${trace} through ${level.toExponential()} ${unit} below 1 s`,
    ];
    const run = simulate(compile(`${text}\n${checks.join("\n").replace(/e\+/g, "e")}`), { until, start });
    const measured = verify(run).map((r) => r.measured);
    for (const [k, at] of ats.entries()) expect(Math.abs(measured[k] - form(at)) / swing).toBeLessThan(1e-6);
    const crossed = measured[3];
    if (values.every((v) => Math.abs(v - values[0]) < 1e-9 * swing)) return;
    expect(crossed).not.toBeNaN();
    // A jump goes through the level; what is continuous stands at it.
    const [before, behind] = [form(crossed * (1 - 1e-6)) - level, form(crossed * (1 + 1e-6)) - level];
    const jumps = Math.abs(before - behind) > 1e-3 * swing;
    if (jumps) expect(before * behind).toBeLessThan(0);
    else expect(Math.abs(form(crossed) - level) / swing).toBeLessThan(1e-6);
  });

  it("its peak and its floor", () => {
    const asked = trace.endsWith(".current") ? ["1 kA", "-1 kA"] : ["1 kV", "-1 kV"];
    const checks = `check "peak" peak of ${trace} below ${asked[0]}\ncheck "floor" floor of ${trace} above ${asked[1]}`;
    const run = simulate(compile(`${text}\n${checks}`), { until, start });
    const [peak, floor] = verify(run).map((r) => r.measured);
    expect(Math.abs(peak - highest(form, until)) / swing).toBeLessThan(1e-6);
    expect(Math.abs(floor + highest((t) => -form(t), until)) / swing).toBeLessThan(1e-6);
  });

  it("by steps", () => expect(away(one, { method: "mixed" })).toBeLessThan(1e-5));

  it("in a circuit so large that it steps", () =>
    expect(away({ ...one, text: `${text}\n${ladder(until)}` })).toBeLessThan(1e-5));
});
