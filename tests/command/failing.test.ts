// The verbs `stress` and `faults` from outside: what they print and their exit statuses. Figures: 1 mA into 10 nF for 90 us is
// 9 V (Millman & Taub 1965); 5 V across 5 ohm is an ampere.
import { spawn } from "node:child_process";
import { describe, expect, it } from "vitest";
import { failing, file, program, rampwright, sound, stopping, wrong } from "./running.js";

const hard = sound
  .replace("closed before 10 us", "closed from 70 us to 80 us, on 5 ohm, rated 2 A peak, rated 10 mW")
  .replace("run for 100 us", "run for 100 us, from rest")
  .replace("is 1 V", "is 2 V")
  .replace("is 5 V", "is 6 V");
const weak = hard.replace("rated 2 A peak", "rated 1 A peak");

describe("stress", () => {
  it("prints what is asked of each part, and the ratings, the most used first", () => {
    const { status, out, err } = rampwright(["stress", "-"], { input: hard });
    expect(err).toBe("");
    // 7 V at 70 us, across 5 ohm: 1.4 A; the energy is 0.5 · 10 nF · 49 V² = 245 nJ in 100 us.
    expect(out).toMatch(/reset +switch .* 1\.4 A +70 µs/);
    expect(out).toMatch(/reset +2 A peak +1\.4 A +70 µs +70 % +pass/);
    expect(out).toMatch(/reset +10 mW mean +2\.4\d mW +24\.\d % +pass/);
    expect(out.indexOf("2 A peak")).toBeLessThan(out.indexOf("10 mW mean"));
    expect(status).toBe(0);
  });

  it.each<[string, string, string[], number]>([
    ["a rating that does not hold", weak, [], 1],
    ["none at all", sound, [], 0],
    ["a wrong design", wrong, [], 2],
    ["an unknown case", hard, ["--case", "dark"], 2],
    ["a stretch that is none", hard, ["--after", "1 s"], 2],
    ["a run that stops", stopping, [], 3],
  ])("ends as its help says: %s", (_, text, words, status) => {
    expect(rampwright(["stress", "-", ...words], { input: text }).status).toBe(status);
  });

  it("--json, a case, a stretch", () => {
    const text = `${weak}case "more" feed is 2 mA\n`;
    const json = (...words: string[]) =>
      JSON.parse(rampwright(["stress", "-", "--json", ...words], { input: text }).out);
    const peak = (data: { parts: { part: string; current: { peak: { value: number } } }[] }) =>
      data.parts.find((p) => p.part === "reset")!.current.peak.value;
    expect(peak(json())).toBeCloseTo(1.4, 3);
    expect(json().pass).toBe(false);
    // 14 V would be above the 12 V rail: the source has no headroom to keep, so 14 V it is.
    expect(peak(json("--case", "more"))).toBeCloseTo(2.8, 3);
    expect(peak(json("--before", "60us"))).toBe(0);
    expect(rampwright(["stress", "-"], { input: sound }).out).toContain("No part is rated");
  });
});

describe("faults", () => {
  it("prints which checks fail under which fault, and which ratings then do not hold", () => {
    const { status, out } = rampwright(["faults", "-"], { input: hard });
    const rows = out.split("\n").map((row) => row.trim());
    const row = (name: string) => rows.find((text) => text.startsWith(`${name} `))!;
    expect(row("none")).toMatch(/none +none$/);
    expect(row("feed open")).toMatch(/all 2$/);
    expect(row("hold short")).toMatch(/all 2$/);
    expect(row("plus12 dead")).toBeDefined();
    // 12 V across 5 ohm while the switch is closed.
    expect(row("feed short")).toMatch(/reset 2\.4 A of 2 A peak/);
    expect(status).toBe(1);
    // Three parts open and short; of the rail dead, open and low.
    expect(out).toMatch(/\d of 9 faults fail a check/);
  });

  it("calls latent what no check shows, tells which faults hide until a case, and leaves the cases out where asked", () => {
    // Without its guard the ramp is as before, until the reset stays open: then it runs on to the supply.
    const guarded = `${sound.replace("run for", "supply plus5 = 5.2 V\ndiode guard ramp -> plus5 drop 0.6 V\nrun for")}
case "never let go" hold is 1 nF\ncheck "guarded" peak of ramp below 6 V
`;
    const { out, status } = rampwright(["faults", "-"], { input: guarded });
    expect(out).toMatch(/guard open +hidden until case "never let go": guarded/);
    expect(out).toMatch(/plus12 low +none: latent/);
    expect(out).toMatch(/Latent, shown by no check in any case: .*plus12 low/);
    expect(status).toBe(0);
    const drawn = rampwright(["faults", "-", "--drawn"], { input: guarded }).out;
    expect(drawn).toMatch(/guard open +none: latent/);
    expect(drawn).not.toContain("never let go");
    // The same bytes in threads.
    for (const words of [[], ["--json"]])
      expect(rampwright(["faults", "-", "--workers", "2", ...words], { input: guarded }).out).toBe(
        words.length === 0 ? out : rampwright(["faults", "-", ...words], { input: guarded }).out,
      );
    expect(rampwright(["faults", "-", "--workers", "0"], { input: guarded }).status).toBe(2);
  });

  it("interrupted, it keeps the rows that are done and says how many runs are not", async () => {
    const path = file(
      sound.replace(
        "run for 100 us",
        "signal beat = pulse 0 V to 5 V, wide 2 us, every 5 us\nresistor d beat -> x 1 kohm\ncapacitor y x -> ground 1 nF\nrun for 200 ms",
      ),
    );
    const child = spawn(process.execPath, [program, "faults", path]);
    let out = "";
    let err = "";
    child.stderr.on("data", (data) => {
      err += data;
    });
    child.stdout.on("data", (data) => {
      if (!out.includes("none ") && (out + data).includes("none ")) child.kill("SIGINT");
      out += data;
    });
    const status = await new Promise((resolve) => child.once("close", resolve));
    expect(out).toMatch(/^ {2}none +none/m);
    expect(out).toMatch(/\d+ runs were not made/);
    expect(err).toMatch(/cancelled with \d+ of \d+ runs not made/);
    expect(status).toBe(3);
  });

  it.each<[string, string, string[], number]>([
    ["all is well", sound, [], 0],
    ["a check fails as drawn", failing, [], 1],
    ["a rating does not hold as drawn", weak, [], 1],
    ["a wrong design", wrong, [], 2],
    ["an unknown part", sound, ["--parts", "hodl"], 2],
    ["the design as drawn stops", stopping, [], 3],
  ])("ends as its help says: %s", (_, text, words, status) => {
    expect(rampwright(["faults", "-", ...words], { input: text }).status).toBe(status);
  });

  it("--json and --parts; a fault that cannot be run says why", () => {
    const text = sound.replace("run for", "resistor load plus12 -> ground 1 kohm\nrun for");
    const { out } = rampwright(["faults", "-", "--json", "--parts", "load"], { input: text });
    const { faults, pass } = JSON.parse(out);
    expect(faults.map((f: { kind: string; name: string }) => `${f.name} ${f.kind}`)).toEqual([
      " as drawn",
      "load open",
      "load short",
    ]);
    expect(faults[2]).toMatchObject({ status: "refused", failing: ["one volt", "five volts"] });
    expect(faults[2].checks[0].measured).toBeNull();
    expect(pass).toBe(true);
    expect(rampwright(["faults", "-"], { input: text }).out).toMatch(/load short: cannot be run: .*loop/);
  });
});
