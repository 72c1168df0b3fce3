// The verb `diagnose` as a process: its exit statuses, what it prints, the table that it keeps.
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { file, folder, rampwright } from "./running.js";

// 12 V over 1 kohm and 1 kohm: 6 V; with the upper short or the lower open 12 V, with the rail's current 12 mA or none.
const divider = `supply rail = 12 V
resistor upper rail -> m 1 kohm
resistor lower m -> ground 1 kohm
run for 1 ms
case "battery" rail is 9 V
`;

const diagnosed = (path: string, ...words: string[]) => rampwright(["diagnose", path, ...words]);
const told = (path: string, ...words: string[]) => JSON.parse(diagnosed(path, "--json", ...words).out);

describe("diagnose", () => {
  it("names the fault, keeps its table beside the design, and takes it from there while the design is the same", () => {
    const path = file(divider, "divider.ramp");
    const kept = path.replace(/\.ramp$/, ".symptoms.json");
    const first = diagnosed(
      path,
      "--reading",
      "mean of m 12.0 V",
      "--reading",
      "mean of rail.current 0.0 mA",
    );
    expect(first.status).toBe(0);
    expect(first.out).toMatch(/^ +100 % {2}lower open$/m);
    expect(first.err).toContain(kept);
    const table = readFileSync(kept, "utf8");
    // A reading in the text changes no circuit.
    writeFileSync(path, `${divider}reading "mean of m" 9.0 V\n`);
    const again = diagnosed(path);
    expect(again.err).not.toContain(kept);
    expect(readFileSync(kept, "utf8")).toBe(table);
    expect(again.out).toMatch(/mean of m in case "battery" +9 V/);
    // Another design makes another table, and so does a phrase that it has nothing for; that one is kept with it.
    writeFileSync(path, divider.replace("12 V", "10 V"));
    expect(diagnosed(path).err).toContain(kept);
    expect(readFileSync(kept, "utf8")).not.toBe(table);
    const phrase = ["--reading", "rms of m after 0.5 ms 5.0 V"];
    expect(diagnosed(path, ...phrase).err).toContain(kept);
    expect(diagnosed(path, ...phrase).err).not.toContain(kept);
    expect(diagnosed(path, "--reading", "mean of m 5.0 V").err).not.toContain(kept);
  });

  it("makes a table of another version anew: it may measure otherwise", () => {
    const path = file(divider, "divider.ramp");
    const kept = path.replace(/\.ramp$/, ".symptoms.json");
    const reading = ["--reading", "mean of m 12.0 V"];
    diagnosed(path, ...reading);
    const table = readFileSync(kept, "utf8");
    writeFileSync(kept, JSON.stringify({ ...JSON.parse(table), version: "0.0.0" }));
    expect(diagnosed(path, ...reading).err).toContain("or another version: it is made anew");
    expect(readFileSync(kept, "utf8")).toBe(table);
    expect(diagnosed(path, ...reading).err).not.toContain(kept);
  });

  it("makes a table of another text anew and says so, whatever that one measured", () => {
    const path = file(divider, "divider.ramp");
    expect(diagnosed(path, "--reading", "rms of m after 0.5 ms 6.0 V").status).toBe(0);
    // The place that was measured is gone.
    writeFileSync(path, divider.replaceAll(" m ", " n "));
    const { status, err } = diagnosed(path, "--reading", "mean of n 6.0 V");
    expect([status, err]).toEqual([0, expect.stringContaining("is of another text")]);
  });

  it("gives the same bits by one worker and by two", () => {
    const path = file(divider, "divider.ramp");
    const [one, two] = ["1", "2"].map((n) => {
      const kept = join(folder(), "table.json");
      expect(diagnosed(path, "--workers", n, "--table", kept).status).toBe(0);
      return readFileSync(kept, "utf8");
    });
    expect(two).toBe(one);
    expect(existsSync(path.replace(/\.ramp$/, ".symptoms.json"))).toBe(false);
  });

  it("takes readings with what they may be off, and the case they were taken in", () => {
    const path = file(divider, "divider.ramp");
    const found = told(
      path,
      "--reading",
      '"mean of m" 9 V +- 100 mV in case "battery"',
      "--reading",
      "mean of m 12 V +- 1 %",
    );
    expect(found.readings).toEqual([
      { what: "mean of m", value: "9 V", resolution: 0.2, case: "battery" },
      { what: "mean of m", value: "12 V", resolution: expect.closeTo(0.24, 12) },
    ]);
    expect(found.explained).toBe(true);
    expect(found.candidates[0].faults).toEqual([
      { name: "lower", kind: "open" },
      { name: "upper", kind: "short" },
    ]);
    expect(found.next[0].what).toMatch(/ of rail\.current$/);
  });

  // Of the closed form of the sweep, said so in their headers.
  const sampled = (name: string) => ["--capture", `examples/captures/${name}.csv`, "--of", "ramp"];
  const lineIn = (more = "") => {
    const text = readFileSync(new URL("../../examples/line.ramp", import.meta.url), "utf8");
    return file(text.replace("run for 6 ms", `run for 6 ms\n${more}`), "line.ramp");
  };

  it("takes a capture for readings: of a good board, of one with another capacitor, of one without its guard", () => {
    const path = lineIn();
    const unplugged = ["--case", "camera unplugged"];
    const good = told(path, ...sampled("good"));
    expect(good.readings.map((r: { what: string }) => r.what)).toEqual(
      ["floor", "peak", "mean", "swing"].map((word) => `${word} of ramp`),
    );
    expect(good.candidates[0].faults).toContainEqual({ name: "", kind: "none" });
    // Made with 18 nF in place of 15 nF: within no tolerance, and less than counts as off by a factor.
    const timing = told(path, ...sampled("timing"));
    expect(timing.candidates[0].faults).not.toContainEqual({ name: "", kind: "none" });
    const guard = told(path, ...sampled("guard"), ...unplugged);
    expect(guard.candidates[0].faults).toContainEqual({ name: "guard", kind: "open" });
    expect(guard.readings[0].case).toBe("camera unplugged");
    expect(told(path, ...sampled("halted"), ...unplugged).candidates[0].faults).toContainEqual({
      name: "",
      kind: "none",
    });
  });

  it("takes the captures that the design names, together with other readings", () => {
    const path = lineIn('capture "ramp.csv" of ramp in case "camera unplugged"\n');
    writeFileSync(
      join(path, "..", "ramp.csv"),
      readFileSync(new URL("../../examples/captures/guard.csv", import.meta.url)),
    );
    const found = told(path, "--reading", "peak of gate 5.0 V");
    expect(found.readings.map((r: { case?: string }) => r.case)).toEqual([
      undefined,
      ...Array.from({ length: 4 }, () => "camera unplugged"),
    ]);
    expect(found.candidates[0].faults).toContainEqual({ name: "guard", kind: "open" });
  });

  it("ends with 1 where nothing single explains the readings, and says which contradict each other", () => {
    const path = file(divider, "divider.ramp");
    // Above the rail.
    const over = diagnosed(path, "--reading", "mean of m 15.0 V");
    expect(over.status).toBe(1);
    expect(over.out).toContain("Nothing single explains these readings.");
    const both = diagnosed(path, "--reading", "mean of m 6.0 V", "--reading", "mean of m 2.0 V");
    expect(both.status).toBe(1);
    expect(both.out).toContain("These readings contradict each other: mean of m 6 V and mean of m 2 V");
  });

  it("advises where to look first where nothing has been read", () => {
    const path = file(divider, "divider.ramp");
    const { status, out } = diagnosed(path);
    expect(status).toBe(0);
    expect(out).toMatch(/^Look first at +tells$/m);
  });

  it.each([
    [
      "a phrase that measures nothing",
      ["--reading", "maen of m 6 V"],
      /there is no measure .maen. .did you mean .mean/,
    ],
    ["a place that is not there", ["--reading", "mean of n 6 V"], /no place or part is called 'n'/],
    ["a reading without a figure", ["--reading", "mean of m"], /no phrase with a figure behind it/],
    ["a current against a voltage", ["--reading", "mean of m 6 mA"], /is a current/],
    [
      "a case that is not there",
      ["--reading", 'mean of m 6 V in case "batery"'],
      /no case is called "batery"/,
    ],
    ["a capture of something that is not said", ["--capture", "examples/captures/good.csv"], /--of/],
    [
      "a capture of a place that is not there",
      ["--capture", "examples/captures/good.csv", "--of", "n"],
      /no place or part is called 'n'/,
    ],
    [
      "a capture of volts against a current",
      ["--capture", "examples/captures/good.csv", "--of", "rail.current"],
      /is in V, but 'rail.current' is in A/,
    ],
    ["a capture that is not there", ["--capture", "nowhere.csv", "--of", "m"], /cannot be read/],
    ["a case without a capture", ["--case", "battery"], /it is said of a capture/],
    [
      "a capture of a case that is not there",
      ["--capture", "examples/captures/good.csv", "--of", "m", "--case", "batery"],
      /no case is called "batery"|batery/,
    ],
    ["a table too large", ["--most", "3"], /are allowed/],
    ["a part that is not there", ["--parts", "uper"], /no part 'uper'/],
  ])("ends with 2: %s", (_, words, message) => {
    const { status, out, err } = diagnosed(file(divider, "divider.ramp"), ...words);
    expect([status, out]).toEqual([2, ""]);
    expect(err).toMatch(message);
  });

  it("writes over no file that is no table, and ends with 3 where it cannot keep one", () => {
    const path = file(divider, "divider.ramp");
    const own = path.replace(/\.ramp$/, ".symptoms.json");
    writeFileSync(own, '{"mine":1}');
    const { status, err } = diagnosed(path);
    expect(status).toBe(2);
    expect(err).toContain("is no table of symptoms");
    expect(readFileSync(own, "utf8")).toBe('{"mine":1}');
    expect(diagnosed(path, "--table", join(folder(), "no", "such", "table.json")).status).toBe(3);
  });
});
