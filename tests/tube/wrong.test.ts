// What goes wrong with sweeps, as a viewer sees it: from the text of a design to the bytes of its picture, each by a closed form.
import { describe, expect, test } from "vitest";
import { compile, film, type Image, raster, simulate } from "../../src/index.js";
import { scanned } from "../../src/live/scanning.js";
import { lightOf } from "../../src/tube/image.js";

// One line each 1 ms on a level field, drive constant: what is lit is the sweep alone. The spot is small beside the picture.
const level = (sweep: string, more = "") => `
signal lit = path 0.5 V at 0 s, 0.5 V at 1 ms
voltage middle half -> ground 0.5 V
${sweep}
tube screen lit -> ground across ramp, down half, left 0 V, right 1 V, top 0 V, bottom 1 V, full 20 V, gamma 1, spot 10 %
${more}
run for 1 ms, from rest
`;

/** The light of a column of bytes, by the curve of IEC 61966-2-1. */
function seen({ grey, width, height }: Pick<Image, "grey" | "width" | "height">, x: number): number {
  let sum = 0;
  for (let y = 0; y < height; y++) sum += lightOf(grey[y * width + x]);
  return sum;
}

/** What bytes leave of a ratio: half a step at each of its two, of about 160 in the middle of the line, on a curve of power 2.4. */
const grain = 2.4 / 160;

describe("brightness goes by one over the beam's speed", () => {
  test("of a ramp through a resistor, whose speed at v is (V − v)/RC (Millman & Taub 1965)", () => {
    // To 1 V within RC = 1 ms: V = 1/(1 − 1/e).
    const end = 1 / (1 - Math.exp(-1));
    const run = simulate(
      compile(
        level(`supply plus = ${end} V
resistor feed plus -> ramp 10 kohm
capacitor hold ramp -> ground 100 nF, starts 0 V`),
      ),
    );
    const image = raster(run, { width: 400, height: 50 });
    for (const x of [80, 140, 260, 320]) {
      const expected = (end - 200.5 / 400) / (end - (x + 0.5) / 400);
      expect(Math.abs(seen(image, x) / seen(image, 200) / expected - 1)).toBeLessThan(grain);
    }
  });

  test("of one that folds over: both ways together on what is passed twice", () => {
    // To the right edge in 0.8 ms, back over 0.3 of the width in 0.2 ms: 1/v is 0.8 and 0.2/0.3 ms a width.
    const run = simulate(compile(level("signal ramp = path 0 V at 0 s, 1 V at 0.8 ms, 0.7 V at 1 ms")));
    const image = raster(run, { width: 400, height: 50 });
    for (const x of [320, 340, 360])
      expect(Math.abs(seen(image, x) / seen(image, 140) / ((0.8 + 0.2 / 0.3) / 0.8) - 1)).toBeLessThan(grain);
  });
});

// Ideal sweeps of a 625-line picture (BT.1700). The ramp of the fields begins a twentieth of the height above the screen.
const text = `
signal lines = path 0 V at 10.5 us, 4 V at 62.5 us, 0 V at 64 us, every 64 us
signal fields = path 0 V at 1450.5 us, 4 V at 19838.5 us, 0 V at 20 ms, every 20 ms
signal camera = video of 625/50, white
tube screen camera -> ground across lines, down fields, left 0 V, right 4 V, top 0.2 V, bottom 4.2 V, full 0.7 V
case "dead" fields scaled 0
case "dies" fields stops at 70 ms
case "no beam" screen open
case "cut off" camera scaled 0
`;
const board = compile(text);
const size = { width: 120, height: 96 };

/** The row of the brightest line, and where that of a beam a twentieth above the screen lies. */
function brightest(grey: Uint8Array): number {
  const rows = Array.from({ length: size.height }, (_, y) =>
    grey.subarray(y * size.width + 20, y * size.width + 100).reduce((sum, g) => sum + g, 0),
  );
  return rows.indexOf(Math.max(...rows));
}
const rowOf = (share: number, around: number) => ((share + around) / (1 + 2 * around)) * size.height;

describe("a field sweep that dies, in a film", () => {
  test("is a bright line beside the frame of the screen, where the beam stands", () => {
    const { frames, around = 0 } = film(simulate(board, { case: "dead", until: "70 ms" }), {
      fields: 2,
      ...size,
    });
    expect(around).toBeGreaterThan(0.05);
    for (const { grey, dark } of frames) {
      expect(dark).toBe("beside");
      expect(Math.abs(brightest(grey) + 0.5 - rowOf(-0.05, around))).toBeLessThanOrEqual(1);
    }
  });

  test("is within the view even two thirds of the height beyond the edge, where an output at its lower rail leaves it", () => {
    const far = compile(text.replace("top 0.2 V, bottom 4.2 V", "top 2.6 V, bottom 6.6 V"));
    const { frames, around = 0 } = film(simulate(far, { case: "dead", until: "70 ms" }), {
      fields: 1,
      ...size,
    });
    expect(around).toBeGreaterThan(0.65);
    expect(Math.abs(brightest(frames[0].grey) + 0.5 - rowOf(-0.65, around))).toBeLessThanOrEqual(1);
  });

  test("leaves one view for all fields: the picture before is within the frame, the line after beside it", () => {
    const { frames, around = 0 } = film(simulate(board, { case: "dies", until: "110 ms" }), {
      fields: 5,
      ...size,
    });
    expect(frames[0].dark).toBeUndefined();
    expect(frames.at(-1)!.dark).toBe("beside");
    expect(Math.abs(brightest(frames.at(-1)!.grey) + 0.5 - rowOf(-0.05, around))).toBeLessThanOrEqual(1);
    // A white field is white in the middle of the screen, at the exposure of a film without a dead field.
    const middle = (size.height / 2) * size.width + size.width / 2;
    const alive = film(simulate(board, { until: "110 ms" }), { fields: 1, ...size });
    expect(alive.around).toBeUndefined();
    expect(Math.abs(frames[0].grey[middle] - alive.frames[0].grey[middle])).toBeLessThanOrEqual(3);
  });

  test("is no reason to draw more where the beam is off", () => {
    const { frames, around } = film(simulate(board, { case: "cut off", until: "70 ms" }), {
      fields: 2,
      ...size,
    });
    expect(around).toBeUndefined();
    for (const { grey } of frames) expect(Math.max(...grey)).toBe(0);
  });
});

describe("the picture of the page that computes", () => {
  const whole = (name: string) => {
    const run = simulate(board, { case: name, until: "25 ms" });
    const work = scanned(run, { tube: "screen", ...size, every: 1 });
    let step = work.next();
    while (!step.done) step = work.next();
    return { page: step.value, still: raster(run, size) };
  };

  test.each(["", "dead", "no beam", "cut off"])("is the still one, and says why it is dark: %s", (name) => {
    const { page, still } = whole(name);
    expect([page.dark, page.around, page.shows]).toEqual([still.dark, still.around, still.shows]);
    // Stretches are sketched one by one, so that a pixel may be one grey off.
    expect(Math.max(...still.grey.map((g, i) => Math.abs(g - page.grey[i])))).toBeLessThanOrEqual(1);
  });

  test("of a dead field sweep shows the line where the beam stands", () => {
    const { page } = whole("dead");
    expect(Math.abs(brightest(page.grey) + 0.5 - rowOf(-0.05, page.around!))).toBeLessThanOrEqual(1);
  });
});
