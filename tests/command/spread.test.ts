// The verb `spread` from outside: what it prints, its exit statuses, slices in files, workers and cancelling. Values against
// V = I t / C (Millman & Taub 1965): five volts at 50 us behind the start of the ramp.
import { spawn } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { failing, file, folder, program, rampwright, sound, stopping, wrong } from "./running.js";

/** 1 mA ± 2 % into 10 nF ± 5 %: at the corners 5 V · 1.02/0.95 and 5 V · 0.98/1.05. */
const loose = sound
  .replace("ramp 1 mA", "ramp 1 mA +- 2 %, drift -0.3 %/K")
  .replace("ground 10 nF", "ground 10 nF +- 5 %");
const wide = loose.replaceAll("+- 1 %", "+- 10 %");

describe("spread", () => {
  it("prints what passes, the extremes with what causes them, and what costs most", () => {
    const { status, out, err } = rampwright(["spread", file(loose), "--trials", "200"]);
    expect(status).toBe(1);
    expect(err).toBe("");
    expect(out).toMatch(/^Nest box, a bare ramp\n200 trials \(0 to 199\), seed 1; what varies: feed, hold\n/);
    expect(out).toMatch(
      /five volts +5 V +4\.\d+ V .* 4\.95 V to 5\.05 V +\d\d\.?\d* % \(\d\d\.?\d* % to \d\d\.?\d* %\)/,
    );
    expect(out).toMatch(/five volts +hold 8\d\.?\d* %, feed 1\d\.?\d* %/);
    expect(out).toMatch(
      /highest 5\.\d+ V in trial \d+: hold 9\.5\d+ nF \(-\d+ %\), feed 1\.0\d+ mA \(\+\d+ %\)/,
    );
  });

  it.each<[string, string, string[], number]>([
    ["all trials pass", wide, ["--trials", "20"], 0],
    ["some do not", loose, ["--trials", "50"], 1],
    ["the corners pass", wide, ["--worst"], 0],
    ["the corners do not", loose, ["--worst"], 1],
    ["a wrong design", wrong, [], 2],
    ["nothing that spreads", failing, [], 2],
    ["no trial", loose, ["--trials", "0"], 2],
    ["too many trials", loose, ["--trials", "1e12"], 2],
    ["a range that falls", loose, ["--trials", "9..3"], 2],
    ["no workers", loose, ["--workers", "0"], 2],
    ["no number of workers", loose, ["--workers", "many"], 2],
    ["no seed", loose, ["--seed", "x"], 2],
    ["an unknown case", loose, ["--case", "dark"], 2],
    ["an unknown check", loose, ["--checks", "dark"], 2],
    ["no temperature", loose, ["--from", "5 V"], 2],
    ["trials of the worst case", loose, ["--worst", "--trials", "5"], 2],
    ["exact trials", loose, ["--exact"], 2],
    ["every trial stops", stopping.replace("10 nF", "10 nF +- 5 %"), ["--trials", "5"], 1],
  ])("ends as its help says: %s", (_, text, words, status) => {
    const done = rampwright(["spread", "-", ...words], { input: text });
    expect([done.status, done.err]).toEqual([status, status === 2 ? expect.stringMatching(/\S/) : done.err]);
    expect(done.out === "").toBe(status === 2);
  });

  it("--worst: the corners by arithmetic; --from and --to: drift besides", () => {
    const worst = (...more: string[]) =>
      JSON.parse(rampwright(["spread", "-", "--worst", "--json", ...more], { input: loose }).out);
    const five = (w: {
      checks: { name: string; lowest: { value: number }; highest: { value: number } }[];
    }) => {
      const c = w.checks.find((one) => one.name === "five volts")!;
      return [c.lowest.value, c.highest.value];
    };
    const plain = worst();
    expect([plain.method, plain.corners, plain.schemaVersion]).toEqual(["corners", 4, 1]);
    five(plain).forEach((v, i) => {
      expect(v).toBeCloseTo([(5 * 0.98) / 1.05, (5 * 1.02) / 0.95][i], 6);
    });
    // 25 K either way, -0.3 %/K.
    five(worst("--from", "-25K", "--to", "25 K")).forEach((v, i) => {
      expect(v).toBeCloseTo([(5 * 0.98 * 0.925) / 1.05, (5 * 1.02 * 1.075) / 0.95][i], 6);
    });
    // The design, four ends, four corners; and, as effects do not add up, one look inwards along both from either worst corner of both checks.
    expect(rampwright(["spread", "-", "--worst"], { input: loose }).out).toMatch(
      /all 4 corners of 2 values; 13 places in all, 4 of them/,
    );
  });

  it("2^40 corners are refused with their number", () => {
    const parts = Array.from({ length: 39 }, (_, i) => `resistor r${i} ramp -> ground 1 Gohm +- 5 %`).join(
      "\n",
    );
    const many = `${loose.replace("ground 10 nF +- 5 %", "ground 10 nF").replace("run for", `${parts}\nrun for`)}`;
    const { status, err } = rampwright(["spread", "-", "--worst", "--exact"], { input: many });
    expect(status).toBe(2);
    expect(err).toContain("1 099 511 627 776 corners");
  });

  it("slices run anywhere and merge into what one run gives, on any number of workers", () => {
    const path = folder();
    const design = file(loose);
    const keep = (name: string, trials: string, workers: string) => {
      const out = join(path, name);
      const done = rampwright(["spread", design, "--trials", trials, "--workers", workers, "--out", out]);
      expect(done.status).toBe(1);
      return { out, text: done.out, data: readFileSync(out, "utf8") };
    };
    const whole = keep("whole.json", "60", "3");
    expect(keep("one.json", "0..59", "1").data).toBe(whole.data);
    const [a, b, c] = [
      keep("a.json", "0..9", "2"),
      keep("b.json", "10..39", "1"),
      keep("c.json", "40..59", "2"),
    ];
    const merged = join(path, "merged.json");
    const done = rampwright(["spread", "--merge", c.out, a.out, b.out, "--out", merged]);
    expect([done.status, done.out]).toEqual([1, whole.text]);
    expect(readFileSync(merged, "utf8")).toBe(whole.data);
    const twice = rampwright(["spread", "--merge", a.out, a.out]);
    expect([twice.status, twice.out]).toEqual([2, ""]);
    expect(twice.err).toContain("trials 0 to 9 are in two slices");
    writeFileSync(merged, "{}");
    expect(rampwright(["spread", "--merge", a.out, merged]).err).toMatch(
      /merged\.json:\n.*no slice of trials/,
    );
    expect(rampwright(["spread", "--merge", design]).err).toContain("it is no JSON");
    for (const [name, ...value] of [["with", "timing 18 nF"], ["trials", "5"], ["cases"], ["until", "1ms"]]) {
      const other = rampwright(["spread", "--merge", a.out, `--${name}`, ...value]);
      expect([other.status, other.out]).toEqual([2, ""]);
      expect(other.err).toContain(`--${name}: slices are put together as they are`);
    }
    expect(rampwright(["spread", "--merge", join(path, "none.json")]).status).toBe(2);
    expect(rampwright(["spread", design, design]).status).toBe(2);
  });

  it("--json: one object, all finite or null", () => {
    const { out, status } = rampwright(["spread", "-", "--trials", "20", "--json"], { input: loose });
    expect(status).toBe(1);
    const data = JSON.parse(out);
    expect([data.schemaVersion, data.trials, data.seed, data.slices]).toEqual([1, 20, 1, [[0, 20]]]);
    expect(data.checks.map((c: { name: string }) => c.name)).toEqual(["one volt", "five volts"]);
    const refused = rampwright(["spread", "-", "--trials", "0", "--json"], { input: loose });
    expect(JSON.parse(refused.out).diagnostics[0].code).toBe("bad-option");
  });

  it("brings blocks in its workers too", () => {
    const path = folder();
    writeFileSync(
      join(path, "ramp.ramp"),
      "block ramp joins top\n  capacitor hold top -> ground 10 nF +- 5 %\nend\n",
    );
    const text = `bring "ramp.ramp"\n${sound.replace("capacitor hold ramp -> ground 10 nF", "use ramp as one joins ramp")}`;
    writeFileSync(join(path, "whole.ramp"), text);
    const { out } = rampwright(["spread", join(path, "whole.ramp"), "--trials", "10", "--json"]);
    expect(JSON.parse(out).axes.map((a: { name: string }) => a.name)).toEqual(["one.hold"]);
  });

  it("Ctrl-C keeps what has been run, and says what was not", async () => {
    const out = join(folder(), "kept.json");
    const words = [program, "spread", file(loose), "--trials", "1000000", "--out", out];
    const cancelled = async (milliseconds: number) => {
      const running = spawn(process.execPath, words);
      let [text, err] = ["", ""];
      running.stdout.on("data", (piece) => {
        text += piece;
      });
      running.stderr.on("data", (piece) => {
        err += piece;
      });
      setTimeout(() => running.kill("SIGINT"), milliseconds);
      const status = await new Promise((resolve) => running.on("close", resolve));
      return { text, err, status };
    };
    // How long it takes until something has been run is the machine's affair.
    let ended = await cancelled(1000);
    for (let wait = 2000; !/^[1-9]\d* trials/m.test(ended.text); wait *= 2) ended = await cancelled(wait);
    const { text, err, status } = ended;
    expect(status).toBe(3);
    expect(err).toMatch(/cancelled with \d+ of 1000000 trials not run/);
    const kept = JSON.parse(readFileSync(out, "utf8"));
    const count = kept.slices.reduce((sum: number, [from, to]: [number, number]) => sum + to - from, 0);
    expect(count).toBeGreaterThan(0);
    expect(Number(/cancelled with (\d+)/.exec(err)![1])).toBe(1_000_000 - count);
    expect(text).toContain(`${count} trials`);
    expect(kept.measured[0]).toHaveLength(count);
    // What was kept goes on as a slice like any other.
    expect(rampwright(["spread", "--merge", out]).out).toBe(text);
  });
});
