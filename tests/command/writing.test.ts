// The verbs that write files, and what happens when they cannot (rows 32, 33 and 35 of the bad-input table: markup in
// titles, cells that look like formulas, paths that cannot be written, pipes that close).

import { execFileSync, spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import {
  closeSync,
  existsSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { dirname, join } from "node:path";
import { describe, expect, test } from "vitest";
import { failing, file, folder, program, rampwright, root, sound, stopping, wrong } from "./running.js";

describe("run", () => {
  test("writes comma-separated values", () => {
    const out = join(folder(), "w.csv");
    const done = rampwright(["run", "-", "--until", "40 us", "--out", out], { input: sound });
    expect({ status: done.status, out: done.out }).toEqual({ status: 0, out: "" });
    const lines = readFileSync(out, "utf8").split("\r\n");
    expect(lines[0]).toBe("time (s),plus12 (V),ramp (V)");
    const [time, , ramp] = lines.at(-2)!.split(",").map(Number);
    expect(time).toBe(40e-6);
    // dV/dt = I/C from 10 µs on (Millman & Taub 1965).
    expect(ramp).toBeCloseTo(3, 6);
  });

  test("writes JSON with how the run ended", () => {
    const out = join(folder(), "w.json");
    rampwright(["run", "-", "--until", "40us", "--out", out, "--traces", "ramp, feed.current"], {
      input: sound,
    });
    const data = JSON.parse(readFileSync(out, "utf8"));
    expect(data).toMatchObject({ schemaVersion: 1, status: "complete", case: "" });
    expect(data.traces.map((t: { name: string; unit: string }) => [t.name, t.unit])).toEqual([
      ["ramp", "V"],
      ["feed.current", "A"],
    ]);
  });

  test("writes a part of the run, with a sample at both of its ends", () => {
    const out = join(folder(), "w.csv");
    const words = ["run", "-", "--until", "60 us", "--out", out, "--traces", "ramp"];
    expect(rampwright([...words, "--from", "20 us", "--to", "30 us"], { input: sound }).status).toBe(0);
    const rows = readFileSync(out, "utf8").trim().split("\r\n").slice(1);
    const [first, last] = [rows[0], rows.at(-1)!].map((row) => row.split(",").map(Number));
    // dV/dt = I/C = 0.1 V/us from 10 us on (Millman & Taub 1965).
    expect([first[0], last[0]]).toEqual([20e-6, 30e-6]);
    expect(first[1]).toBeCloseTo(1, 6);
    expect(last[1]).toBeCloseTo(2, 6);
  });

  test("writes a picture, of a case", () => {
    const out = join(folder(), "w.svg");
    const words = [
      "run",
      "examples/line.ramp",
      "--until",
      "3 ms",
      "--case",
      "camera unplugged",
      "--out",
      out,
    ];
    expect(rampwright(words).status).toBe(0);
    expect(readFileSync(out, "utf8")).toContain("line sweep: camera unplugged");
  });

  test.each([
    ["an unknown case", ["--out", "x.csv", "--case", "camera unplugd"], /did you mean "camera unplugged"/],
    ["an unknown trace", ["--out", "x.csv", "--traces", "rmp"], /did you mean 'ramp'/],
    ["an unknown ending", ["--out", "x.gif"], /ends in \.csv, .*\.svg or \.png/],
    ["no file to write", [], /--out: run needs it, with FILE/],
    ["a part beside the run", ["--out", "x.csv", "--from", "1 s"], /from: 1 s lies outside the run/],
    ["a part that is none", ["--out", "x.csv", "--from", "9us", "--to", "9us"], /from: the time to write is/],
    ["a part in volts", ["--out", "x.csv", "--to", "9 V"], /to: .*voltage/],
    ["an end that is no time", ["--out", "x.csv", "--until", "5 V"], /until: /],
  ])("%s is 2, and nothing is written", (_, words, message) => {
    const cwd = folder();
    const done = rampwright(["run", join(root, "examples/line.ramp"), ...words], { cwd });
    expect(done.status).toBe(2);
    expect(done.err).toMatch(message);
    expect(readdirSync(cwd)).toEqual([]);
  });

  test("a wrong design is 2", () => {
    expect(rampwright(["run", "-", "--out", join(folder(), "x.csv")], { input: wrong }).status).toBe(2);
  });

  test("a run that stops early keeps what it has, says so, and is 3", () => {
    const out = join(folder(), "w.csv");
    const done = rampwright(["run", "-", "--out", out], { input: stopping });
    expect(done.status).toBe(3);
    expect(done.err).toContain("stopped at 50 µs");
    const last = readFileSync(out, "utf8").trimEnd().split("\r\n").at(-1)!;
    expect(Number(last.split(",")[0])).toBeCloseTo(50e-6, 12);
  });

  test("numbers below zero stay numbers, in every cell", () => {
    const out = join(folder(), "w.csv");
    const text = "signal tone = sine -1 V to 1 V, at 1 kHz\nresistor load tone -> ground 1 kohm\n";
    rampwright(["run", "-", "--until", "1 ms", "--out", out], { input: text });
    const cells = readFileSync(out, "utf8")
      .trimEnd()
      .split("\r\n")
      .slice(1)
      .flatMap((l) => l.split(","));
    expect(cells.some((c) => c.startsWith("-"))).toBe(true);
    expect(cells.filter((c) => !/^-?\d+(\.\d+)?(e-?\d+)?$/.test(c))).toEqual([]);
  });

  test("two runs write the same bytes", () => {
    const [a, b] = [join(folder(), "a.csv"), join(folder(), "b.csv")];
    for (const out of [a, b]) rampwright(["run", "examples/line.ramp", "--until", "1 ms", "--out", out]);
    expect(readFileSync(a).equals(readFileSync(b))).toBe(true);
  });
});

describe("report", () => {
  const made = (text: string) => {
    const out = join(folder(), "page.html");
    const done = rampwright(["report", "-", "--out", out], { input: text });
    return { ...done, page: existsSync(out) ? readFileSync(out, "utf8") : "" };
  };

  /** A page without its scripts, and what stands in these: programs, and data that nothing runs. */
  function apart(page: string) {
    const programs: string[] = [];
    const data: string[] = [];
    const still = page.replace(/<script([^>]*)>(.*?)<\/script>/gs, (_, words: string, text: string) => {
      expect(words).not.toMatch(/src/);
      (/type="application\/octet-stream"/.test(words) ? data : programs).push(text);
      return "";
    });
    return { still, programs, data };
  }

  test("writes one page without anything from elsewhere", () => {
    const { status, page, out } = made(readFileSync(join(root, "examples/line.ramp"), "utf8"));
    expect({ status, out }).toEqual({ status: 0, out: "" });
    expect(page).toContain("IEC 61965");
    expect(page).toContain("± 5 %");
    // The schematic, and the waveforms of three runs.
    expect(page.match(/<svg /g)).toHaveLength(4);
    const { still, programs } = apart(page);
    expect(still).not.toMatch(/<script|<link|<img|@import|url\((?!#)|\son\w+=/i);
    // The one program is what the page's policy lets run, by its hash (W3C Content Security Policy Level 3).
    expect(programs).toHaveLength(1);
    const hash = createHash("sha256").update(programs[0]).digest("base64");
    expect(still).toContain(`script-src 'sha256-${hash}';`);
    expect(page.match(/https?:\/\/[^"]*/g)?.filter((u) => u !== "http://www.w3.org/2000/svg") ?? []).toEqual(
      [],
    );
    const ids = [...page.matchAll(/ id="([^"]*)"/g)].map((m) => m[1]);
    expect(new Set(ids).size).toBe(ids.length);
  });

  test("a check that fails is told on the page, and the status is 0", () => {
    const { status, page } = made(failing);
    expect(status).toBe(0);
    expect(page).toContain('<span class="fail">FAIL</span>');
    expect(page).not.toContain("IEC 61965");
  });

  test("a run that stopped is told on the page, and the status is 3", () => {
    const { status, page } = made(stopping);
    expect(status).toBe(3);
    expect(page).toContain("could not be completed");
  });

  test("markup and marks of direction in a title are shown and never act", () => {
    const evil = "<img src=x onerror=alert(1)>&amp;</title><script>alert(1)</script>\u202e";
    const { page } = made(sound.replace("Nest box, a bare ramp", evil).replace("one volt", "<b>one</b>"));
    expect(page).toContain("&lt;img src=x onerror=alert(1)&gt;&amp;amp;&lt;/title&gt;&lt;script&gt;");
    expect(page).toContain("&lt;b&gt;one&lt;/b&gt;");
    const { still, programs, data } = apart(page);
    expect(still).not.toMatch(/<script|<img|<b>|\u202e/);
    expect(programs).toHaveLength(1);
    expect(data.join()).not.toMatch(/[<\u202e]/);
  });
});

describe("files that cannot be written", () => {
  const ask = (out: string) => rampwright(["run", "-", "--out", out], { input: sound });

  const prepared = (prepare: (path: string) => void) => (where: string) => {
    const path = join(where, "w.csv");
    prepare(path);
    return path;
  };

  test.each<[string, (where: string) => string, string]>([
    ["in a folder that is not there", (where) => join(where, "none", "w.csv"), "no such file or folder"],
    ["where a folder stands", prepared((path) => mkdirSync(path)), "it is a folder"],
    ["on a full disk", prepared((path) => symlinkSync("/dev/full", path)), "no space is left there"],
    ["below a file", () => join(file("x"), "w.csv"), "a part of the path is not a folder"],
  ])("%s: one clear line, status 3, nothing left behind", (_, place, reason) => {
    const where = folder();
    const path = place(where);
    const before = readdirSync(where);
    const { status, out, err } = ask(path);
    expect({ status, out }).toEqual({ status: 3, out: "" });
    expect(err.trim().split("\n")).toHaveLength(1);
    expect(err).toContain(`${path} cannot be written: `);
    expect(err).toContain(reason);
    expect(readdirSync(where)).toEqual(before);
  });

  test("a file that stands there already is replaced as a whole", () => {
    const path = join(folder(), "w.csv");
    writeFileSync(path, "old");
    expect(ask(path).status).toBe(0);
    expect(readFileSync(path, "utf8")).toMatch(/^time \(s\),/);
    expect(readdirSync(dirname(path))).toEqual(["w.csv"]);
  });

  test("pictures that have no folder to go to are 3", () => {
    const { status, err } = rampwright(["check", "-", "--pictures", join(file("x"), "deep")], {
      input: sound,
    });
    expect(status).toBe(3);
    expect(err).toContain("cannot be made");
  });
});

describe("standard output without room", () => {
  // Nothing can be written to /dev/full (Linux: ENOSPC).
  test.each([
    ["a result", ["check", "-"], 1],
    ["a result as JSON", ["check", "-", "--json"], 1],
    ["what a design lacks, as JSON", ["check", "-", "--json", "--case", "none"], 2],
    ["what a command line lacks, as JSON", ["run", "-", "--json"], 2],
    ["a file that is not there, as JSON", ["check", "none.ramp", "--json"], 2],
  ])("for %s: told line by line, status 3", (_, words, lines) => {
    const to = openSync("/dev/full", "w");
    const { status, stderr } = spawnSync(process.execPath, [program, ...words], {
      input: sound,
      encoding: "utf8",
      stdio: ["pipe", to, "pipe"],
    });
    closeSync(to);
    const told = stderr.trim().split("\n");
    expect(told.at(-1)).toBe("rampwright: standard output cannot be written: no space is left there");
    expect(told.filter((line) => line.startsWith("rampwright: "))).toHaveLength(lines);
    expect(stderr).not.toMatch(/at .*\.js|a mistake in Rampwright/);
    expect(status).toBe(3);
  });
});

describe("a reader that goes away", () => {
  test.each([
    ["check", ["check", "examples/line.ramp"], 0],
    ["check --json", ["check", "--json", "examples/line.ramp"], 0],
    ["format", ["format", "examples/line.ramp"], 0],
  ])("%s stays quiet and keeps its status", (_, words, status) => {
    // `exec <&-` closes the reading end before the command writes.
    const script = `{ "$0" "$@" 2>err; echo $? >status; } | exec true`;
    const cwd = folder();
    const absolute = words.map((w) => (w.startsWith("examples/") ? join(root, w) : w));
    execFileSync(
      "bash",
      ["-c", script.replace("{ ", "{ sleep 0.2; "), process.execPath, program, ...absolute],
      { cwd },
    );
    expect(readFileSync(join(cwd, "status"), "utf8").trim()).toBe(String(status));
    expect(readFileSync(join(cwd, "err"), "utf8")).not.toMatch(/EPIPE|at .*\.js/);
  });
});
