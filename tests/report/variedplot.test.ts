// Pictures of a value that was varied: every dot where arithmetic puts it, limits and gaps drawn, traces over each other in
// the order of the value. Coordinates are read from the drawing and compared with the data, not with a stored picture.
import { describe, expect, it } from "vitest";
import { compile, vary } from "../../src/index.js";
import { ratioScale } from "../../src/report/logscale.js";
import { overlayPicture } from "../../src/report/overlay.js";
import { variationPicture } from "../../src/report/variedplot.js";

const design = compile(`
title "Nest box <ramp>"
supply p = 12 V
given timing = 10 nF
current feed p -> ramp 1 mA
capacitor hold ramp -> ground timing
switch reset ramp -> ground closed before 10 us
run for 80 us
check "fills & more" value of ramp at 62.6 us is 3.95 V +- 3 %
check "early" crossing of ramp rising through 2.5 V below 50 us`);
const v = vary(design, { value: "timing", from: "4.7 nF", to: "100 nF", points: 9, traces: ["ramp"] });
const all = (svg: string, pattern: RegExp) => [...svg.matchAll(pattern)].map((m) => m.slice(1).map(Number));

describe("an axis of even ratios", () => {
  it("puts equal factors equally far apart, and ticks on round values", () => {
    const s = ratioScale({ from: 1e-9, to: 1e-6 }, "F", { start: 100, end: 400, room: 12 });
    expect([1e-9, 1e-8, 1e-7, 1e-6].map((x) => Math.round(s.pixel(x)))).toEqual([100, 200, 300, 400]);
    expect(s.ticks.map((t) => t.label).slice(0, 4)).toEqual(["1 nF", "2 nF", "5 nF", "10 nF"]);
    const labels = (from: number, to: number, room = 12) =>
      ratioScale({ from, to }, "F", { start: 0, end: 1, room }).ticks.map((t) => t.label);
    expect(labels(4.7e-9, 47e-9)).toEqual([
      "5 nF",
      "6 nF",
      "8 nF",
      "10 nF",
      "15 nF",
      "20 nF",
      "30 nF",
      "40 nF",
    ]);
    expect(labels(10.5e-9, 10.9e-9)).toContain("10.6 nF");
    expect(labels(1e-12, 1e6, 6).length).toBeLessThanOrEqual(6);
  });
});

describe("measures against a value", () => {
  const svg = variationPicture(v);
  const dots = all(svg, /<circle cx="([\d.]+)" cy="([\d.]+)"/g);

  it("a dot for each point that has a value, in place and filled where it passes", () => {
    const measured = v.checks.flatMap((c) => c.measured);
    expect(dots).toHaveLength(measured.filter((m) => !Number.isNaN(m)).length);
    expect(svg.match(/l7 7m0 -7l-7 7/g)).toHaveLength(measured.filter(Number.isNaN).length);
    const passes = v.checks.flatMap((c) => c.pass).filter(Boolean).length;
    expect(svg.match(/<circle[^>]* fill="#00609c"/g) ?? []).toHaveLength(passes);
    // Even ratios stand evenly; V = I t / C falls as 1 / C, so its height over the first dot does too.
    const fills = dots.slice(0, 9) as [number, number][];
    const step = fills[1][0] - fills[0][0];
    fills.forEach(([x], i) => {
      expect(x).toBeCloseTo(fills[0][0] + i * step, 0);
    });
    const drop = (i: number) => fills[i][1] - fills[0][1];
    const exact = (i: number) => 1 / v.points[0] - 1 / v.points[i];
    for (let i = 1; i < 9; i++) expect(drop(i) / drop(8)).toBeCloseTo(exact(i) / exact(8), 2);
  });

  it("names, limits, the value as designed, and words for those who cannot see it", () => {
    expect(svg).toContain("fills &amp; more: value of ramp");
    expect(svg).toContain("Nest box &lt;ramp&gt;");
    expect(svg).toContain("3.832 V to 4.069 V");
    expect(svg).toContain("below 50 µs");
    expect(svg).toContain("dotted: as designed, 10 nF");
    expect(svg).toMatch(/<desc[^>]*>timing from 4.7 nF to 100 nF\. fills &amp; more/);
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
    expect(variationPicture(v)).toBe(svg);
  });

  it("shares in per cent, linear axes, and nothing to draw", () => {
    const divider = compile(`
supply p = 5 V
potentiometer trim p -> ground 10 kohm, tap wiper, at 50 %
check "half" duty of wiper each p below 10 %
check "level" value of wiper at 1 ms between 1 V and 2 V`);
    const linear = vary(divider, { value: "trim.at", from: 0, to: 1, points: 5, checks: ["level"] });
    const drawn = variationPicture(linear);
    const heights = all(drawn, /<circle cx="[\d.]+" cy="([\d.]+)"/g).flat();
    // 5 V (1 - at): five dots, evenly down.
    expect(heights).toHaveLength(5);
    for (let i = 1; i < 5; i++) expect(heights[i] - heights[i - 1]).toBeCloseTo(heights[1] - heights[0], 1);
    // A share has no thousandths as a unit of its own.
    const part = vary(divider, { value: "trim.at", from: 0.2, to: 0.6, points: 3, checks: ["level"] });
    expect(variationPicture(part)).toMatch(/>0\.3<.*>trim\.at</);
    expect(() => variationPicture({ ...linear, checks: [] })).toThrow(RangeError);
    expect(() => variationPicture({ ...linear, points: [1] })).toThrow(RangeError);
  });
});

it("both bounds of a narrow limit can be told apart", () => {
  const narrow = v.checks.map((check) => ({ ...check, limit: { low: 19.99998e-3, high: 20.00002e-3 } }));
  expect(variationPicture({ ...v, checks: narrow })).toContain("19.99998 mV to 20.00002 mV");
});

describe("traces over each other", () => {
  it("one curve for each value, named by it, dark to light", () => {
    const svg = overlayPicture(v);
    const names = [...svg.matchAll(/<title>([^<]* nF)<\/title>/g)].map((m) => m[1]);
    expect(names.sort()).toEqual(v.traces[0].runs.map((t) => t!.name).sort());
    const colours = [...svg.matchAll(/stroke="#([0-9a-f]{6})" stroke-width="1.75"/g)].map((m) => m[1]);
    expect(new Set(colours).size).toBe(9);
    // Rec. 709 luma of each ink rises with the value.
    const luma = colours.map((c) => {
      const [r, g, b] = [0, 2, 4].map((k) => Number.parseInt(c.slice(k, k + 2), 16)) as [
        number,
        number,
        number,
      ];
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    });
    expect([...luma].sort((a, b) => a - b)).toEqual(luma);
    expect(() => overlayPicture({ ...v, traces: [] })).toThrow(RangeError);
  });

  it("stands beside the last periods of a run that holds many", () => {
    const long = compile(`
      signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns
      supply rail = 12 V
      current feed rail -> ramp 1 mA, headroom 0.9 V
      capacitor hold ramp -> ground 15 nF
      switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
      run for 2 ms`);
    const values = { value: "hold", from: 10e-9, to: 20e-9, points: 3, traces: ["ramp"], checks: [] };
    const svg = overlayPicture(vary(long, values));
    // ITU-R BT.470: 64 us a line.
    expect(svg).toMatch(/The last periods, 64(\.0+)? .?s each/);
    expect(svg).toContain("The whole runs");
    expect(overlayPicture(v)).not.toContain("The last periods");
  });

  it("draws forty of more", () => {
    const many = vary(design, {
      value: "timing",
      from: 1e-9,
      to: 2e-9,
      points: 90,
      traces: ["ramp"],
      checks: [],
    });
    expect(overlayPicture(many).match(/stroke-width="1.75"/g)!.length).toBeLessThanOrEqual(41);
  });
});

it("a limit made of the value moves along the picture: what passes lies on its side, to the pixel", () => {
  const design = compile(`
supply p = 12 V
given timing = 10 nF
current feed p -> ramp 1 mA
capacitor hold ramp -> ground timing
switch reset ramp -> ground closed before 10 us
run for 80 us
check "half" value of ramp at 60 us above timing / 10 nF * 4 V`);
  const picture = variationPicture(vary(design, { value: "timing", from: "8 nF", to: "14 nF", points: 7 }));
  const [, edge] = /d="M([^"Z]+)"[^>]*stroke-dasharray="5 3"/.exec(picture)!;
  const levels = edge.split("L").map((pair) => Number(pair.split(" ")[1]));
  const dots = [...picture.matchAll(/<circle[^>]*cy="([\d.]+)"[^>]*fill="(#\w+)"/g)];
  expect(levels).toHaveLength(7);
  // V = I t / C is 50 nVs/C: above 4 V C / 10 nF up to C = 11.18 nF, the square root of 50 nC 10 nF / 4 V.
  expect(dots.map(([, y], i) => Number(y) < levels[i])).toEqual(
    [8, 9, 10, 11, 12, 13, 14].map((nF) => nF < 11.18),
  );
  expect(dots.map(([, , fill]) => fill !== "#ffffff")).toEqual(
    [8, 9, 10, 11, 12, 13, 14].map((nF) => nF < 11.18),
  );
  expect(picture).toContain("above 4 V as designed");
});
