// The picture of a simulated design: what bent sweeps, a late field sync and a circle look like, and what is refused.
import { describe, expect, test } from "vitest";
import { compile, DesignError, geometry, type RasterOptions, raster, simulate } from "../../src/index.js";
import { middle } from "./making.js";

// Millman & Taub, "Pulse, Digital, and Switching Waveforms" (1965): a capacitor charged by a current with an output
// resistance, v = I R (1 − e^(−t/RC)). With RC = 1 ms and a sweep of RC ln(1/0.9) its slope falls by e_s = 0.1.
const rc = 1e-3;
const length = rc * Math.log(1 / 0.9);
const bent = (pulse: number) => `
signal lit = pulse 0 V to 1 V, wide 200 ns, first ${pulse} us
current feed ground -> ramp 1 mA
resistor leak ramp -> ground 100 kohm
capacitor hold ramp -> ground 10 nF, starts 0 V
voltage middle half -> ground 0.5 V
tube screen lit -> ground across ramp, down half, left 0 V, right 10 V, top 0 V, bottom 1 V, full 1 V, gamma 1
run for 120 us, from rest
`;

describe("a bent sweep", () => {
  test("shifts an upright line by the displacement from the chord", () => {
    const shifts = [];
    for (let share = 0.1; share < 0.95; share += 0.1) {
      const t = share * length;
      const run = simulate(compile(bent(Number((t * 1e6 - 0.1).toFixed(6)))));
      const image = raster(run, { width: 1000, height: 50, to: length });
      const shift = middle(image).x / 1000 - share;
      expect(shift).toBeCloseTo((1 - Math.exp(-t / rc)) / 0.1 - share, 5);
      shifts.push(shift);
    }
    // The largest distance from the chord for e_s = 0.1 is 0.01316803 of the amplitude, near the middle of the sweep.
    expect(Math.max(...shifts)).toBeLessThan(0.01316803);
    expect(Math.max(...shifts)).toBeGreaterThan(0.0131);
  });
});

// Two ideal sweeps of a 625-line picture (BT.1700): active 52 of 64 µs from 10.5 µs after 0H, and 287.5 lines of a field
// from 1450.5 µs after its first broad pulse; both run from 0 V to 4 V over that, and come back in blanking.
const active = {
  line: { each: "ls", from: "10.5 us", to: "62.5 us" },
  field: { each: "fs", from: "1450.5 us", to: "19838.5 us" },
};
const sweeps = (late = "0 s", more = "") => `
signal ls = line sync of 625/50, 0 V to 5 V
signal fs = field sync of 625/50, 0 V to 5 V
signal lines = path 0 V at 10.5 us, 4 V at 62.5 us, 0 V at 70 us, every 64 us
signal fields = path 0 V at 1450.5 us + ${late}, 4 V at 19838.5 us + ${late}, 0 V at 20.2 ms + ${late}, every 20 ms
${more}
run for 80 ms
`;
const tube =
  "tube screen camera -> ground across lines, down fields, left 0 V, right 4 V, top 0 V, bottom 4 V, full 0.7 V";

describe("a picture of 625 lines", () => {
  test("shows a circle round", () => {
    const run = simulate(
      compile(
        // Rows of picture lie 32 µs apart, those of both fields taken together: 576 of them with the two half ones,
        // the first of which has its middle 36.5 µs after 0H of line 23.
        sweeps("0 s", `signal camera = video of 625/50, crosshatch, across 1, down 1, circle\n${tube}`)
          .replace("0 V at 1450.5 us", "0 V at 1428.5 us")
          .replace("4 V at 19838.5 us", "4 V at 19860.5 us"),
      ),
    );
    const [width, height] = [768, 576];
    const image = raster(run, { width, height });
    expect(image.to - image.from).toBeCloseTo(0.04, 6);
    const light = (x: number, y: number): number => {
      const [i, j] = [Math.floor(x - 0.5), Math.floor(y - 0.5)];
      const [u, v] = [x - 0.5 - i, y - 0.5 - j];
      const at = (a: number, b: number) => image.light[b * width + a];
      return (
        (at(i, j) * (1 - u) + at(i + 1, j) * u) * (1 - v) +
        (at(i, j + 1) * (1 - u) + at(i + 1, j + 1) * u) * v
      );
    };
    const radii = [];
    // Not along the two straight lines in the middle.
    for (let degrees = 10; degrees < 360; degrees += 10) {
      if (degrees % 90 === 0) continue;
      const turn = (degrees * Math.PI) / 180;
      let [sum, moment] = [0, 0];
      for (let r = 0.4; r < 0.5; r += 0.0005) {
        const l = light(width / 2 + r * height * Math.cos(turn), height / 2 + r * height * Math.sin(turn));
        sum += l;
        moment += l * r;
      }
      // Nine tenths as high as the picture. The field sweep does not wait for the line: over its 52 µs the beam sinks
      // by 52/18432 of the height, which shears the circle by that over the width.
      const sheared = 0.45 * (1 + (52 / 18432 / (4 / 3)) * Math.sin(turn) * Math.cos(turn));
      radii.push(Math.abs(moment / sum - sheared));
    }
    expect(radii).toHaveLength(32);
    // A quarter of a row at the top and the bottom, where the circle is a stair of rows, and far less elsewhere.
    radii.sort((a, b) => a - b);
    expect(radii[23]).toBeLessThan(0.02 / 576);
    expect(radii[31]).toBeLessThan(0.25 / 576);
  });

  test("stands one line of a field higher where the field sweep comes one line later", () => {
    // A bar on a few lines of each field, the same in both fields.
    const bar = (late: string) =>
      raster(
        simulate(
          compile(
            sweeps(late, `signal camera = pulse 0 V to 0.7 V, wide 1 ms, first 10 ms, every 20 ms\n${tube}`),
          ),
        ),
        {
          width: 200,
          height: 600,
          from: "40 ms",
          to: "80 ms",
        },
      );
    const [on, late] = [middle(bar("0 s")), middle(bar("64 us"))];
    // 287.3 lines fill the height: 18.388 ms / 64 µs.
    expect(on.y - late.y).toBeCloseTo((600 * 64e-6) / 18.388e-3, 3);
    expect(on.x).toBeCloseTo(late.x, 3);
  });

  test("is dark on a tube that is open, and on one whose drive stays below cut-off", () => {
    const text = sweeps(
      "0 s",
      `signal camera = video of 625/50, white\n${tube}\ncase "dead tube" screen open`,
    );
    const design = compile(text);
    const sum = (name: string, options: RasterOptions = {}) =>
      middle(raster(simulate(design, { case: name }), { width: 64, height: 48, ...options })).sum;
    expect(sum("dead tube")).toBe(0);
    expect(sum("", { cutoff: 1, full: 2 })).toBe(0);
    expect(sum("")).toBeGreaterThan(0.9 * 64 * 48);
  });
});

describe("geometry", () => {
  test("of straight sweeps is straight", () => {
    const g = geometry(simulate(compile(sweeps())), { across: "lines", down: "fields", ...active });
    expect(Math.abs(g.width.share)).toBeLessThan(1e-9);
    expect(Math.abs(g.height.share)).toBeLessThan(1e-9);
    // Two fields of 287 or 288 whole lines lie in the time shown.
    expect(g.lines).toBeGreaterThanOrEqual(2 * 286);
    expect(g.lines).toBeLessThanOrEqual(2 * 288);
  });

  test("of an exponential sweep is its distance from the straight line of least squares", () => {
    // x(s) = (1 − e^(−a s))/(1 − e^(−a)) over s from 0 to 1. Its best line b + c s has c = 12 ∫ (s − ½) x ds and
    // goes through the mean at s = ½ (normal equations of linear regression); the widest departure is at an end.
    const a = Math.log(1 / 0.9);
    const end = 0.1;
    const mean = (1 - end / a) / end;
    // ∫ s e^(−a s) ds = (1 − (1 + a) e^(−a))/a²
    const first = (0.5 - (1 - (1 + a) * 0.9) / (a * a)) / end;
    const c = 12 * (first - mean / 2);
    const x = (s: number) => (1 - Math.exp(-a * s)) / end;
    const off = [0, 1].map((s) => (x(s) - mean - c * (s - 0.5)) / c);
    const expected = Math.max(...off.map(Math.abs));
    // About e_s/12 where the displacement from the chord is e_s/8: the line of least squares halves it and more.
    expect(expected).toBeGreaterThan(0.1 / 12);
    const text = sweeps(
      "0 s",
      `current feed ground -> ramp 1 mA
resistor leak ramp -> ground ${(52e-6 / 10e-9 / a).toFixed(6)} ohm
capacitor hold ramp -> ground 10 nF
switch reset ramp -> ground closed while ls above 2.5 V, on 0.001 ohm`,
    );
    // The ramp starts as the sync pulse of 4.7 µs ends; 52 µs of it are RC ln(1/0.9).
    const g = geometry(simulate(compile(text)), {
      across: "ramp",
      down: "fields",
      line: { each: "ls", from: "4.7 us", to: "56.7 us" },
      field: active.field,
    });
    expect(Math.abs(g.width.share)).toBeCloseTo(expected, 5);
    expect(Math.min(g.width.x, 1 - g.width.x)).toBe(0);
    expect(Math.abs(g.height.share)).toBeLessThan(1e-9);
  });

  test("tells where: a field sweep that lags at the bottom", () => {
    const text = sweeps().replace("4 V at 19838.5 us", "3 V at 14000 us + 0 s, 3.5 V at 19838.5 us");
    const g = geometry(simulate(compile(text)), { across: "lines", down: "fields", ...active });
    // Two straight pieces stray most from their best line at their corner or at an end.
    expect(Math.abs(g.height.share)).toBeGreaterThan(0.05);
    const corner = (14000 - 1450.5) / 18388;
    expect(Math.min(Math.abs(g.height.y - corner), g.height.y, 1 - g.height.y)).toBeLessThan(0.005);
  });
});

describe("what makes no sense is refused as a diagnostic", () => {
  const run = simulate(compile(sweeps("0 s", `signal camera = video of 625/50, black\n${tube}`)));
  const bare = simulate(compile(sweeps()));
  const twice = simulate(
    compile(
      sweeps("0 s", `signal camera = video of 625/50, black\n${tube}\n${tube.replace("screen", "other")}`),
    ),
  );
  const codes = (action: () => unknown): string[] => {
    try {
      action();
    } catch (error) {
      if (error instanceof DesignError) return error.diagnostics.map((d) => `${d.code} ${d.message}`);
      throw error;
    }
    return [];
  };
  test.each<[string, RasterOptions, RegExp]>([
    ["width 0", { width: 0 }, /^bad-option width: /],
    ["height NaN", { height: Number.NaN }, /^bad-option height: /],
    ["width a half", { width: 10.5 }, /^bad-option width: /],
    ["huge", { width: 1e9 }, /^bad-option width: /],
    ["too many pixels", { width: 10_000, height: 10_000 }, /^bad-option width: .* pixels/],
    ["a tube that is not there", { tube: "scren" }, /^bad-option tube: the design has no tube 'scren'/],
    ["a part that is no tube", { tube: "camera" }, /^bad-option tube: /],
    ["a trace that is not there", { across: "linse" }, /^unknown-trace /],
    ["from after to", { from: "50 ms", to: "40 ms" }, /^bad-option from: /],
    ["from is to", { from: 0.04, to: 0.04 }, /^bad-option from: /],
    ["after the run", { to: "90 ms" }, /^bad-option to: /],
    ["before the run", { from: "-1 ms" }, /^bad-option from: /],
    ["a time in volts", { from: "1 V" }, /^bad-option from: .*a voltage/],
    ["not a number", { from: Number.NaN }, /^bad-option from: /],
    ["left is right", { left: 1, right: "1 V" }, /^bad-option left: /],
    ["top is bottom", { top: 0, bottom: 0 }, /^bad-option top: /],
    ["dark is white", { cutoff: "0.7 V" }, /^bad-option full: /],
    ["no gamma", { gamma: 0 }, /^bad-option gamma: /],
    ["a wide spot", { spot: "50 %" }, /^bad-option spot: /],
    ["a negative spot", { spot: -0.1 }, /^bad-option spot: /],
    ["no aspect", { aspect: 0 }, /^bad-option aspect: /],
    ["infinite edges", { left: Number.POSITIVE_INFINITY }, /^bad-option left: /],
  ])("%s", (_, options, expected) => {
    expect(codes(() => raster(run, options))).toEqual([expect.stringMatching(expected)]);
  });

  test("a design without a tube, and one with two and none named", () => {
    expect(codes(() => raster(bare))).toEqual(["bad-option tube: the design has no tube"]);
    expect(codes(() => raster(twice))).toEqual(["bad-option tube: the design has 2 tubes"]);
    expect(codes(() => raster(twice, { tube: "other" }))).toEqual([]);
    // Three names of traces need no tube; their edges are what they span.
    expect(codes(() => raster(bare, { across: "lines", down: "fields", brightness: "ls" }))).toEqual([]);
  });

  test("a geometry without lines", () => {
    const ask = (line: object) =>
      codes(() => geometry(run, { ...active, line: { ...active.line, ...line } as typeof active.line }));
    expect(ask({})).toEqual([]);
    expect(ask({ from: "70 us", to: "60 us" })).toEqual([expect.stringMatching(/^bad-option line.to: /)]);
    expect(ask({ each: "nothing" })).toEqual([expect.stringMatching(/^unknown-trace /)]);
    expect(ask({ from: "10 ms", to: "70 ms" })).toEqual([expect.stringMatching(/^bad-option line: /)]);
    expect(codes(() => geometry(run, {} as never))).toEqual([expect.stringMatching(/^bad-option line: /)]);
  });
});

describe("a tube in the text", () => {
  test.each([
    ["no edge", tube.replace("left 0 V, ", ""), "missing-property"],
    ["no full", tube.replace(", full 0.7 V", ""), "missing-property"],
    ["no across", tube.replace("across lines, ", ""), "missing-property"],
    ["an edge in amperes", tube.replace("left 0 V", "left 0 A"), "wrong-dimension"],
    ["gamma 0", `${tube}, gamma 0`, "out-of-range"],
    ["a spot of 200 %", `${tube}, spot 200 %`, "out-of-range"],
    ["a word it does not know", `${tube}, glow 2`, "unknown-property"],
  ])("%s", (_, line, code) => {
    let found: readonly string[] = [];
    try {
      compile(sweeps("0 s", `signal camera = video of 625/50, black\n${line}`));
    } catch (error) {
      found = (error as DesignError).diagnostics.map((d) => d.code);
    }
    expect(found).toEqual([code]);
  });

  test("draws no current, and its voltage is the drive", () => {
    const run = simulate(compile(sweeps("0 s", `signal camera = video of 625/50, bars\n${tube}`)));
    expect(run.trace("screen.current").value.every((i) => i === 0)).toBe(true);
    expect(run.trace("screen.voltage").value).toEqual(run.trace("camera").value);
  });
});
