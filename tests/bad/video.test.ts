// Bad video and bad parts of the board, and what they must get: a whole diagnostic with its place, and where a word is
// near enough a mend that is then accepted; loops of ideal comparators that never settle stop with the time and the
// parts, and what was computed is kept. Nothing but DesignError leaves `compile`.
import { describe, expect, it } from "vitest";
import {
  type CompileOptions,
  compile,
  DesignError,
  inspect,
  type Pixels,
  simulate,
} from "../../src/index.js";
import { mended, whole } from "./designs.js";

const load = "\nresistor load camera -> ground 75 ohm\n";
const film = (words: string) => `signal camera = video of ${words}${load}`;

/** Errors as `line:column code`, each of them whole. */
function errors(text: string, options: CompileOptions = {}): string[] {
  const { diagnostics, design } = inspect(text, options);
  for (const d of diagnostics) whole(d, text);
  const found = diagnostics.filter((d) => d.severity === "error");
  if (found.length > 0) expect(() => compile(text, options)).toThrow(DesignError);
  expect(design === undefined).toBe(found.length > 0);
  return found.map((d) => `${d.span.line}:${d.span.column} ${d.code}`);
}

/** The messages of a text's errors. */
const messages = (text: string, options: CompileOptions = {}) =>
  inspect(text, options).diagnostics.map((d) => d.message);

it("the texts below are sound but for their mistakes", () => {
  for (const words of ["625/50, black", "525/59.94, colour bars, setup 0 %", "525/60, fade, frames 3"])
    expect(errors(film(words))).toEqual([]);
});

describe("misspelt words get the nearest known, and the mend is accepted", () => {
  it.each([
    ["a system", film("625/5, black"), "625/50", "1:26 unknown-system"],
    ["a system that is none", film("405/50, black"), "625/50", "1:26 unknown-system"],
    ["a pattern", film("625/50, blak"), "black", "1:34 unknown-pattern"],
    ["a pattern of two words", film("625/50, colour bras"), "colour bars", "1:34 unknown-pattern"],
    ["a word of a pattern", film("625/50, crosshatch, circel"), "circle", "1:46 unknown-property"],
    ["a word of all video", film("625/50, black, progresive"), "progressive", "1:41 unknown-property"],
    [
      "a word of noise",
      `signal camera = noise 5 mV, spacing 1 us, sede 3${load}`,
      "seed",
      "1:43 unknown-property",
    ],
    [
      "a block that ships",
      `bring "shipped/chrom"\n${film("625/50, black")}`,
      '"shipped/chroma"',
      "1:7 bring-missing",
    ],
    [
      "the pattern of a case",
      `${film("625/50, black")}case "x" camera is video of 625/50, wite`,
      "white",
      "3:37 unknown-pattern",
    ],
  ])("%s", (_, text, word, place) => {
    expect(errors(text)).toEqual([place]);
    const [d] = inspect(text).diagnostics;
    expect(d.fix?.text).toBe(word);
    expect(d.hint).toContain("did you mean");
    expect(errors(mended(text, d))).toEqual([]);
  });
  it("what is near to nothing gets the list", () => {
    expect(errors(film("625/50, zzzzzz"))).toEqual(["1:34 unknown-pattern"]);
    expect(inspect(film("625/50, zzzzzz")).diagnostics[0].hint).toContain("crosshatch");
    expect(errors(`bring "shipped/zzzz"\n${film("625/50, black")}`)).toEqual(["1:7 bring-missing"]);
    expect(inspect('bring "shipped/zzzz"').diagnostics[0].hint).toContain("separator");
  });
  it("no way out of the blocks that ship", () => {
    for (const path of ["shipped/../chroma", "shipped/", "shipped/__proto__", "shipped/constructor"])
      expect(errors(`bring "${path}"\n${film("625/50, black")}`)).toEqual(["1:7 bring-missing"]);
  });
});

describe("levels, counts and words that make no sense", () => {
  it.each([
    ["a level above white", "625/50, flat, level 120 %", "1:17 level-range"],
    ["a level below black", "625/50, flat, level -1 %", "1:46 out-of-range"],
    ["a level in volts", "625/50, flat, level 1 V", "1:46 wrong-dimension"],
    ["no level", "625/50, flat", "1:17 missing-property"],
    ["a step above white", "625/50, bounce, frames 2, low 1, high 2", "1:17 level-range"],
    ["no bars", "625/50, bars, count 0", "1:46 out-of-range"],
    ["half a bar", "625/50, bars, count 2.5", "1:17 no-count"],
    ["too many bars", "625/50, bars, count 1e9", "1:17 no-count"],
    ["no frames", "625/50, fade", "1:17 missing-property"],
    ["half a frame", "625/50, fade, frames 1.5", "1:17 no-count"],
    ["a million frames", "625/50, bounce, frames 1e6", "1:17 no-count"],
    ["a circle with a radius", "625/50, crosshatch, circle 5", "1:46 property-form"],
    ["a word of another pattern: lines of bars", "625/50, bars, across 3", "1:40 unknown-property"],
    ["a word of another pattern: a circle on black", "625/50, black, circle", "1:41 unknown-property"],
    ["a word of another waveform", "625/50, black, edges 3 us", "1:41 unknown-property"],
    ["a word twice", "625/50, bars, count 3, count 4", "1:49 repeated-property"],
    ["a name where none belongs", '625/50, bars "robin"', "1:39 pattern-form"],
    ["no pattern at all", "625/50", "1:32 unexpected-end"],
    ["set-up in 625 lines", "625/50, black, setup 7.5 %", "1:17 no-setup"],
    ["a set-up of 5 %", "525/59.94, black, setup 5 %", "1:17 no-setup"],
    ["a set-up of 7.5, not of 7.5 %", "525/59.94, black, setup 7.5", "1:17 no-setup"],
    ["colour in the monochrome system", "525/60, bars, colour", "1:17 no-carrier"],
    ["colour and monochrome", "625/50, colour bars, colour, monochrome", "1:17 colour-twice"],
    ["two words too many", "625/50, colour bars bars", "1:46 unexpected-word"],
  ])("%s", (_, words, place) => {
    expect(errors(film(words))).toEqual([place]);
  });
  it("say what is allowed", () => {
    expect(messages(film("625/50, flat, level 120 %"))[0]).toMatch(/between 0 .*and 1/);
    expect(messages(film("525/59.94, black, setup 5 %"))[0]).toMatch(/7\.5 %.*0 %/);
    expect(messages(film("625/50, bars, count 2.5"))[0]).toMatch(/whole number from 1 to 10000/);
  });
  it("video is a voltage", () => {
    const text = "current feed ground -> out video of 625/50, black\nresistor load out -> ground 1 kohm\n";
    expect(errors(text)).toEqual(["1:28 wrong-dimension"]);
  });
});

describe("pictures", () => {
  const text = film('625/50, picture "robin"');
  const handed = (width: number, height: number, data: unknown) =>
    errors(text, {
      pictures: (name) => (name === "robin" ? ({ width, height, data } as Pixels) : undefined),
    });
  const data = (...shades: number[]) => Float64Array.from(shades);
  it.each([
    ["too few pixels", 2, 2, data(1, 0, 1), "pixels-size"],
    ["too many", 2, 1, data(1, 0, 1), "pixels-size"],
    ["half a pixel", 1.5, 2, data(1, 0, 1), "pixels-size"],
    ["less than none", -1, -1, data(1), "pixels-size"],
    ["a width that is no number", Number.NaN, 1, data(1), "pixels-size"],
    ["a width that never ends", Number.POSITIVE_INFINITY, 1, data(1), "pixels-size"],
    ["a width as text", "2", 1, data(1, 1), "pixels-size"],
    ["none at all", 0, 0, data(), "pixels-empty"],
    ["no rows", 3, 0, data(), "pixels-empty"],
    ["a pixel that is no number", 2, 2, data(1, 0, 1, Number.NaN), "pixels-not-finite"],
    ["an infinite pixel", 1, 1, data(Number.NEGATIVE_INFINITY), "pixels-not-finite"],
    ["brighter than white", 2, 1, data(0, 1.5), "pixels-range"],
    ["darker than black", 2, 1, data(0, -1e-9), "pixels-range"],
    ["a plain array", 1, 1, [1], "pixels-form"],
    ["nothing", 1, 1, undefined, "pixels-form"],
  ])("%s", (_, width, height, pixels, code) => {
    expect(handed(width as number, height, pixels)).toEqual([`1:17 ${code}`]);
  });
  it("of bytes and of shares are taken", () => {
    expect(handed(2, 1, Uint8Array.of(0, 255))).toEqual([]);
    expect(handed(2, 1, data(0, 1))).toEqual([]);
  });
  it("that nobody handed in, or without a name", () => {
    expect(errors(text)).toEqual(["1:42 unknown-picture"]);
    expect(errors(text, { pictures: () => undefined })).toEqual(["1:42 unknown-picture"]);
    expect(errors(film("625/50, picture"))).toEqual(["1:34 pattern-form"]);
    expect(messages(text)[0]).toContain("robin");
  });
});

describe("noise", () => {
  const hiss = (words: string) => errors(`signal camera = noise ${words}${load}`);
  it.each([
    ["no spacing", "5 mV", "1:17 missing-property"],
    ["a spacing of nothing", "5 mV, spacing 0 s", "1:37 out-of-range"],
    ["a spacing that runs backwards", "5 mV, spacing -1 us", "1:37 out-of-range"],
    ["a spacing in volts", "5 mV, spacing 1 V", "1:37 wrong-dimension"],
    ["less than nothing", "-5 mV, spacing 1 us", "1:23 out-of-range"],
    ["a current where a voltage stands", "5 A, spacing 1 us", "1:23 wrong-dimension"],
    ["a length of one spacing", "5 mV, spacing 1 us, every 1 us", "1:17 no-length"],
    ["a length of one and a half", "5 mV, spacing 1 us, every 1.5 us", "1:17 no-length"],
    ["a length beyond all memory", "5 mV, spacing 1 ns, every 1 s", "1:17 too-many-corners"],
    ["half a seed", "5 mV, spacing 1 us, seed 1.5", "1:17 no-count"],
  ])("%s", (_, words, place) => {
    expect(hiss(words)).toEqual([place]);
  });
  it("of the link that ships, less than nothing", () => {
    const text = `bring "shipped/link"\n${film("625/50, black")}use camera_link as cable joins camera, jack with hiss -5 mV
      resistor end jack -> ground 75 ohm`;
    const found = inspect(text).diagnostics.map((d) => [d.code, d.message]);
    const message = "the size of this noise is -5 mV, allowed is zero or more";
    expect(found).toEqual([["out-of-range", `in "shipped/link", line 21, column 47: ${message}`]]);
  });
});

describe("parts of the board", () => {
  const p = "supply p = 5 V\nsupply m = -5 V\n";
  it("an amplifier without rails: each that is missing", () => {
    const text = `${p}amplifier gain p -> out minus out, bandwidth 1 MHz`;
    expect(errors(text)).toEqual(["3:11 missing-property", "3:11 missing-property"]);
    expect(messages(text).join()).toMatch(/'high'.*'low'/);
    expect(errors(`${text}, high p`)).toEqual(["3:11 missing-property"]);
    expect(errors(`${text}, high p, low m`)).toEqual([]);
  });
  it("an amplifier without bandwidth, or with one of nothing", () => {
    const amplifier = (words: string) => errors(`${p}amplifier a p -> out minus out, high p, low m${words}`);
    expect(amplifier("")).toEqual(["3:11 missing-property"]);
    expect(amplifier(", bandwidth 0 Hz")).toEqual(["3:58 out-of-range"]);
    expect(amplifier(", bandwidth 1 MHz, slew -1 V/us")).toEqual(["3:70 out-of-range"]);
    expect(amplifier(", bandwidth 1 MHz, slew 1 V")).toEqual(["3:70 wrong-dimension"]);
    expect(amplifier(", bandwidth 1 MHz, reach -1 V")).toEqual(["3:71 out-of-range"]);
  });
  it("a one-shot shorter than zero, of no time, or without any", () => {
    const shot = (words: string) =>
      errors(`${p}oneshot shot p -> out ${words}\nresistor r out -> ground 1 kohm`);
    expect(shot("above 2.5 V, lasts -1 us")).toEqual(["3:42 out-of-range"]);
    expect(shot("lasts 0 s")).toEqual(["3:29 out-of-range"]);
    expect(shot("lasts 1 V")).toEqual(["3:29 wrong-dimension"]);
    expect(shot("above 2.5 V")).toEqual(["3:9 missing-property"]);
    expect(messages(`${p}oneshot shot p -> out lasts 0 s`)[0]).toContain("greater than zero");
  });
  it("a comparator with less than no hysteresis or delay", () => {
    const comparator = (words: string) => errors(`${p}comparator c p -> out low 0 V, ${words}`);
    expect(comparator("hysteresis -1 mV")).toEqual(["3:43 out-of-range"]);
    expect(comparator("delay -1 ns")).toEqual(["3:38 out-of-range"]);
  });
});

describe("cases", () => {
  const changed = (change: string) => `supply p = 5 V\n${film("625/50, black")}case "x" ${change}\n`;
  it.each([
    ["a value for a signal", "camera is 5 V", "4:20 change-form"],
    ["a waveform for a supply", "p is video of 625/50, black", "4:15 change-form"],
    ["a pulse for a supply", "p is pulse 0 V to 5 V, wide 1 us", "4:15 change-form"],
    ["a waveform for a part that has a value", "load is video of 625/50, black", "4:10 change-form"],
    ["nothing", "camera is", "4:10 change-form"],
    ["a level above white", "camera is video of 625/50, flat, level 120 %", "4:20 level-range"],
    ["a waveform of another dimension", "camera is pulse 0 A to 5 A, wide 1 us", "4:26 wrong-dimension"],
  ])("%s", (_, change, place) => {
    const found = errors(changed(change));
    expect(found[0]).toBe(place);
    // The low and the high level of a pulse of amperes are two mistakes.
    expect(found.length).toBeLessThanOrEqual(2);
  });
  it("beats that video has not, and beats of what is no video", () => {
    const check = (each: string) =>
      errors(`${film("625/50, black")}check "y" peak of camera each ${each} below 1 V`);
    for (const each of ["camera.feilds", "camera.frame", "load.fields", "camera.constructor"])
      expect(check(each)).toEqual(["3:31 unknown-place"]);
    for (const each of ["camera", "camera.lines", "camera.fields", "camera.frames", "camera.pulses"])
      expect(check(each)).toEqual([]);
  });
});

describe("rows 22, 26 and 27: ideal comparators", () => {
  const run = (text: string, until = "1 ms") => simulate(compile(text), { until });
  // Closed at 0.4 ms; before, its input rests.
  const ring = (parts: string) => `signal go = path 0 V at 0.4 ms, 5 V at 0.4 ms
    switch lock end -> start closed while go above 2.5 V
    resistor rest start -> ground 1 kohm
    ${parts}`;

  it.each([
    ["one inverter", ["inverter a start -> end"], ["a"]],
    [
      "two comparators and an inverter",
      [
        "comparator a start -> b1 threshold 2.5 V",
        "comparator b b1 -> c1 threshold 2.5 V",
        "inverter c c1 -> end",
      ],
      ["a", "b", "c"],
    ],
    [
      "in another order",
      [
        "inverter c c1 -> end",
        "comparator b b1 -> c1 threshold 2.5 V",
        "comparator a start -> b1 threshold 2.5 V",
      ],
      ["a", "b", "c"],
    ],
  ])("a loop that contradicts itself: %s", (_, parts, names) => {
    const done = run(ring(parts.join("\n")));
    expect([done.status, done.code, done.reached]).toEqual(["stopped", "chatter", 0.4e-3]);
    for (const name of names) expect(done.reason).toContain(`'${name}'`);
    expect(done.reason).not.toContain("'lock'");
    // What was computed is kept: up to the instant, where the output was still at its level of rest.
    const end = done.trace("end");
    expect(end.to).toBe(0.4e-3);
    expect(end.at(0.2e-3)).toBe(5);
  });

  it("a loop that does not contradict itself holds", () => {
    const done = run(
      ring("comparator a start -> mid threshold 2.5 V\ncomparator b mid -> end threshold 2.5 V"),
    );
    expect([done.status, done.reason]).toEqual(["complete", ""]);
  });

  it("chatter at a threshold: stopped with time, count and parts", () => {
    // The output drives the capacitor back across the threshold each time: ever-shorter intervals without hysteresis.
    const text = (
      words: string,
    ) => `comparator k x -> out threshold 0 V, low 5 V, high -5 V, output 0 ohm${words}
      resistor drive out -> x 1 kohm
      capacitor store x -> ground 1 nF, starts 1 V`;
    const done = run(text(""));
    expect([done.status, done.code]).toEqual(["stopped", "chatter"]);
    expect(done.reason).toMatch(/'k'.* 64 times/);
    // From 1 V towards −5 V with 1 µs: at the threshold after τ ln(6/5) (RC charge).
    expect(Math.abs(done.reached - 1e-6 * Math.log(6 / 5))).toBeLessThan(1e-9);
    const x = done.trace("x");
    expect(x.to).toBe(done.reached);
    expect(Math.abs(x.at(0.1e-6) - (-5 + 6 * Math.exp(-0.1)))).toBeLessThan(1e-4);
    // With hysteresis it swings, and ends.
    expect(run(text(", hysteresis 100 mV"), "20 us").status).toBe("complete");
  });

  it("many at one instant are one instant, whatever their order", () => {
    const parts = [
      "comparator a s -> a1 threshold 2.5 V",
      "inverter b a1 -> b1",
      "comparator c b1 -> c1 threshold 2.5 V",
      "oneshot d a1 -> d1 lasts 3 us",
      "inverter e d1 -> e1",
      "comparator f s -> f1 minus e1, threshold -2 V",
    ];
    const traces = [parts, parts.toReversed()].map((list) => {
      const done = run(
        `signal s = pulse 0 V to 5 V, wide 10 us, every 40 us, first 5 us\n${list.join("\n")}`,
        "100 us",
      );
      expect(done.reason).toBe("");
      return ["a1", "b1", "c1", "d1", "e1", "f1"].map((name) => {
        const { time, value } = done.trace(name);
        return { time: Array.from(time), value: Array.from(value) };
      });
    });
    expect(traces[0]).toEqual(traces[1]);
    // All of them stand as logic says just after the edge at 5 µs.
    const at = (i: number) => {
      const { time, value } = traces[0][i];
      return value[time.lastIndexOf(5e-6)];
    };
    expect([0, 1, 2, 3, 4].map(at)).toEqual([5, 0, 0, 5, 0]);
  });
});
