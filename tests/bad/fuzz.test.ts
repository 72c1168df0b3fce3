// A working design, damaged at random: whatever comes of it, `inspect` never throws, every diagnostic is whole, and
// where a design comes out, `simulate` gives a run with a status and never throws.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { DesignError, inspect, simulate, verifyAll } from "../../src/index.js";
import { tries } from "../counts.js";
import { mended, nestbox, whole } from "./designs.js";

const tokens = nestbox.split(/(\s+|,|->)/).filter((t) => t !== "");

/** One piece of damage, as a function of the tokens. */
const damage: fc.Arbitrary<(t: string[]) => string[]> = fc.oneof(
  fc.nat().map((i) => (t: string[]) => t.toSpliced(i % t.length, 1)),
  fc.tuple(fc.nat(), fc.integer({ min: 1, max: 6 })).map(
    ([i, n]) =>
      (t: string[]) =>
        t.toSpliced(i % t.length, n),
  ),
  fc.nat().map((i) => (t: string[]) => t.toSpliced(i % t.length, 0, t[i % t.length])),
  fc.tuple(fc.nat(), fc.nat()).map(([i, j]) => (t: string[]) => {
    const out = t.slice();
    [out[i % t.length], out[j % t.length]] = [t[j % t.length], t[i % t.length]];
    return out;
  }),
  fc.tuple(fc.nat(), fc.nat()).map(
    ([i, j]) =>
      (t: string[]) =>
        t.with(i % t.length, t[j % t.length]),
  ),
  // Whole words, so that values, kinds and names change places.
  fc
    .tuple(
      fc.nat(),
      fc.constantFrom(
        "0",
        "1e9",
        "-1",
        "ground",
        "ramp",
        "open",
        "short",
        "dead",
        "V",
        "uF",
        "ohm",
        "%",
        "\n",
        "starts",
        "1e-15 s",
        "every",
        "sine",
        "at 1 kHz",
        "(",
        ")",
        "from rest",
      ),
    )
    .map(
      ([i, word]) =>
        (t: string[]) =>
          t.with(i % t.length, word),
    ),
);

const noise: fc.Arbitrary<(s: string) => string> = fc
  .tuple(
    fc.nat(),
    fc.oneof(
      fc.constantFrom("", "\0", '"', "#", "\n", "0", ".", "-", "µ", "\ud800", "é", "=", "%", "9".repeat(30)),
      fc.string({ maxLength: 3 }),
    ),
  )
  .map(
    ([i, c]) =>
      (s: string) =>
        s.slice(0, i % s.length) + c + s.slice((i % s.length) + 1),
  );

/** Looks at a text and, where it is a design, runs it and its first case; returns whether there was a design. */
function survives(text: string): boolean {
  const { diagnostics, design } = inspect(text);
  for (const d of diagnostics) whole(d, text);
  expect(design === undefined).toBe(diagnostics.some((d) => d.severity === "error"));
  if (!design) return false;
  const options = { until: "200 us", limits: { steps: 20_000 } } as const;
  const done = simulate(design, options);
  expect(["complete", "stopped"]).toContain(done.status);
  expect(done.reason === "").toBe(done.status === "complete");
  // A trace is there where a sample is, and holds numbers only.
  const [, place] = design.places;
  if (done.recording.count > 0 && place !== undefined) {
    for (const v of done.trace(place).value) expect(Number.isFinite(v)).toBe(true);
  }
  for (const result of verifyAll(design, { simulate: options }))
    expect(Number.isNaN(result.measured) && result.pass).toBe(false);
  return true;
}

describe("damage to the working design", () => {
  it("words left out, doubled, swapped, replaced", () => {
    let designs = 0;
    fc.assert(
      fc.property(fc.array(damage, { minLength: 1, maxLength: 3 }), (steps) => {
        if (survives(steps.reduce((t, step) => step(t), tokens).join(""))) designs++;
      }),
      { numRuns: tries(1500) },
    );
    // Else nothing would have been simulated.
    expect(designs).toBeGreaterThan(tries(50));
  });

  it("stray characters", () => {
    fc.assert(
      fc.property(fc.array(noise, { minLength: 1, maxLength: 4 }), (steps) => {
        survives(steps.reduce((s, step) => step(s), nestbox));
      }),
      { numRuns: tries(800) },
    );
  });

  it("every mend takes away the mistake it belongs to", () => {
    let mends = 0;
    fc.assert(
      fc.property(
        fc.oneof(
          damage.map((step) => step(tokens).join("")),
          noise.map((step) => step(nestbox)),
        ),
        (text) => {
          for (const d of inspect(text).diagnostics) {
            if (!d.fix) continue;
            mends++;
            const left = inspect(mended(text, d)).diagnostics;
            expect(
              left.filter(
                (o) =>
                  o.code === d.code &&
                  o.message === d.message &&
                  o.span.line === d.span.line &&
                  o.span.column === d.span.column,
              ),
            ).toEqual([]);
          }
        },
      ),
      { numRuns: tries(1500) },
    );
    expect(mends).toBeGreaterThan(tries(200));
  });

  it("anything at all", () => {
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 200 }), (text) => {
        survives(text);
      }),
      { numRuns: tries(500) },
    );
  });

  it("options of any kind are refused by DesignError or taken", () => {
    const { design } = inspect(nestbox);
    const given = fc.oneof(
      fc.double(),
      fc.string({ maxLength: 8 }),
      fc.constantFrom("1 ms", "5 V", "-1 s", "1e400 s", "0 s", "1e-30 s"),
    );
    fc.assert(
      fc.property(
        given,
        fc.option(given, { nil: undefined }),
        fc.option(fc.double(), { nil: undefined }),
        (until, step, tolerance) => {
          try {
            const limits = { steps: 500, bytes: 1e7 };
            simulate(design!, {
              until,
              limits,
              ...(step !== undefined && { step }),
              ...(tolerance !== undefined && { tolerance }),
            });
          } catch (error) {
            expect(error).toBeInstanceOf(DesignError);
            for (const d of (error as DesignError).diagnostics)
              expect(d.code && d.message && d.span).toBeTruthy();
          }
        },
      ),
      { numRuns: tries(1000) },
    );
  });
});
