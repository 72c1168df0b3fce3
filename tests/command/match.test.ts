// The verb `match` as a process of its own, with the example's captures: closed forms of the sweep, said so in their headers.
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { file, folder, rampwright } from "./running.js";

const ramp = (name: string) => ["--capture", `examples/captures/${name}.csv`, "--of", "ramp"];
const line = ["match", "examples/line.ramp"];

describe("match", () => {
  it("0: a good board, with the timing capacitor fitted, as text and as JSON", () => {
    const { status, out } = rampwright([...line, ...ramp("good"), "--fit", "timing"]);
    expect(status).toBe(0);
    expect(out).toContain("All 3 checks that the captures tell hold in them.");
    const told = JSON.parse(rampwright([...line, ...ramp("good"), "--fit", "timing", "--json"]).out);
    const [timing] = told.fit.values;
    // Made with 15 nF.
    expect(Math.abs(timing.value - 15e-9)).toBeLessThan(4 * timing.uncertainty);
    expect(told.pass).toBe(true);
    expect(told.captures[0].samples).toBe(1600);
    expect(told.captures[0].captured).toBeUndefined();
  });

  it("1: another capacitor, and an open guard, fail a check in what was captured", () => {
    const timing = rampwright([...line, ...ramp("timing"), "--fit", "timing", "--json"]);
    expect(timing.status).toBe(1);
    const { fit } = JSON.parse(timing.out);
    expect(Math.abs(fit.values[0].value - 18e-9)).toBeLessThan(4 * fit.values[0].uncertainty);
    const unplugged = ["--case", "camera unplugged", "--delay", "4 ms"];
    expect(rampwright([...line, ...ramp("nosync"), ...unplugged]).status).toBe(0);
    const guard = rampwright([...line, ...ramp("guard"), ...unplugged]);
    expect([guard.status, guard.out.includes('"guard holds"')]).toEqual([1, true]);
  });

  it("draws the capture over its prediction", () => {
    const out = join(folder(), "match.svg");
    expect(rampwright([...line, ...ramp("good"), "--out", out]).status).toBe(0);
    const svg = readFileSync(out, "utf8");
    for (const word of ["captured", "predicted", "residual"]) expect(svg).toContain(word);
  });

  it("takes the captures that the design names, from its folder alone", () => {
    const path = file("", "board.ramp");
    const text = readFileSync(new URL("../../examples/line.ramp", import.meta.url), "utf8");
    const named = text.replace("run for 6 ms", 'run for 6 ms\ncapture "ramp.csv" of ramp\n');
    writeFileSync(
      join(path, "..", "ramp.csv"),
      readFileSync(new URL("../../examples/captures/good.csv", import.meta.url)),
    );
    writeFileSync(path, named);
    const found = rampwright(["match", path]);
    expect([found.status, found.out.includes("ramp.csv over ramp")]).toEqual([0, true]);
    // It hinders no other verb.
    expect(rampwright(["check", path, "--workers", "2"]).status).toBe(0);
    // A check that is asked of it is judged by 'check', in the case where it stands.
    const asked = (limit: string) =>
      named.replace("of ramp\n", `of ramp\ncheck "as built" peak of ramp is ${limit} in capture\n`);
    writeFileSync(path, asked("3.95 V +- 5 %"));
    const built = rampwright(["check", path, "--workers", "2"]);
    expect(built.status).toBe(0);
    expect(built.out).toMatch(/as built .* pass {2,}in ramp\.csv/);
    writeFileSync(path, asked("3 V +- 5 %"));
    const off = rampwright(["check", path, "--workers", "1", "--json"]);
    expect(off.status).toBe(1);
    const checks: { name: string; pass: boolean; capture?: string }[] = JSON.parse(off.out).checks;
    expect(checks.find((c) => c.name === "as built")).toMatchObject({ pass: false, capture: "ramp.csv" });
    expect(rampwright(["check", path, "--reporter", "github"]).out).toContain("title=as built");
    writeFileSync(path, named.replace("ramp.csv", "../ramp.csv"));
    const outside = rampwright(["match", path]);
    expect([outside.status, outside.err.includes("unknown-capture")]).toEqual([2, true]);
  });

  it.each([
    ["no capture at all", []],
    ["a file that is not there", ["--capture", "nowhere.csv", "--of", "ramp"]],
    ["what it shows is not said", ["--capture", "examples/captures/good.csv"]],
    ["a place that is not there", ["--capture", "examples/captures/good.csv", "--of", "rump"]],
    ["a channel that is not there", [...ramp("good"), "--channel", "7"]],
    ["a word for an edge", [...ramp("good"), "--edge", "high"]],
    ["a trigger without a channel", [...ramp("good"), "--edge", "2.5 V rising of gate"]],
    [
      "a trigger in a channel that is not there",
      [...ramp("good"), "--edge", "2.5 V rising of gate in channel 2"],
    ],
    ["an edge and a delay", [...ramp("good"), "--edge", "2.5 V rising", "--delay", "1 us"]],
    ["what is no value", [...ramp("good"), "--fit", "timming"]],
    ["a range without an end", [...ramp("good"), "--fit", "timing from 1 nF"]],
    ["said of no capture", ["--channel", "1"]],
    ["no file of pictures", [...ramp("good"), "--out", "match.txt"]],
    ["a design for a capture", ["--capture", "examples/line.ramp", "--of", "ramp"]],
  ])("2: %s, with nothing left behind", (_, words) => {
    const { status, out, err } = rampwright([...line, ...words]);
    expect([status, out]).toEqual([2, ""]);
    expect(err).toContain("rampwright: ");
    expect(existsSync("match.txt")).toBe(false);
  });

  it("3: the run stops early", () => {
    const stopped = rampwright([...line, ...ramp("good"), "--steps", "40"]);
    expect([stopped.status, stopped.out.includes("Stopped early")]).toEqual([3, true]);
  });
});
