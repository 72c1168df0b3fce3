// The verbs `size` and `vary` from outside: what they print, their exit statuses, the files they write. Values against
// C = I t / V and V = I t / C (Millman & Taub 1965).
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { failing, file, folder, rampwright, sound, stopping, wrong } from "./running.js";

// `five volts` is V = I t / C at 50 us after the ramp begins; 1 mA into 10 nF meets it.
const asks = (statement: string) => `${sound}${statement}\n`;
const good = asks('find hold from 1 nF to 100 nF in E12 for "five volts"');

describe("size", () => {
  it("prints the answer, and what to buy for it", () => {
    const { status, out } = rampwright([
      "size",
      file(asks('find hold from 1 nF to 9 nF in E12 for "one volt"')),
    ]);
    // Only beyond the range: 10 nF.
    expect(status).toBe(1);
    expect(out).toContain('find hold for "one volt": out of range');
    expect(out).toMatch(/beyond the range +10 nF +1 V +meets, outside the range/);
    expect(out).toMatch(/best in the range +9 nF +1.111 V +MISSES/);
    const found = rampwright(["size", file(good.replace("is 5 V", "is 4.5 V"))]);
    expect(found.status).toBe(0);
    // 1 mA * 50 us / 4.5 V = 11.111 nF: 10 nF below, 12 nF above; twice 5.6 nF side by side is 11.2 nF.
    expect(found.out).toMatch(/exact +11.1111 nF +4.5 V +meets/);
    expect(found.out).toMatch(/E12 below +10 nF +5 V +MISSES/);
    expect(found.out).toMatch(/E12 above +12 nF +4.167 V +MISSES/);
    expect(found.out).toMatch(/5.6 nF and 5.6 nF in parallel +11.2 nF +4.464 V +meets/);
    expect(found.err).toBe("");
  });

  it.each<[string, string, number]>([
    ["an answer", good, 0],
    ["no answer", asks('find hold from 1 nF to 2 nF for "five volts"').replace("5 V", "500 V"), 1],
    ["no effect", asks('find plus12 from 11 V to 13 V for "five volts"'), 1],
    ["one of two without an answer", `${good}find plus12 from 11 V to 13 V for "five volts"\n`, 1],
    ["a wrong design", wrong, 2],
    ["nothing to find", failing, 2],
    ["runs that stop", `${stopping}find hold from 1 nF to 100 nF for "five volts"\n`, 3],
  ])("ends as its help says: %s", (_, text, status) => {
    expect(rampwright(["size", "-"], { input: text }).status).toBe(status);
  });

  it("--json: one object, all finite or null", () => {
    const { out, err, status } = rampwright(["size", "-", "--json"], { input: good });
    expect([status, err]).toEqual([0, ""]);
    const { title, sizes, schemaVersion } = JSON.parse(out);
    expect([title, schemaVersion]).toEqual(["Nest box, a bare ramp", 1]);
    expect(sizes).toHaveLength(1);
    expect(sizes[0]).toMatchObject({
      status: "found",
      unknowns: [{ name: "hold", unit: "F", series: "E12" }],
    });
    expect(sizes[0].answers[0].values[0]).toBeCloseTo(10e-9, 14);
    expect(sizes[0].answers[0].preferred[0].values[0]).toBe(10e-9);
    const none = rampwright(["size", "-", "--json"], {
      input: asks('find hold from 1 nF to 2 nF for "never"').replace(
        "check",
        'check "never" crossing of ramp rising through 600 V below 1 s\ncheck',
      ),
    });
    expect(JSON.parse(none.out).sizes[0]).toMatchObject({ status: "none", answers: [] });
    expect(JSON.parse(rampwright(["size", "-", "--json"], { input: wrong }).out).diagnostics[0].code).toBe(
      "wrong-dimension",
    );
  });

  it("--in: a series for values that name none, and an unknown one", () => {
    const plain = asks('find hold from 1 nF to 100 nF for "five volts"').replace("is 5 V", "is 4.5 V");
    expect(rampwright(["size", "-"], { input: plain }).out).not.toContain("below");
    expect(rampwright(["size", "-", "--in", "E24"], { input: plain }).out).toMatch(/E24 below +11 nF/);
    const { status, err } = rampwright(["size", "-", "--in", "E25"], { input: plain });
    expect(status).toBe(2);
    expect(err).toContain("--in: there is no 'E25' (did you mean 'E24'?)");
  });

  it("says what to write where nothing is to be found", () => {
    const { err, out } = rampwright(["size", "-"], { input: sound });
    expect(out).toBe("");
    expect(err).toContain("find timing from 1 nF to 100 nF in E12 for");
  });
});

describe("vary", () => {
  const along = ["--value", "hold", "--from", "5 nF", "--to", "20nF"];
  it("prints a table of what the checks measure", () => {
    const { status, out, err } = rampwright(["vary", "-", ...along, "--spacing", "E6"], { input: sound });
    expect([status, err]).toEqual([0, ""]);
    const rows = out
      .trimEnd()
      .split("\n")
      .slice(2)
      .map((line) => line.trim().split(/ {2,}/));
    expect(rows).toEqual([
      ["hold", "one volt", "five volts"],
      ["6.8 nF", "1.471 V", "FAIL", "7.353 V", "FAIL"],
      ["10 nF", "1 V", "pass", "5 V", "pass"],
      ["15 nF", "666.7 mV", "FAIL", "3.333 V", "FAIL"],
    ]);
  });

  it("writes comma-separated values, JSON and pictures", () => {
    const path = folder();
    const write = (name: string, ...more: string[]) => {
      const out = join(path, name);
      const done = rampwright(["vary", "-", ...along, "--points", "4", ...more, "--out", out], {
        input: sound,
      });
      expect([done.status, done.out]).toEqual([0, ""]);
      return readFileSync(out, "utf8");
    };
    const [head, ...rows] = write("v.csv", "--spacing", "linear").trimEnd().split("\r\n");
    expect(head).toBe("hold (F),one volt (V),five volts (V)");
    expect(rows.map((r) => Number(r.split(",")[0]))).toEqual([5e-9, 1e-8, 1.5e-8, 2e-8]);
    for (const row of rows) {
      const [c, , five] = row.split(",").map(Number) as [number, number, number];
      expect(five / (50e-9 / c)).toBeCloseTo(1, 6);
    }
    const data = JSON.parse(write("v.json", "--traces", "ramp"));
    expect(data.checks.map((c: { measured: number[] }) => c.measured.length)).toEqual([4, 4]);
    expect(data.traces[0].runs).toHaveLength(4);
    expect(data.traces[0].runs[0].time.length).toBe(data.traces[0].runs[0].value.length);
    expect(write("v.svg")).toContain("one volt: value of ramp");
    expect(write("t.svg", "--traces", "ramp,hold.current")).toContain("hold.current");
  });

  it("--json, another case, checks by name, and a run that stops", () => {
    const text = `${sound}case "weak" feed is 0.5 mA\ncheck "half" value of ramp at 60 us above 2 V\n`;
    const json = (...more: string[]) =>
      JSON.parse(
        rampwright(["vary", "-", ...along, "--points", "2", "--json", ...more], { input: text }).out,
      );
    expect(json("--case", "weak").checks.map((c: { name: string }) => c.name)).toEqual(["half"]);
    expect(json("--checks", "half, five volts").checks.map((c: { name: string }) => c.name)).toEqual([
      "half",
      "five volts",
    ]);
    const stopped = rampwright(["vary", "-", ...along, "--points", "2"], { input: stopping });
    expect(stopped.status).toBe(3);
    expect(stopped.err).toContain("hold 5 nF: the run stopped early");
    // At 20 us, before the stop, 1 mA has put 2 V on 5 nF; at 60 us, behind it, there is nothing.
    expect(stopped.out).toMatch(/5 nF +2 V +FAIL +none +FAIL/);
  });

  it.each<[string, string[], RegExp]>([
    ["no value", ["--from", "1", "--to", "2"], /--value/],
    ["an unknown value", ["--value", "hodl", "--from", "1nF", "--to", "2nF"], /did you mean 'hold'/],
    ["no number of points", [...along, "--points", "many"], /points/],
    ["an unknown ending", [...along, "--out", "v.txt"], /\.csv, \.json, \.svg or \.png/],
    ["traces as a table", [...along, "--traces", "ramp"], /--traces: they need --json/],
    ["a falling range", ["--value", "hold", "--from", "2nF", "--to", "1nF"], /does not rise/],
  ])("refuses %s", (_, words, message) => {
    const { status, err, out } = rampwright(["vary", "-", ...words], { input: sound });
    expect(status).toBe(2);
    expect(err).toMatch(message);
    expect(out).toBe("");
    expect(existsSync("v.txt")).toBe(false);
  });
});
