// What was measured is drawn where it was measured. Closed forms of a ramp: i / C rises, reset by a switch of resistance R it falls as
// exp(-t / RC), so that a hundredth of it is left after RC ln 100.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import type { DrawnMeasure } from "../../src/report/dimensions.js";
import { panelGroups } from "../../src/report/selection.js";
import { tracePicture } from "../../src/report/svg.js";
import { measuredText } from "../../src/report/verdicts.js";

const sweep = (checks: string) => `title "Nest box: a sweep"
signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns
supply plus = 40 V
current feed plus -> ramp 1 mA
capacitor hold ramp -> ground 10 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
run for 640 us
${checks}`;

const all = `check "wide" swing of ramp each gate from 10 us to 60 us above 1 V
check "steep" slope of ramp each gate from 10 us to 60 us above 1 V/s
check "back" reset time of ramp each gate below 4 us
`;

function drawn(checks: string) {
  const run = simulate(compile(sweep(checks)));
  const groups = panelGroups(run, [], verify(run));
  const panel = groups[0].panels.find(({ title }) => title === "ramp")!;
  return { dimensions: panel.dimensions ?? [], svg: tracePicture(groups, { title: "Nest box" }) };
}

const of = (dimensions: readonly DrawnMeasure[], sort: DrawnMeasure["sort"]) =>
  dimensions.find((one) => one.sort === sort)!;

test("swing, slope and reset time of a ramp stand where they were measured", () => {
  const { dimensions } = drawn(all);
  // 1 mA into 10 nF: 100 kV/s, 5 V in 50 us.
  const height = of(dimensions, "height");
  expect(height.second.value - height.first.value).toBeCloseTo(5, 5);
  expect(height.second.at - height.first.at).toBeCloseTo(50e-6, 10);
  expect(height.label).toBe("swing 5 V");
  const slope = of(dimensions, "slope");
  const [dv, dt] = [slope.second.value - slope.first.value, slope.second.at - slope.first.at];
  expect(dv / dt / 100e3).toBeCloseTo(1, 5);
  expect(slope.label).toBe("slope 100 kV/s");
  const time = of(dimensions, "time");
  const tau = 5 * 10e-9;
  expect((time.second.at - time.first.at) / (tau * Math.log(100))).toBeCloseTo(1, 2);
  expect(time.label).toMatch(/^reset time 230\.\d ns$/);
  // What fails is said to.
  expect(dimensions.some(({ fails }) => fails)).toBe(false);
  expect(drawn(all.replace("above 1 V\n", "above 6 V\n")).dimensions.map(({ fails }) => fails)).toContain(
    true,
  );
});

test("the figure beside an arrow is the one of the table", () => {
  const run = simulate(compile(readFileSync("examples/line.ramp", "utf8")));
  const results = verify(run);
  const labels = panelGroups(run, [], results).flatMap(({ panels }) =>
    panels.flatMap(({ dimensions = [] }) => dimensions.map(({ label }) => label)),
  );
  const said = (words: string, name: string) => {
    const result = results.find((one) => one.name === name)!;
    return `${words} ${measuredText(result, result.measured)}`;
  };
  expect([...labels].sort()).toEqual([
    said("peak", "fills the tube"),
    said("reset time", "back in time"),
    said("slope", "fast enough"),
  ]);
});

test("a peak is as high as it stands above nothing, a rise as long as from a tenth to nine tenths", () => {
  const { dimensions } = drawn(
    'check "full" peak of ramp each gate below 9 V\ncheck "rises" rise time of ramp each gate below 60 us\n',
  );
  const height = of(dimensions, "height");
  expect(height.first.value).toBe(0);
  // A line of 64 us less a pulse of 4.7 us (ITU-R BT.1700), its edges counted at half of their height.
  expect(height.second.value).toBeCloseTo(100e3 * (64e-6 - 4.7e-6), 1);
  const rise = of(dimensions, "time");
  expect((rise.second.at - rise.first.at) / (0.8 * (64e-6 - 4.7e-6))).toBeCloseTo(1, 2);
});

/** Groups of a picture: the words of each with their box, and the tips of its arrows. */
function read(svg: string) {
  const curves = [...svg.matchAll(/<path d="(M[^"Z]*)"[^>]*stroke-width="1.75"/g)].map(([, d]) =>
    d
      .slice(1)
      .split("L")
      .map((p) => p.split(" ").map(Number)),
  );
  const groups = [...svg.matchAll(/<g class="dimension">(.*?)<\/g>/g)].map(([, inside]) => {
    const lines = [...inside.matchAll(/<text x="([\d.]+)" y="([\d.]+)"([^>]*)>([^<]*)</g)];
    const words = lines.map(([, , , , line]) => line).join(" ");
    const tips = [...inside.matchAll(/M([\d.]+) ([\d.]+)(?:L[\d.]+ [\d.]+){2}Z/g)].map(([, tx, ty]) => [
      Number(tx),
      Number(ty),
    ]);
    // Half of the size for a letter is what common sans-serif faces take on average.
    const boxes = lines.map(([, x, y, style, line]) => {
      const left = style.includes('text-anchor="end"') ? Number(x) - line.length * 6 : Number(x);
      return { left, right: left + line.length * 6, top: Number(y) - 8, bottom: Number(y) };
    });
    const box = {
      left: Math.min(...boxes.map(({ left }) => left)),
      right: Math.max(...boxes.map(({ right }) => right)),
      top: Math.min(...boxes.map(({ top }) => top)),
      bottom: Math.max(...boxes.map(({ bottom }) => bottom)),
    };
    return { words, tips, box };
  });
  return { curves, groups };
}

test("arrows end on the curve's own heights, and words stand on no curve and on no other words", () => {
  for (const checks of [
    all,
    'check "full" peak of ramp each gate below 9 V\ncheck "back" reset time of ramp each gate below 4 us\n',
    'check "steep" slope of ramp each gate from 10 us to 60 us above 1 V/s\n',
  ]) {
    const { curves, groups } = read(drawn(checks).svg);
    const ramp = curves.at(-1)!;
    expect(groups.length).toBe(checks.trim().split("\n").length);
    for (const { words, tips, box } of groups) {
      if (words.startsWith("peak")) {
        const heights = ramp.map(([, y]) => y);
        expect(Math.min(...tips.map(([, y]) => y))).toBeCloseTo(Math.min(...heights), 0);
        expect(Math.max(...tips.map(([, y]) => y))).toBeCloseTo(Math.max(...heights), 0);
      }
      for (const [i, [x0, y0]] of ramp.slice(0, -1).entries()) {
        const [x1, y1] = ramp[i + 1];
        for (let k = 0; k <= 200; k++) {
          const [x, y] = [x0 + ((x1 - x0) * k) / 200, y0 + ((y1 - y0) * k) / 200];
          expect(x > box.left && x < box.right && y > box.top && y < box.bottom, words).toBe(false);
        }
      }
      for (const other of groups)
        if (other.words !== words)
          expect(
            box.left < other.box.right &&
              other.box.left < box.right &&
              box.top < other.box.bottom &&
              other.box.top < box.bottom,
          ).toBe(false);
    }
  }
});

test("beside a band nothing is measured", () => {
  const long = sweep(all).replace("run for 640 us", "run for 60 ms").replaceAll(" each gate", "");
  const run = simulate(compile(long.replace(/ from 10 us to 60 us/g, "")));
  const svg = tracePicture(panelGroups(run), { title: "Nest box" });
  expect(svg).toContain('class="band"');
  expect(svg).not.toContain('class="dimension"');
});
