// The command line itself: help, version, mistakes in it, the verb `format`, and colour.
import { spawnSync } from "node:child_process";
import {
  chmodSync,
  linkSync,
  lstatSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { dirname, join } from "node:path";
import { describe, expect, test } from "vitest";
import { failing, file, program, rampwright, root, sound, wrong } from "./running.js";

describe("help", () => {
  test.each([["check"], ["run"], ["report"], ["format"]])(
    "%s --help says what it does and its exit statuses",
    (verb) => {
      const { status, out, err } = rampwright([verb, "--help"]);
      expect({ status, err }).toEqual({ status: 0, err: "" });
      expect(out).toContain(`Usage: rampwright ${verb} FILE`);
      expect(out).toContain(`Example: rampwright ${verb} `);
      expect(out).toMatch(/Exit status: 0 .*2 /s);
    },
  );

  test("without a verb the help goes to standard error, and the status is 2", () => {
    const { status, out, err } = rampwright([]);
    expect({ status, out }).toEqual({ status: 2, out: "" });
    for (const verb of ["check", "run", "report", "format"]) expect(err).toContain(`  ${verb} `);
  });

  test("--version is the package's", () => {
    const { version } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
    expect(rampwright(["--version"])).toEqual({ status: 0, out: `${version}\n`, err: "" });
  });
});

describe("mistakes", () => {
  test.each([
    ["an unknown verb", ["chekc", "x.ramp"], /there is no 'chekc' \(did you mean 'check'\?\)/],
    [
      "an unknown option",
      ["check", "x.ramp", "--jsn"],
      /--jsn: check has no such option \(did you mean '--json'\?\)/,
    ],
    ["no file", ["check"], /FILE: check needs it/],
    ["too many files", ["run", "a.ramp", "b.ramp", "--out", "x.csv"], /'b\.ramp': run takes one of them/],
    [
      "an option without its value",
      ["run", "x.ramp", "--until", "--out"],
      /--until: TIME is missing behind it/,
    ],
    ["a flag with a value", ["check", "x.ramp", "--json=yes"], /--json: it takes no value/],
    [
      "a word that an option does not know",
      ["check", "x.ramp", "--reporter", "jnit"],
      /did you mean 'junit'/,
    ],
    ["an operand that the verb does not know", ["completion", "bsh"], /SHELL: there is no 'bsh'.*bash/],
    ["help on nothing", ["help", "chekc"], /did you mean 'check'/],
  ])("%s is 2, with the nearest word", (_, words, message) => {
    const { status, out, err } = rampwright(words);
    expect({ status, out }).toEqual({ status: 2, out: "" });
    expect(err).toMatch(message);
    expect(err).toMatch(/^rampwright: /);
  });
});

describe("format", () => {
  const untidy = 'title   "Nest box"\nresistor r a->ground 1kohm # a comment\nsupply a=1V\n';
  const tidy = rampwright(["format", "-"], { input: untidy }).out;

  test("prints the canonical layout, which stays as it is", () => {
    expect(tidy).toContain("# a comment");
    expect(tidy).not.toBe(untidy);
    expect(rampwright(["format", "-"], { input: tidy })).toEqual({ status: 0, out: tidy, err: "" });
  });

  test("--check prints nothing and is 1 where the layout differs", () => {
    expect(rampwright(["format", "--check", "-"], { input: tidy })).toEqual({ status: 0, out: "", err: "" });
    const { status, out, err } = rampwright(["format", "--check", "-"], { input: untidy });
    expect({ status, out }).toEqual({ status: 1, out: "" });
    expect(err).toContain("not in the canonical layout");
  });

  test("--in-place lays the file out, and not standard input", () => {
    const path = file(untidy);
    expect(rampwright(["format", "--in-place", path])).toEqual({ status: 0, out: "", err: "" });
    expect(readFileSync(path, "utf8")).toBe(tidy);
    expect(rampwright(["format", "--in-place", "-"], { input: untidy }).status).toBe(2);
  });

  test("--in-place keeps the file's mode, its other names and the links to it, and leaves nothing beside it", () => {
    const path = file(untidy);
    const [other, link] = [`${path}.other`, `${path}.link`];
    chmodSync(path, 0o640);
    linkSync(path, other);
    symlinkSync(path, link);
    expect(rampwright(["format", "--in-place", link])).toEqual({ status: 0, out: "", err: "" });
    expect(readFileSync(other, "utf8")).toBe(tidy);
    expect(lstatSync(link).isSymbolicLink()).toBe(true);
    expect(statSync(path).mode & 0o777).toBe(0o640);
    expect(statSync(path).nlink).toBe(2);
    expect(readdirSync(dirname(path))).toHaveLength(3);
  });

  test.each([
    ["a read-only file", untidy, 0o444, /read-only|permission is denied/],
    [
      "a file that is not UTF-8",
      Buffer.concat([Buffer.from(untidy), Buffer.of(0x23, 0xe9, 0x0a)]),
      0o644,
      /not UTF-8/,
    ],
  ])("--in-place refuses %s in one line, and leaves it as it is", (_, bytes, mode, reason) => {
    const path = file("");
    writeFileSync(path, bytes);
    chmodSync(path, mode);
    const { status, out, err } = rampwright(["format", "--in-place", path]);
    expect({ status, out }).toEqual({ status: 3, out: "" });
    expect(err).toMatch(reason);
    expect(err.trim().split("\n")).toHaveLength(1);
    expect(readFileSync(path)).toEqual(Buffer.from(bytes));
  });

  test("a text with mistakes is told and left alone", () => {
    const broken = "resistor r a -> ground 1 kohm extra words here\n";
    const path = file(broken);
    const { status, out, err } = rampwright(["format", "--in-place", path]);
    expect({ status, out }).toEqual({ status: 2, out: "" });
    expect(err).toMatch(/:1:\d+: error /);
    expect(readFileSync(path, "utf8")).toBe(broken);
  });
});

// A terminal is imitated by `script` (util-linux); where that is not installed, there is none to ask.
const terminal = spawnSync("script", ["--version"]).status === 0;

describe.runIf(terminal)("colour", () => {
  const onTerminal = (env: Record<string, string>) => {
    const words = `${process.execPath} ${program} check ${file(failing)}`;
    const clean = { ...process.env, TERM: "xterm", ...env };
    return spawnSync("script", ["-qec", words, "/dev/null"], { env: clean, encoding: "utf8", input: "" })
      .stdout;
  };

  test("a terminal gets it", () => {
    expect(onTerminal({ NO_COLOR: "" })).toContain("\u001b[1;31mFAIL\u001b[0m");
  });

  test("NO_COLOR is honoured (no-color.org)", () => {
    const out = onTerminal({ NO_COLOR: "1" });
    expect(out).toContain("FAIL");
    expect(out).not.toContain("\u001b[");
  });
});

test("no input ever gives a stack trace", () => {
  for (const input of ["\0\0\0", "\ufeff", "block", '"', "check", wrong, `${sound}use`, "\u{d800}"]) {
    for (const words of [
      ["check", "-"],
      ["check", "--json", "-"],
      ["format", "-"],
    ]) {
      const { status, out, err } = rampwright(words, { input });
      expect([0, 1, 2, 3]).toContain(status);
      expect(out + err).not.toMatch(/^\s+at .*:\d+:\d+\)?$|mistake in Rampwright itself/m);
    }
  }
});
