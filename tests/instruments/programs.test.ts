// Captures written by other programs: numpy, pandas and Python's own wave, and sox. The files in shared/captures were made by
// `python3 make.py .` there; where these programs are present they are made anew, and must be read alike.
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, describe, expect, it } from "vitest";
import { type Capture, readCapture } from "../../src/index.js";

const stored = fileURLToPath(new URL("../../shared/captures", import.meta.url));
const anew = mkdtempSync(join(tmpdir(), "rampwright-"));
afterAll(() => rmSync(anew, { recursive: true, force: true }));
const made =
  spawnSync("/usr/bin/python3", [join(stored, "make.py"), anew], { encoding: "utf8" }).status === 0
    ? anew
    : undefined;

// What the files hold, by the formula in make.py.
const count = 400;
const ramp = (k: number) => (k % 200) * 10e-6 * 1000;
const gate = (k: number) => (k % 200 < 100 ? 5 : 0);
const gaps = new Set([17, 300]);

function read(folder: string, name: string): Capture {
  const fullScale = name.endsWith(".wav") ? { fullScale: "4 V" } : {};
  return readCapture(new Uint8Array(readFileSync(join(folder, name))), { name, ...fullScale });
}

describe.each([["as stored", stored], ...(made ? [["made anew", made]] : [])])(
  "captures of other programs, %s",
  (_, folder) => {
    it.each([
      ["numpy.csv", false],
      ["pandas.csv", true],
      ["pandas-comma.csv", true],
      ["pandas-index.csv", true],
    ])("%s is read with its names, units and gaps", (name, gapped) => {
      const { time, channels } = read(folder, name);
      expect(channels.map((c) => [c.name, c.unit])).toEqual([
        ["ramp", "V"],
        ["gate", "V"],
      ]);
      expect(time.length).toBe(count);
      for (let k = 0; k < count; k++) {
        expect(time[k]).toBeCloseTo(k * 10e-6, 12);
        expect(channels[1].value[k]).toBe(gate(k));
        if (gapped && gaps.has(k)) expect(channels[0].value[k]).toBeNaN();
        else expect(channels[0].value[k]).toBeCloseTo(ramp(k), 6);
      }
    });

    // A step of 16 bits over 8 V from -4 V to 4 V is 122 uV, of 8 bits 31 mV; sox rounds to the nearest.
    it.each([
      ["python.wav", 4 / 2 ** 15],
      ["sox24.wav", 4 / 2 ** 15],
      ["sox32f.wav", 4 / 2 ** 15],
      ["sox8.wav", 4 / 2 ** 7],
    ])("%s is read with its rate and full scale", (name, step) => {
      const { time, channels } = read(folder, name);
      expect(channels.map((c) => [c.name, c.unit])).toEqual([
        ["1", "V"],
        ["2", "V"],
      ]);
      expect(time.length).toBe(count);
      for (let k = 0; k < count; k++) {
        expect(time[k]).toBeCloseTo(k * 10e-6, 12);
        expect(Math.abs(channels[0].value[k] - ramp(k))).toBeLessThanOrEqual(step / 2 + 1e-9);
        expect(Math.abs(channels[1].value[k] - gate(k) / 2)).toBeLessThanOrEqual(step / 2 + 1e-9);
      }
    });

    it("sox's text: a rate in its head, a column of time, shares of full scale", () => {
      const { time, channels } = read(folder, "sox.dat");
      expect(channels.length).toBe(2);
      expect(channels[0].unit).toBe("");
      for (let k = 0; k < count; k++) {
        expect(time[k]).toBeCloseTo(k * 10e-6, 12);
        expect(4 * channels[0].value[k]).toBeCloseTo(ramp(k), 3);
      }
    });
  },
);
