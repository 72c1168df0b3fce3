// What `check` prints for programs, and of several designs. Formats: RFC 8259; the Test Anything Protocol 14 (testanything.org);
// GitHub's documentation of workflow commands; of the XML of test reports common practice, no standard.
import { describe, expect, it } from "vitest";
import { failing, file, rampwright, sound, wrong } from "./running.js";

const evil = failing.replace('"five volts"', '"five % volts, <b> # one: & more"');
const reported = (how: string, text: string) =>
  rampwright(["check", "-", "--reporter", how], { input: text });

describe("--reporter", () => {
  it("two ways at once are refused, unless they are the same", () => {
    const both = (how: string) => rampwright(["check", "-", "--json", "--reporter", how], { input: "" });
    expect(both("tap").err).toContain("--json: --reporter tap asks for something else");
    expect(both("json").err).not.toContain("--json");
  });

  it("json is what --json prints, a wrong design among it", () => {
    for (const text of [failing, wrong])
      expect(reported("json", text)).toEqual(rampwright(["check", "-", "--json"], { input: text }));
  });

  it("junit counts, and keeps the words of a design from acting", () => {
    const { status, out } = reported("junit", evil);
    expect(status).toBe(1);
    expect(out).toMatch(/^<\?xml version="1.0" encoding="UTF-8"\?>\n<testsuites>/);
    expect(out).toContain('<testsuite name="-" tests="2" failures="1" errors="0">');
    expect(out).toContain('name="five % volts, &lt;b&gt; # one: &amp; more"');
    expect(out).toContain('<failure message="measured 5 V, limit 3.96 V to 4.04 V"');
    // Every element that is opened is closed.
    const opened: string[] = [];
    for (const [, close, name, empty] of out.matchAll(/<(\/?)([a-z]+)(?:\s+[a-z]+="[^"<]*")*(\/?)>/g)) {
      if (close) expect(opened.pop()).toBe(name);
      else if (!empty) opened.push(name);
    }
    expect(opened).toEqual([]);
  });

  it("github names the file and the line of each check that fails, and no other", () => {
    const path = file(evil);
    const { status, out } = rampwright(["check", path, "--reporter", "github"]);
    expect(status).toBe(1);
    expect(out).toBe(
      `::error file=${path},line=8,title=five %25 volts%2C <b> # one%3A & more::measured 5 V, limit 3.96 V to 4.04 V\n`,
    );
    expect(reported("github", sound).out).toBe("");
  });

  it("tap gives a plan and a point for each check", () => {
    const { out } = reported("tap", evil);
    expect(out.split("\n")).toEqual([
      "TAP version 14",
      "1..2",
      "ok 1 - -: As drawn: one volt",
      "not ok 2 - -: As drawn: five % volts, <b> \\# one: & more",
      "  ---",
      '  message: "measured 5 V, limit 3.96 V to 4.04 V"',
      "  ...",
      "",
    ]);
  });
});

// A figure is 0.5 V at 15 µs by the closed form of `sound`, and with twice the current 2 V at 20 µs.
const figures = `${sound}show "half, a <volt>" value of ramp at 15 us
case "twice" feed is 2 mA
show "two volts" value of ramp at 20 us
`;

describe("figures that nothing is asked of", () => {
  it("are properties of a suite, and no test", () => {
    const { status, out } = reported("junit", figures);
    expect(status).toBe(0);
    expect(out).toContain('<testsuite name="-" tests="2" failures="0" errors="0">\n<properties>\n');
    expect(out.match(/<property .*>/g)).toEqual([
      '<property name="As drawn: half, a &lt;volt&gt;" value="500 mV"/>',
      '<property name="Case &quot;twice&quot;: two volts" value="2 V"/>',
    ]);
    expect(out.indexOf("</properties>")).toBeLessThan(out.indexOf("<testcase"));
  });
  it("are notices at their lines", () => {
    const path = file(figures);
    expect(rampwright(["check", path, "--reporter", "github"]).out.split("\n")).toEqual([
      `::notice file=${path},line=9,title=half%2C a <volt>::500 mV`,
      `::notice file=${path},line=11,title=two volts::2 V`,
      "",
    ]);
  });
  it("are comments behind the points, and no points", () => {
    const { out } = reported("tap", figures);
    expect(out.split("\n")).toEqual([
      "TAP version 14",
      "1..2",
      "ok 1 - -: As drawn: one volt",
      "ok 2 - -: As drawn: five volts",
      "# -: As drawn: half, a <volt>: 500 mV",
      '# -: Case "twice": two volts: 2 V',
      "",
    ]);
  });
  it("stand on the page, with how many periods they are the highest of", () => {
    const pulses = sound
      .replace("closed before 10 us", "closed while gate above 2.5 V")
      .replace("run for", "signal gate = pulse 0 V to 5 V, wide 10 us, every 50 us\nrun for")
      .replace(/^check .*$/gm, "")
      .concat('show "height" peak of ramp each gate\n');
    const { out } = rampwright(["report", "-", "--out", "-"], { input: pulses });
    // 40 µs of 1 mA into 10 nF, every time the same.
    const row =
      /<td>height<small>peak of ramp<\/small><\/td><td class="n">(.*?)<\/td>.*?<small>(.*?)<\/small>/;
    expect(row.exec(out)?.slice(1)).toEqual(["4 V", "highest of 2 periods, the lowest 4 V"]);
    expect(rampwright(["report", "-", "--out", "-"], { input: sound }).out).not.toContain("Shown:");
  });
});

describe("several designs", () => {
  const pair = () => [file(sound, "sound.ramp"), file(failing, "failing.ramp")];

  it("are printed one after the other, and the worst decides", () => {
    const { status, out } = rampwright(["check", ...pair()]);
    expect(status).toBe(1);
    expect(out.match(/^Nest box, a bare ramp$/gm)).toHaveLength(2);
    expect(rampwright(["check", "-", pair()[0]], { input: failing }).status).toBe(1);
  });

  it("one that is wrong keeps no other from being checked", () => {
    const { status, out, err } = rampwright(["check", file(wrong), "/nowhere.ramp", ...pair()]);
    expect(status).toBe(2);
    expect(out.match(/^Nest box, a bare ramp$/gm)).toHaveLength(2);
    expect(err).toContain("wrong-dimension");
    expect(err).toContain("/nowhere.ramp cannot be read");
  });

  it("as JSON are a list", () => {
    const files = pair();
    const { out } = rampwright(["check", "--json", ...files, "/nowhere.ramp"]);
    const { designs } = JSON.parse(out);
    expect(designs.map((d: { file: string }) => d.file)).toEqual([...files, "/nowhere.ramp"]);
    expect(designs[1].checks[1].pass).toBe(false);
    expect(designs[2].diagnostics[0].code).toBe("unreadable-file");
  });
});

describe("FORCE_COLOR (force-color.org) and NO_COLOR (no-color.org)", () => {
  it.each<[Record<string, string>, boolean]>([
    [{ FORCE_COLOR: "1" }, true],
    [{ FORCE_COLOR: "0" }, false],
    [{ FORCE_COLOR: "1", NO_COLOR: "1" }, false],
    [{ FORCE_COLOR: "1", NO_COLOR: "" }, true],
  ])("%j", (env, colour) => {
    const { out } = rampwright(["check", "-"], { input: failing, env: { NO_COLOR: "", ...env } });
    expect(out.includes("\u001b[1;31mFAIL\u001b[0m")).toBe(colour);
  });
});

describe("--out -", () => {
  it("run writes comma-separated values to standard output", () => {
    const { status, out } = rampwright(["run", "-", "--until", "40us", "--out", "-"], { input: sound });
    expect(status).toBe(0);
    expect(out).toMatch(/^time \(s\),plus12 \(V\),ramp \(V\)\r\n/);
  });
  it("report writes its page", () => {
    const { out } = rampwright(["report", "-", "--out", "-"], { input: sound });
    expect(out).toMatch(/^<!doctype html>/);
    expect(out.trimEnd()).toMatch(/<\/html>$/);
  });
});

describe("init", () => {
  it.each(["525", "625"])("gives a design of %s lines that is laid out, and passes", (system) => {
    const { status, out } = rampwright(["init", "--system", system]);
    expect(status).toBe(0);
    expect(out).toContain(`of ${system}/`);
    expect(rampwright(["format", "--check", "-"], { input: out })).toEqual({ status: 0, out: "", err: "" });
    const checked = rampwright(["check", "-"], { input: out });
    expect(checked.out).toContain("All 5 checks passed");
    expect(rampwright(["size", "-"], { input: out }).status).toBe(0);
  });
  it("leaves a file that is there as it is", () => {
    const path = file("mine");
    const { status, err } = rampwright(["init", path]);
    expect(status).toBe(2);
    expect(err).toContain("is there already");
  });
});
