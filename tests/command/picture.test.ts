// The verb `picture`, and the screens that `check` and `report` leave: files, statuses, words.
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { crc32, inflateSync } from "node:zlib";
import { describe, expect, test } from "vitest";
import { file, folder, rampwright } from "./running.js";

/** One field of 20 lines: light in the right half of the upper half, blanked elsewhere. */
const screenful = `title "Nest box, a small screen"
signal lines = path 0 V at 0 s, 4 V at 60 us, 0 V at 64 us, every 64 us
signal fields = path 0 V at 0 s, 4 V at 1.2 ms, 0 V at 1.28 ms, every 1.28 ms
signal camera = pulse 0 V to 1 V, wide 30 us, first 30 us, every 64 us, stops 640 us
tube screen camera -> ground across lines, down fields, left 0 V, right 4 V, top 0 V, bottom 4 V, full 1 V
run for 1.28 ms
`;

/** A PNG file by its specification (ISO/IEC 15948): 8 bits of grey, no filter or the five that there are. */
function decoded(bytes: Buffer): { width: number; height: number; grey: Uint8Array } {
  expect([...bytes.subarray(0, 8)]).toEqual([137, 80, 78, 71, 13, 10, 26, 10]);
  const data: Buffer[] = [];
  let [width, height, last] = [0, 0, ""];
  for (let at = 8; at < bytes.length; ) {
    const length = bytes.readUInt32BE(at);
    last = bytes.toString("latin1", at + 4, at + 8);
    const body = bytes.subarray(at + 8, at + 8 + length);
    expect(bytes.readUInt32BE(at + 8 + length)).toBe(crc32(bytes.subarray(at + 4, at + 8 + length)));
    if (last === "IHDR") {
      [width, height] = [body.readUInt32BE(0), body.readUInt32BE(4)];
      // Depth 8, greyscale, deflate, the one set of filters, no interlace.
      expect([...body.subarray(8)]).toEqual([8, 0, 0, 0, 0]);
    }
    if (last === "IDAT") data.push(body);
    at += 12 + length;
  }
  expect(last).toBe("IEND");
  const raw = inflateSync(Buffer.concat(data));
  expect(raw.length).toBe(height * (width + 1));
  const grey = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    // Nothing but filter 0, "none", which needs no undoing.
    expect(raw[y * (width + 1)]).toBe(0);
    grey.set(raw.subarray(y * (width + 1) + 1, (y + 1) * (width + 1)), y * width);
  }
  return { width, height, grey };
}

describe("picture", () => {
  test("writes a PNG of what the tube shows, with the cautions", () => {
    const out = join(folder(), "screen.png");
    const done = rampwright(["picture", "-", "--out", out, "--width", "80", "--height", "60"], {
      input: screenful,
    });
    expect({ status: done.status, out: done.out }).toEqual({ status: 0, out: "" });
    expect(done.err).toContain("screen.png: 80 by 60, 0 s to 1.28 ms, the last whole field\n");
    expect(done.err).toContain("CAUTION near a picture tube");
    const { width, height, grey } = decoded(readFileSync(out));
    expect([width, height]).toEqual([80, 60]);
    const lit = (x0: number, x1: number, y0: number, y1: number) => {
      let most = 0;
      for (let y = y0; y < y1; y++) for (let x = x0; x < x1; x++) most = Math.max(most, grey[y * width + x]);
      return most;
    };
    // Lit from 30 to 60 of 60 µs, to the tenth line of 18.75.
    expect(lit(42, 80, 0, 31)).toBeGreaterThan(150);
    expect(lit(0, 38, 0, 60)).toBe(0);
    expect(lit(0, 80, 34, 60)).toBe(0);
  });

  test("is the same file again", () => {
    const [a, b] = ["a.png", "b.png"].map((name) => {
      const out = join(folder(), name);
      expect(rampwright(["picture", "-", "--out", out], { input: screenful }).status).toBe(0);
      return readFileSync(out);
    });
    expect(a).toEqual(b);
    expect(decoded(a)).toMatchObject({ width: 768, height: 576 });
  });

  test("says where a run has fewer fields than were asked for, and nothing where it has as many", () => {
    const told = (fields: string) =>
      rampwright(["picture", "-", "--out", join(folder(), "x.png"), "--fields", fields], { input: screenful })
        .err;
    expect(told("50")).toContain(
      "; 50 were asked for, but the time shown has no more whole ones: a later --until gives them",
    );
    expect(told("1")).toContain("1 field of");
    expect(told("1")).not.toContain("asked for");
  });

  test("takes a case, a tube and a time", () => {
    const two = `${screenful}tube other camera -> ground across fields, down lines, left 0 V, right 4 V, top 0 V, bottom 4 V, full 1 V
case "upside down" camera scaled -1
`;
    const grey = (...words: string[]) => {
      const out = join(folder(), "x.png");
      const size = ["--width", "40", "--height", "30"];
      const done = rampwright(["picture", "-", "--out", out, ...size, ...words], { input: two });
      expect(done.status).toBe(0);
      return decoded(readFileSync(out)).grey;
    };
    const most = (of: Uint8Array) => Math.max(...of);
    expect(most(grey("--tube", "screen"))).toBeGreaterThan(100);
    expect(grey("--tube", "screen")).not.toEqual(grey("--tube", "other"));
    expect(most(grey("--tube", "screen", "--case", "upside down"))).toBe(0);
    expect(most(grey("--tube", "screen", "--from", "700us", "--to", "1.2 ms"))).toBe(0);
  });

  test.each([
    ["no tube", screenful.replace(/tube .*\n/, ""), [], 2, "tube: the design has no tube"],
    ["an unknown tube", screenful, ["--tube", "scren"], 2, "did you mean 'screen'?"],
    ["an unknown case", screenful, ["--case", "none"], 2, 'no case is called "none"'],
    ["width 0", screenful, ["--width", "0"], 2, "width: a picture has from 1 to 10000 whole pixels"],
    ["width NaN", screenful, ["--width", "NaN"], 2, "--width: a whole number"],
    ["a huge height", screenful, ["--height", "100000000"], 2, "height: a picture has"],
    ["an empty time", screenful, ["--from", "1 ms", "--to", "1 ms"], 2, "from: the time to show is empty"],
    ["a wrong design", "tube", [], 2, "error"],
  ])("%s is told, and nothing is written", (_, input, words, status, told) => {
    const out = join(folder(), "x.png");
    const done = rampwright(["picture", "-", "--out", out, ...words], { input });
    expect(done.status).toBe(status);
    expect(done.err).toContain(told);
    expect(done.err).not.toMatch(/\n\s+at /);
    expect(existsSync(out)).toBe(false);
  });

  test("a tube that is not there is told before the run", () => {
    const out = join(folder(), "x.png");
    const input = screenful.replace(/tube .*\n/, "");
    const { err } = rampwright(["picture", "-", "--out", out, "--steps", "2"], { input });
    expect(err).toMatch(/^rampwright: --tube: the design has no tube \(give it one: 'tube [^\n]*\)\n$/);
  });

  test("a name that does not end in .png is 2, a folder that is not there 3", () => {
    const jpg = rampwright(["picture", "-", "--out", "screen.jpg"], { input: screenful });
    expect(jpg).toMatchObject({ status: 2, err: expect.stringContaining("a file to write ends in .png") });
    const nowhere = rampwright(["picture", "-", "--out", join(folder(), "no", "x.png")], {
      input: screenful,
    });
    expect(nowhere).toMatchObject({
      status: 3,
      err: expect.stringContaining("there is no such file or folder"),
    });
  });

  test("a run that stops early is 3, and what it drew is there", () => {
    const out = join(folder(), "x.png");
    const input = `${screenful}supply rail = 5 V\nswitch bridge rail -> ground closed after 600 us\n`;
    const done = rampwright(["picture", "-", "--out", out], { input });
    expect(done.status).toBe(3);
    expect(done.err).toContain("stopped at 600 µs");
    expect(decoded(readFileSync(out)).grey.some((g) => g > 100)).toBe(true);
  });
});

describe("check and report", () => {
  const input = `${screenful}case "dark" camera scaled 0\ncheck "there" peak of lines above 3.9 V in every case\n`;
  test("--pictures leaves the screen of every run", () => {
    const path = folder();
    const done = rampwright(["check", file(input, "small.ramp"), "--pictures", path]);
    expect(done.status).toBe(0);
    expect(readdirSync(path).sort()).toEqual([
      "small-dark-screen.png",
      "small-dark.svg",
      "small-screen.png",
      "small.svg",
    ]);
    const most = (name: string) =>
      Math.max(...decoded(readFileSync(join(path, name))).grey.subarray(0, 100_000));
    expect(most("small-screen.png")).toBeGreaterThan(100);
    expect(most("small-dark-screen.png")).toBe(0);
  });

  test("the page has the screens in it", () => {
    const out = join(folder(), "x.html");
    expect(rampwright(["report", "-", "--out", out], { input }).status).toBe(0);
    const page = readFileSync(out, "utf8");
    const found = [...page.matchAll(/<img [^>]*src="data:image\/png;base64,([A-Za-z0-9+/=]+)"/g)];
    expect(found).toHaveLength(1);
    for (const [, bytes] of found) expect(decoded(Buffer.from(bytes, "base64")).width).toBe(576);
    expect(page).toContain("img-src data:");
    expect(page).toContain("The picture on screen, 0 s to 1.28 ms, the last whole field<");
    // Without any light there are words instead of a black rectangle.
    expect(page).toContain(
      "0 s to 1.28 ms, the last whole field: dark, as the drive stays below cut-off</p>",
    );
  });

  test("a tube in a block that is brought in brings the cautions, though the text does not speak of it", () => {
    const brought = file(
      `block glass joins drive, x, y
tube bottle drive -> ground across x, down y, left 0 V, right 4 V, top 0 V, bottom 4 V, full 1 V
end
`,
      "glass.ramp",
    );
    const text = `bring "glass.ramp"
signal lines = path 0 V at 0 s, 4 V at 60 us, 0 V at 64 us, every 64 us
use glass as front joins lines, lines, lines
check "there" peak of lines above 3.9 V
`;
    const done = rampwright(["check", "-"], { input: text, cwd: join(brought, "..") });
    expect(done.status).toBe(0);
    expect(done.err).toContain("CAUTION near a picture tube");
  });
});
