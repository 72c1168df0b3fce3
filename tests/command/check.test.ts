// The verb `check`: verdicts, exit statuses, JSON.
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { failing, file, folder, rampwright, sound, stopping, wrong } from "./running.js";

describe("exit status", () => {
  test.each([
    ["every check passes", sound, 0],
    ["a check fails", failing, 1],
    ["the design is wrong", wrong, 2],
    ["the design is empty", "", 2],
    ["the run cannot be completed", stopping, 3],
  ])("%s", (_, text, status) => {
    expect(rampwright(["check", "-"], { input: text }).status).toBe(status);
    expect(rampwright(["check", "--json", file(text)]).status).toBe(status);
  });

  test("a file that is not there is 2, with one line and nothing on standard output", () => {
    const { status, out, err } = rampwright(["check", "/nowhere/at-all.ramp"]);
    expect({ status, out }).toEqual({ status: 2, out: "" });
    expect(err.trim().split("\n")).toHaveLength(1);
    expect(err).toContain("/nowhere/at-all.ramp cannot be read: there is no such file or folder");
  });

  test("a folder in place of a file is 2", () => {
    const { status, err } = rampwright(["check", folder()]);
    expect(status).toBe(2);
    expect(err).toContain("it is a folder");
  });

  test("an end before time zero is 2", () => {
    const { status, err } = rampwright(["check", "-", "--until", "0 s"], { input: sound });
    expect(status).toBe(2);
    expect(err).toContain("until: the run must end after time zero");
  });
});

describe("the table", () => {
  test("shows check, measured value, limit, margin and verdict", () => {
    const { out, err } = rampwright(["check", "-"], { input: failing });
    expect(out).toMatch(/one volt +1 V +990 mV to 1\.01 V +50 % +pass/);
    expect(out).toMatch(/five volts +5 V +3\.96 V to 4\.04 V +-1200 % +FAIL/);
    expect(out).toContain('1 of 2 checks fails: "five volts".');
    expect(err).toBe("");
  });

  test("shows figures that nothing is asked of, also of a case that has no check", () => {
    const shows = [
      'show "half a volt" value of ramp at 15 us',
      'case "twice" feed is 2 mA',
      'show "two volts" value of ramp at 20 us',
    ];
    const path = file(`${sound}${shows.join("\n")}\n`);
    const { out, status } = rampwright(["check", path]);
    expect(status).toBe(0);
    expect(out).toMatch(/half a volt +500 mV +shown\n/);
    expect(out).toMatch(/Case "twice"\n.*\n +two volts +2 V +shown\n/);
    expect(out).toContain("All 2 checks passed.");
    const { figures, checks } = JSON.parse(rampwright(["check", "--json", path]).out);
    expect(checks.map((c: { measure: string }) => c.measure)).toEqual(["value", "value"]);
    expect(figures).toMatchObject([
      { name: "half a volt", case: "", what: "value of ramp", measure: "value", unit: "V", instant: 15e-6 },
      { name: "two volts", case: "twice", unit: "V" },
    ]);
    for (const [i, volts] of [0.5, 2].entries()) expect(figures[i].value).toBeCloseTo(volts, 9);
  });

  test("has no colour when it is not for a terminal", () => {
    expect(rampwright(["check", "-"], { input: failing }).out).not.toContain("\u001b");
  });

  test("says of many periods which was the worst", () => {
    const { out } = rampwright(["check", "examples/line.ramp"]);
    expect(out).toMatch(/fills the tube .* worst of 93 periods, from /);
    expect(out).toContain('Case "camera unplugged"');
  });

  test("cautions stand on standard error, for a design with a tube alone", () => {
    const tube = rampwright(["check", "examples/line.ramp"]);
    expect(tube.err).toContain("IEC 62368-1, IEC 61010-1 and IEC 61965");
    expect(tube.out).not.toContain("CAUTION");
    expect(rampwright(["check", "-"], { input: sound }).err).toBe("");
  });
});

describe("--json", () => {
  test("prints one object with every check in SI units", () => {
    const { out, err } = rampwright(["check", "--json", "-"], { input: failing });
    const data = JSON.parse(out);
    expect(err).toBe("");
    expect(data).toMatchObject({ schemaVersion: 1, title: "Nest box, a bare ramp" });
    expect(
      data.checks.map((c: { name: string; case: string; pass: boolean }) => [c.name, c.case, c.pass]),
    ).toEqual([
      ["one volt", "", true],
      ["five volts", "", false],
    ]);
    const [one] = data.checks;
    expect(one.measured).toBeCloseTo(1, 6);
    expect(one.unit).toBe("V");
    expect(one.limit.low).toBeCloseTo(0.99, 12);
    expect(one.limit.high).toBeCloseTo(1.01, 12);
  });

  test("an open side of a limit is null", () => {
    const text = sound.replace("is 1 V +- 1 %", "above 0.5 V");
    const { out } = rampwright(["check", "--json", "-"], { input: text });
    expect(JSON.parse(out).checks[0].limit).toEqual({ low: 0.5, high: null });
  });

  test("a wrong design gives its diagnostics", () => {
    const { out } = rampwright(["check", "--json", "-"], { input: wrong });
    const { diagnostics } = JSON.parse(out);
    expect(diagnostics).toHaveLength(1);
    expect(diagnostics[0]).toMatchObject({
      code: "wrong-dimension",
      severity: "error",
      span: { line: 4, column: 31 },
    });
  });

  test("a run that stopped says so, and its checks say why they have no value", () => {
    const { out } = rampwright(["check", "--json", "-"], { input: stopping });
    const { runs, checks } = JSON.parse(out);
    expect(runs[0]).toMatchObject({ case: "", status: "stopped" });
    expect(runs[0].reached).toBeCloseTo(50e-6, 12);
    // What lies before the stop has been measured; what lies behind it has not.
    expect(checks[0].pass).toBe(true);
    expect(checks[1]).toMatchObject({ measured: null, pass: false });
    expect(checks[1].reason).toContain("bridge");
  });

  test("a file that is not there is a diagnostic as well", () => {
    const { out, status } = rampwright(["check", "--json", "/nowhere.ramp"]);
    expect(status).toBe(2);
    expect(JSON.parse(out).diagnostics[0].code).toBe("unreadable-file");
  });
});

describe("diagnostics", () => {
  test("stand on standard error with file, line and column, and nothing on standard output", () => {
    const path = file(wrong);
    const { out, err } = rampwright(["check", path]);
    expect(out).toBe("");
    expect(err).toContain(`${path}:4:31: error wrong-dimension: `);
    expect(err).toContain("4 | capacitor hold ramp -> ground 10 kV");
  });
});

describe("--pictures", () => {
  test("leaves a picture of each run, named after the file and the case", () => {
    const path = join(folder(), "deep", "out");
    const { status } = rampwright(["check", "examples/line.ramp", "--pictures", path]);
    expect(status).toBe(0);
    expect(readdirSync(path).sort()).toEqual([
      "line-camera-unplugged.svg",
      "line-switch-stuck.svg",
      "line.svg",
    ]);
    const text = readFileSync(join(path, "line.svg"), "utf8");
    expect(text).toContain("Periods of gate, 64 µs each");
    expect(text).toContain("time (µs)");
  });
});

describe("bring", () => {
  const block =
    "block sweep joins ramp\n  current feed ramp -> ground -1 mA\n  capacitor hold ramp -> ground 10 nF\nend\n";
  const text = (path: string) => `bring "${path}"\nuse sweep as line joins ramp\nrun for 10 us, from rest\n`;

  test("takes blocks from the design's folder", () => {
    const path = file(block, "sweep.ramp");
    const { status, err } = rampwright(["check", "-"], { input: text("sweep.ramp"), cwd: join(path, "..") });
    expect(status).toBe(0);
    // It is called a sweep.
    expect(err).toMatch(/^CAUTION[^\n]*\n$/);
  });

  // RFC 2781, 3.2: big-endian FE FF, little-endian FF FE. Some shells write so what they redirect.
  test("of UTF-16 with its byte-order mark, either way round, as the design itself may be", () => {
    const wide = (text: string) => Buffer.from(`\ufeff${text}`, "utf16le");
    const path = file("", "sweep.ramp");
    writeFileSync(path, wide(block));
    const design = join(path, "..", "design.ramp");
    writeFileSync(design, wide(text("sweep.ramp")).swap16());
    expect(rampwright(["check", design]).status).toBe(0);
  });

  test.each([
    "../outside.ramp",
    "/etc/hostname",
    "file:///etc/hostname",
    "http://example.org/x.ramp",
    "nothing.ramp",
  ])("refuses %s", (path) => {
    const design = file(text(path));
    const { status, err } = rampwright(["check", design]);
    expect(status).toBe(2);
    expect(err).toContain("bring-missing");
  });
});
