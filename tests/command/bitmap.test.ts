// Drawings as PNG, for where no SVG is taken: what the file holds is read back by a library (fast-png).
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { decode } from "fast-png";
import { expect, test } from "vitest";
import { folder, rampwright, sound } from "./running.js";

const read = (path: string) => decode(readFileSync(path));

/** How many pixels have about this colour, in rows from one to another. */
function count(
  image: ReturnType<typeof read>,
  colour: readonly number[],
  from = 0,
  to = image.height,
): number {
  const { data, width, channels } = image;
  let found = 0;
  for (let i = from * width; i < to * width; i++)
    if (colour.every((v, k) => Math.abs(data[i * channels + k] - v) < 12)) found++;
  return found;
}

test("a run's waveforms: twice as fine as the SVG, with curve and words, the same bytes whatever fonts a machine has", () => {
  const place = folder();
  const words = (name: string) => ["run", "-", "--out", join(place, name)];
  expect(rampwright(words("w.svg"), { input: sound }).status).toBe(0);
  expect(rampwright(words("w.png"), { input: sound }).status).toBe(0);
  const svg = readFileSync(join(place, "w.svg"), "utf8");
  const image = read(join(place, "w.png"));
  for (const side of ["width", "height"] as const)
    expect(image[side]).toBe(2 * Number(new RegExp(` ${side}="(\\d+)"`).exec(svg)![1]));
  // The first ink of the curves, and the ink of the title, whose band is the uppermost 58 px.
  expect(count(image, [0x00, 0x60, 0x9c])).toBeGreaterThan(1000);
  expect(count(image, [0x1d, 0x27, 0x33], 20, 100)).toBeGreaterThan(200);
  const env = { HOME: place, FONTCONFIG_FILE: "/dev/null" };
  expect(rampwright(words("v.png"), { input: sound, env }).status).toBe(0);
  expect(readFileSync(join(place, "v.png")).equals(readFileSync(join(place, "w.png")))).toBe(true);
});

test.each([
  ["draw", ["examples/line.ramp", "--open", "all"]],
  [
    "vary",
    ["examples/line.ramp", "--value", "timing", "--values", "14nF, 16nF", "--checks", "fills the tube"],
  ],
  ["spread", ["examples/line.ramp", "--trials", "8", "--checks", "fills the tube"]],
])("what %s draws", (verb, words) => {
  const out = join(folder(), "d.png");
  const { status, err } = rampwright([verb, ...words, "--out", out]);
  // Of some trials a check may fail.
  expect(status, err).toBeLessThan(2);
  expect(err).not.toContain("no letters");
  const image = read(out);
  expect(image.width).toBeGreaterThan(400);
  expect(count(image, [0x1d, 0x27, 0x33])).toBeGreaterThan(500);
  // In the dark the ink is light and the ground dark, as the styles of the SVG have them on a dark screen.
  const dark = join(folder(), "dark.png");
  rampwright([verb, ...words, "--out", dark, "--dark"]);
  const night = read(dark);
  expect(count(night, [0xe2, 0xe8, 0xee])).toBeGreaterThan(500);
  expect(count(night, [0xff, 0xff, 0xff])).toBeLessThan(count(image, [0x1d, 0x27, 0x33]) / 50);
});

test("dark is about a PNG alone", () => {
  for (const words of [
    ["draw", "examples/line.ramp", "--out", "x.svg", "--dark"],
    ["vary", "examples/line.ramp", "--value", "timing", "--values", "1nF, 2nF", "--dark"],
    ["spread", "examples/line.ramp", "--trials", "2", "--dark"],
    ["check", "examples/line.ramp", "--pictures", "out/none", "--dark"],
  ]) {
    const { status, err } = rampwright(words);
    expect(status, err).toBe(2);
    expect(err).toContain("--dark: it is about a .png");
  }
});

test("check leaves the waveforms as PNG besides where it is asked to", () => {
  const place = join(folder(), "out");
  expect(rampwright(["check", "examples/line.ramp", "--pictures", place, "--png"]).status).toBe(0);
  const left = readdirSync(place);
  const svgs = left.filter((name) => name.endsWith(".svg"));
  expect(svgs.length).toBeGreaterThan(1);
  for (const name of svgs) expect(existsSync(join(place, name.replace(/svg$/, "png"))), name).toBe(true);
  const { status, err } = rampwright(["check", "examples/line.ramp", "--png"]);
  expect(status).toBe(2);
  expect(err).toContain("give --pictures too");
});

test("names in other scripts have their letters; which there are none for is told, and boxes stand for them", () => {
  const place = folder();
  const drawn = (title: string) => {
    const out = join(place, "named.png");
    const input = sound.replace("a bare ramp", title).replaceAll("hold", "ёмкость");
    const { status, err } = rampwright(["draw", "-", "--out", out], { input });
    expect(status, err).toBe(0);
    return { err, png: readFileSync(out).toString("base64") };
  };
  const written = ["Скворечник", "Фωλιά", "नीड", "tổ chim", "e\u0301"].map(drawn);
  for (const { err } of written) expect(err).not.toContain("no letters");
  // Two letters differ; two boxes do not.
  expect(drawn("क").png).not.toBe(drawn("ख").png);
  const nest = drawn("巣");
  expect(nest.err).toContain("has no letters for 巣: boxes stand for them; take .svg");
  expect(nest.png).toBe(drawn("箱").png);
});
