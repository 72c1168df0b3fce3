// Where results go is tried before the work that makes them, and nothing half-written is left, whatever ends the writing
// (row 35 of the bad-input table). No outside source: these are promises of the command.
import { spawn } from "node:child_process";
import { chmodSync, readdirSync, readFileSync, statSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { full } from "../counts.js";
import { file, folder, program, rampwright, root, sound } from "./running.js";

/** Would run for hours: who tries first is done at once. */
const long = sound.replace(
  "run for 100 us",
  "signal s = sine 0 V to 1 V, at 1 MHz\nresistor load s -> ramp 1 kohm\nrun for 100000 s",
);
const spreading = long.replace("10 nF", "10 nF +- 5 %");
const line = join(root, "examples/line.ramp");

describe("a place that cannot be written is told before anything is run", () => {
  const nowhere = (name: string) => join(folder(), "none", name);
  test.each<[string, string, (bad: string) => string[]]>([
    ["run", "x.csv", (bad) => ["run", "-", "--out", bad]],
    ["report", "x.html", (bad) => ["report", "-", "--out", bad]],
    [
      "vary",
      "x.csv",
      (bad) => ["vary", "-", "--value", "hold", "--from", "1 nF", "--to", "9 nF", "--out", bad],
    ],
    ["spread", "x.json", (bad) => ["spread", "-", "--out", bad]],
    ["picture", "x.png", (bad) => ["picture", "-", "--out", bad]],
    ["draw", "x.svg", (bad) => ["draw", "-", "--out", bad]],
    ["live", "x.html", (bad) => ["live", "-", "--out", bad]],
    ["sheet", "x.html", (bad) => ["sheet", "-", "--out", bad]],
    ["parts", "x.csv", (bad) => ["parts", "-", "--out", bad]],
    ["match", "x.svg", (bad) => ["match", "-", "--out", bad]],
    ["a slice of spread", "x.json", (bad) => ["spread", "-", "--slice", "1/2", "--out", bad]],
    ["a slice of faults", "x.json", (bad) => ["faults", "-", "--slice", "1/2", "--out", bad]],
    ["a slice of diagnose", "x.json", (bad) => ["diagnose", "-", "--slice", "1/2", "--out", bad]],
  ])("%s", (_, name, words) => {
    const bad = nowhere(name);
    const { status, out, err } = rampwright(words(bad), { input: spreading });
    expect({ status, out }).toEqual({ status: 3, out: "" });
    expect(err).toBe(`rampwright: ${bad} cannot be written: there is no such file or folder\n`);
  });
  test("check --pictures", () => {
    const bad = join(file("x"), "deep");
    const { status, out, err } = rampwright(["check", "-", "--pictures", bad], { input: long });
    expect({ status, out }).toEqual({ status: 3, out: "" });
    expect(err).toContain("cannot be made");
  });
  test("check --pictures in a folder of the machine's own, where nobody writes", () => {
    const { status, err } = rampwright(["check", "-", "--pictures", "/proc"], { input: long });
    expect(status).toBe(3);
    expect(err).toContain("cannot be written");
  });
  test("trying leaves nothing and changes nothing", () => {
    const where = folder();
    const out = join(where, "w.csv");
    writeFileSync(out, "old");
    const { status } = rampwright(["run", line, "--out", out, "--case", "none such"]);
    expect(status).toBe(2);
    expect(readdirSync(where)).toEqual(["w.csv"]);
    expect(readFileSync(out, "utf8")).toBe("old");
  });
});

describe("a file that stands there", () => {
  test("keeps its mode", () => {
    const out = join(folder(), "w.csv");
    writeFileSync(out, "old");
    chmodSync(out, 0o660);
    expect(rampwright(["run", line, "--until", "1 ms", "--out", out]).status).toBe(0);
    expect(statSync(out).mode & 0o777).toBe(0o660);
  });
  test("that is read-only stays as it is, whoever asks", () => {
    const out = join(folder(), "w.csv");
    writeFileSync(out, "old");
    chmodSync(out, 0o444);
    const { status, err } = rampwright(["run", line, "--until", "1 ms", "--out", out]);
    expect(status).toBe(3);
    expect(err).toContain("it is read-only");
    expect(readFileSync(out, "utf8")).toBe("old");
  });
});

// A capture of the bench cannot be made again, a list of what is in the drawer not soon.
describe("what a command reads is not written over, behind links neither", () => {
  const capture = "time (s),volt (V)\n0,1\n1e-3,2\n2e-3,1\n";
  const played = 'signal s = capture "in.csv"\nresistor r s -> ground 1 kohm\n';
  const stock = "kind,value,price EUR\nresistor,1 kohm,0.02\n";
  const bag = "part,one (nF)\na,1\nb,2\n";
  test.each<[string, string, string, (at: (name: string) => string) => string[]]>([
    ["a capture that drives", played, capture, (at) => ["run", at("d.ramp"), "--out", at("in.csv")]],
    ["by a link", played, capture, (at) => ["run", at("d.ramp"), "--out", at("link.csv")]],
    [
      "prices",
      sound,
      stock,
      (at) => ["parts", at("d.ramp"), "--unrun", "--stock", at("in.csv"), "--out", at("in.csv")],
    ],
    ["measured parts", "", bag, (at) => ["pair", at("in.csv"), "--ratio", "1", "--out", at("in.csv")]],
  ])("%s", (_, text, content, words) => {
    const where = folder();
    const at = (name: string) => join(where, name);
    writeFileSync(at("d.ramp"), text);
    writeFileSync(at("in.csv"), content);
    symlinkSync("in.csv", at("link.csv"));
    const { status, out, err } = rampwright(words(at));
    expect({ status, out }).toEqual({ status: 3, out: "" });
    expect(err).toContain("cannot be written: it is read here, and would be lost; name another file");
    expect(readFileSync(at("in.csv"), "utf8")).toBe(content);
    expect(readdirSync(where).sort()).toEqual(["d.ramp", "in.csv", "link.csv"]);
  });
});

describe("interrupted while it writes", () => {
  test.each(full ? (["SIGINT", "SIGTERM", "SIGHUP"] as const) : (["SIGINT"] as const))(
    "%s: nothing is left behind, status 3",
    async (signal) => {
      const where = folder();
      // Hundreds of thousands of rows: the file is some ten times the block between two looks for a signal.
      const text =
        "signal s = sine -1 V to 1 V, at 100 kHz\nresistor r s -> out 1 kohm\ncapacitor c out -> ground 1 nF\n";
      const words = ["run", "-", "--until", "0.03 s", "--out", join(where, "w.csv")];
      const child = spawn(process.execPath, [program, ...words], { stdio: ["pipe", "ignore", "pipe"] });
      child.stdin.end(text);
      let err = "";
      child.stderr.on("data", (data) => {
        err += data;
      });
      const ended = new Promise<number | null>((resolve) => child.on("exit", resolve));
      // As soon as something stands there, and grows, the writing has begun; the place is tried before, by a file that goes again.
      const begun = () =>
        readdirSync(where).some(
          (name) =>
            name.endsWith(".part") && (statSync(join(where, name), { throwIfNoEntry: false })?.size ?? 0) > 0,
        );
      while (child.exitCode === null && !begun()) await new Promise((resolve) => setTimeout(resolve, 2));
      child.kill(signal);
      expect(await ended).toBe(3);
      expect(err).toContain("interrupted");
      expect(readdirSync(where)).toEqual([]);
    },
  );
});

test("cells of every table that begin like a formula are text (row 33)", () => {
  const names = ["=1+1", "@x", "+1", "-1", "\t=1", " =1", "\uff1d1", "a;=1", 'a"b', "plain"];
  const checks = names.map((name) => `check "${name.replaceAll('"', "")}" peak of ramp below 9 V`).join("\n");
  const out = join(folder(), "v.csv");
  const words = [
    "vary",
    "-",
    "--value",
    "hold",
    "--from",
    "10 nF",
    "--to",
    "20 nF",
    "--points",
    "2",
    "--out",
    out,
  ];
  expect(rampwright(words, { input: sound + checks }).status).toBe(0);
  const [head] = readFileSync(out, "utf8").split("\r\n");
  // Read as RFC 4180 has it, and as those who part at semicolons or tabs do.
  for (const parts of [/(?:^|,)("(?:[^"]|"")*"|[^,]*)/g, /(?:^|;)("(?:[^"]|"")*"|[^;]*)/g]) {
    for (const [, cell] of head.matchAll(parts)) {
      const text = cell.replace(/^"|"$/g, "");
      expect(text).not.toMatch(/^\s*[=+\-@\t\r\uff1d]/);
    }
  }
  expect(head).toContain("plain (V)");
});
