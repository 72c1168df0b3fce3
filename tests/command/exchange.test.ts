// Waveforms for other programs: read back by NumPy where it is installed, and by their heads as the formats' texts have them (NEP 1;
// RIFF WAVE 1.0 of 1991; IEEE 1364-2005, clause 18). Values: dV/dt = I/C (Millman & Taub 1965), so 1 V at 20 µs and 5 V at 60 µs.
import { execFileSync, spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { folder, rampwright, sound } from "./running.js";

/** A Python that has NumPy: the one that is called so, or that of the system. */
const python3 = ["python3", "/usr/bin/python3"].find(
  (one) => spawnSync(one, ["-c", "import numpy"]).status === 0,
);
const anyPython = spawnSync("python3", ["--version"]).status === 0;

function written(name: string, ...words: string[]): string {
  const out = join(folder(), name);
  const done = rampwright(["run", "-", "--until", "60 us", "--out", out, ...words], { input: sound });
  expect(done.status, done.err).toBe(0);
  return out;
}

function python(code: string, path: string): unknown {
  return JSON.parse(execFileSync(python3 ?? "python3", ["-c", code, path], { encoding: "utf8" }));
}

const twice = ["--traces", "ramp, feed.current"];

describe("an array", () => {
  test("has the head of the format, and rows of doubles behind it", () => {
    const bytes = readFileSync(written("w.npy", ...twice));
    expect(bytes.subarray(0, 8).toString("latin1")).toBe("\x93NUMPY\x01\x00");
    const length = bytes.readUInt16LE(8);
    expect((10 + length) % 64).toBe(0);
    const head = bytes.subarray(10, 10 + length).toString("latin1");
    const [, rows] = /^\{'descr': '<f8', 'fortran_order': False, 'shape': \((\d+), 3\), \} *\n$/.exec(head)!;
    expect(bytes.length).toBe(10 + length + Number(rows) * 3 * 8);
    expect(bytes.readDoubleLE(bytes.length - 24)).toBe(60e-6);
    expect(bytes.readDoubleLE(bytes.length - 16)).toBeCloseTo(5, 9);
    expect(bytes.readDoubleLE(bytes.length - 8)).toBeCloseTo(1e-3, 12);
  });

  test.skipIf(!python3)("is what NumPy reads", () => {
    const code = `import sys, json, numpy as np
a = np.load(sys.argv[1], allow_pickle=False)
print(json.dumps([str(a.dtype), a.shape[1], bool((np.diff(a[:, 0]) >= 0).all()), float(np.interp(20e-6, a[:, 0], a[:, 1]))]))`;
    const [type, columns, rising, volt] = python(code, written("w.npy", ...twice)) as [
      string,
      number,
      boolean,
      number,
    ];
    expect([type, columns, rising]).toEqual(["float64", 3, true]);
    expect(volt).toBeCloseTo(1, 6);
  });

  test.skipIf(!python3)("so is an archive of them, by name", () => {
    const code = `import sys, json, numpy as np
z = np.load(sys.argv[1], allow_pickle=False)
print(json.dumps([z.files, float(z["time"][-1]), float(z["ramp"][-1]), float(z["feed.current"][-1])]))`;
    const [names, ...last] = python(code, written("w.npz", ...twice)) as [string[], ...number[]];
    expect(names).toEqual(["time", "ramp", "feed.current"]);
    for (const [i, value] of [60e-6, 5, 1e-3].entries()) expect(last[i]).toBeCloseTo(value, 9);
  });

  test("the same run gives the same archive", () => {
    expect(readFileSync(written("w.npz"))).toEqual(readFileSync(written("w.npz")));
  });
});

test("a value change dump has real variables within scopes, and their values at whole ticks", () => {
  const lines = readFileSync(written("w.vcd", ...twice), "utf8").split("\n");
  const head = lines.indexOf("$enddefinitions $end");
  expect(lines.slice(0, head)).toEqual([
    "$version Rampwright $end",
    "$timescale 1 fs $end",
    "$comment ramp in V $end",
    "$comment \\feed.current in A $end",
    "$var real 64 ! ramp $end",
    "$scope module feed $end",
    '$var real 64 " current $end',
    "$upscope $end",
  ]);
  expect(lines.slice(head + 1, head + 3)).toEqual(["#0", "$dumpvars"]);
  let tick = -1;
  const values: Record<string, number> = {};
  for (const line of lines.slice(head + 1)) {
    if (line.startsWith("#")) {
      expect(Number(line.slice(1))).toBeGreaterThan(tick);
      tick = Number(line.slice(1));
    }
    const [, value, code] = /^r(\S+) (\S+)$/.exec(line) ?? [];
    if (code) values[code] = Number(value);
  }
  // 60 µs are 6e10 fs.
  expect(tick).toBe(6e10);
  expect(values["!"]).toBeCloseTo(5, 9);
  expect(values['"']).toBeCloseTo(1e-3, 12);
});

// A reader of value change dumps by the grammar of IEEE 1364-2005, 18.2 (from memory), that refuses whatever the grammar has not. It
// gives for each variable, by its path, the pairs of instant (s) and value.
const dumpReader = String.raw`
import json, re, sys
tokens = iter(open(sys.argv[1], encoding="ascii").read().split())
unit = None
scope, names, found = [], {}, {}
def section():
    out = []
    for token in tokens:
        if token == "$end": return out
        out.append(token)
    raise SystemExit("a section without $end")
def need(right, what):
    if not right: raise SystemExit("no " + what)
for token in tokens:
    if token in ("$comment", "$date", "$version"): section()
    elif token == "$timescale":
        number, prefix = re.fullmatch("(1|10|100)([munpf]?)s", "".join(section())).groups()
        unit = int(number) * 10.0 ** {"": 0, "m": -3, "u": -6, "n": -9, "p": -12, "f": -15}[prefix]
    elif token == "$scope":
        kind, name = section()
        need(kind in ("begin", "fork", "function", "module", "task"), "kind of scope: " + kind)
        scope.append(name)
    elif token == "$upscope":
        need(section() == [] and scope.pop(), "scope to leave")
    elif token == "$var":
        kind, size, code, name = section()
        need(kind in ("real", "wire", "reg", "integer") and size.isdigit(), "variable: " + kind)
        need(all(33 <= ord(c) <= 126 for c in code) and code not in names, "new code: " + code)
        need(re.fullmatch(r"[A-Za-z_][A-Za-z0-9_$]*|\\\S+", name), "identifier: " + name)
        names[code] = ".".join([*scope, name])
        found[names[code]] = []
    elif token == "$enddefinitions":
        need(section() == [] and scope == [] and unit, "whole definitions")
        break
    else: raise SystemExit("no declaration: " + token)
else: raise SystemExit("no end of the definitions")
now, open_dump = None, False
for token in tokens:
    if token[0] == "#":
        need(now is None or int(token[1:]) > now, "later time: " + token)
        now = int(token[1:])
    elif token in ("$dumpvars", "$dumpall", "$dumpon", "$dumpoff"): open_dump = True
    elif token == "$end":
        need(open_dump, "dump to end")
        open_dump = False
    elif token == "$comment": section()
    elif token[0] in "rR": found[names[next(tokens)]].append([now * unit, float(token[1:])])
    elif token[0] in "01xXzZ": found[names[token[1:]]].append([now * unit, token[0]])
    else: raise SystemExit("no change of a value: " + token)
print(json.dumps(found))
`;

test.skipIf(!anyPython)("a reader by the grammar of value change dumps finds the ramp in one", () => {
  const found = python(dumpReader, written("w.vcd", ...twice)) as Record<string, [number, number][]>;
  expect(Object.keys(found)).toEqual(["ramp", "feed.current"]);
  expect(found["ramp"].at(-1)![0]).toBeCloseTo(60e-6, 15);
  // A variable keeps its value until the next change: by at most one stair it stays behind the ramp.
  for (let us = 1; us <= 60; us++) {
    const [, held] = found["ramp"].findLast(([t]) => t <= us * 1.000001e-6)!;
    const behind = Math.max(0, us - 10) / 10 - held;
    expect(behind, `${us} us`).toBeGreaterThan(-1e-5);
    expect(behind, `${us} us`).toBeLessThan(5 / 256 + 1e-5);
  }
  for (const [, amperes] of found["feed.current"]) expect(amperes).toBeCloseTo(1e-3, 12);
});

test("a sound file has a trace as floating point, in volts", () => {
  const bytes = readFileSync(written("w.wav", "--traces", "ramp", "--rate", "1 MHz"));
  expect([bytes.toString("latin1", 0, 4), bytes.toString("latin1", 8, 16)]).toEqual(["RIFF", "WAVEfmt "]);
  expect(bytes.readUInt32LE(4)).toBe(bytes.length - 8);
  // Format 3, one channel, 1 MHz, 4 MB a second, 4 bytes a frame, 32 bits a sample.
  expect([20, 22, 32, 34].map((at) => bytes.readUInt16LE(at))).toEqual([3, 1, 4, 32]);
  expect([24, 28, 46, 54].map((at) => bytes.readUInt32LE(at))).toEqual([1e6, 4e6, 61, 244]);
  expect(bytes.length).toBe(58 + 244);
  for (const [us, volts] of [5, 20, 60].map((t) => [t, Math.max(0, t - 10) / 10]))
    expect(bytes.readFloatLE(58 + 4 * us)).toBeCloseTo(volts, 5);
});

test("a table has evenly spaced rows at a rate", () => {
  const text = readFileSync(written("w.csv", ...twice, "--rate", "1 MHz"), "utf8");
  const rows = text
    .trim()
    .split("\r\n")
    .slice(1)
    .map((line) => line.split(",").map(Number));
  expect(rows).toHaveLength(61);
  for (const [k, [time, volts]] of rows.entries()) {
    expect(time).toBeCloseTo(k * 1e-6, 18);
    expect(volts, `row ${k}`).toBeCloseTo(Math.max(0, k - 10) / 10, 5);
  }
  const { times, traces } = JSON.parse(
    readFileSync(written("w.json", ...twice, "--rate", "0.5 MHz"), "utf8"),
  );
  expect([times.length, times[0].length, traces.map(({ time }: { time: number }) => time)]).toEqual([
    1,
    31,
    [0, 0],
  ]);
});

test.each([
  ["w.wav", "0 Hz", /--rate: 0 Hz is no rate/],
  ["w.wav", "0.5 Hz", /--rate: 0\.5 Hz is no rate/],
  ["w.wav", "5 V", /--rate: 5 V is a voltage/],
  ["w.csv", "0 Hz", /--rate: 0 Hz is no rate/],
  ["w.json", "-1 Hz", /--rate: -1 Hz is no rate/],
  ["w.npy", "1e6 GHz", /--rate: 100000000001 values are more than the 50000000 .*shorten the run/],
  ["w.svg", "1 MHz", /--rate: it goes with a \.csv, \.json, \.npy, \.npz or \.wav/],
  ["w.vcd", "1 MHz", /--rate: it goes with a/],
])("%s at %s is refused, and nothing is written", (name, rate, message) => {
  const out = join(folder(), name);
  const done = rampwright(["run", "-", "--out", out, "--rate", rate], { input: sound });
  expect(done.status).toBe(2);
  expect(done.err).toMatch(message);
  expect(() => readFileSync(out)).toThrow();
});
