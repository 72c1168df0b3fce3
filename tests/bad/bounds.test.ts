// Every limit of studies, of lists, and of files that are handed in, just below, at, and just above. No outside source: these are
// the promises of the library.
import { mkdtempSync, rmSync, truncateSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { encode } from "fast-png";
import { afterAll, describe, expect, it, vi } from "vitest";
import { runsOfSlice, slicing } from "../../src/command/studyslices.js";
import { settableValues } from "../../src/design/revalue.js";
import { takenReadings } from "../../src/diagnosis/readings.js";
import { captureIn } from "../../src/files/capturefile.js";
import { resolvers } from "../../src/files/neighbours.js";
import { luminance, mostPixels } from "../../src/files/pixels.js";
import {
  compile,
  type DesignError,
  film,
  readCapture,
  readMeasured,
  readStock,
  simulate,
  sortPairs,
  symptoms,
} from "../../src/index.js";
import { draw } from "../../src/schematic/reporting.js";
import { bagsOf } from "../../src/spread/stock.js";
import { rangeOf } from "../../src/spread/trials.js";
import { corners } from "../../src/spread/worst.js";
import { checkedSize } from "../../src/tube/raster.js";
import { pointsOf } from "../../src/variation/variedpoints.js";
import { far, idle, tryLimits } from "./beside.js";

const scratch = mkdtempSync(join(tmpdir(), "rampwright-"));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));
const rc = compile(`supply p = 5 V
given load = 1 kohm +- 5 %
resistor r p -> out load
capacitor c out -> ground 1 uF
check "full" peak of out below 6 V`);
const values = settableValues(rc);
const times = (n: number, line: (i: number) => string) =>
  Array.from({ length: n }, (_, i) => `${line(i)}\n`).join("");

/** Stands for memory that would be taken: nobody waits for 400 MB. */
class Taken extends Error {}
/** An act that may take memory for so many numbers and more; it ends there. */
function upTo(numbers: number, act: () => unknown): unknown {
  const { Float64Array: whole } = globalThis;
  vi.stubGlobal(
    "Float64Array",
    new Proxy(whole, {
      construct(target, [size]: [number]) {
        if (size >= numbers) throw new Taken();
        return new target(size);
      },
    }),
  );
  try {
    return act();
  } catch (error) {
    if (error instanceof Taken) return [];
    throw error;
  } finally {
    vi.stubGlobal("Float64Array", whole);
  }
}

/** A sound file of 8 bits: so many samples of so many channels, all of them zero (RIFF WAVE: PCM format 1). */
function sound(samples: number, channels: number): Uint8Array {
  const bytes = new Uint8Array(44 + samples * channels);
  const view = new DataView(bytes.buffer);
  const word = (at: number, text: string) => bytes.set(new TextEncoder().encode(text), at);
  word(0, "RIFF");
  view.setUint32(4, bytes.length - 8, true);
  word(8, "WAVEfmt ");
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true);
  view.setUint16(22, channels, true);
  view.setUint32(24, 48_000, true);
  view.setUint32(28, 48_000 * channels, true);
  view.setUint16(32, channels, true);
  view.setUint16(34, 8, true);
  word(36, "data");
  view.setUint32(40, samples * channels, true);
  return bytes;
}

describe("studies", () => {
  tryLimits([
    {
      what: "trials in one go",
      limit: 10_000_000,
      code: "bad-option",
      option: "trials",
      at: (n) => rangeOf({ from: 5, to: n + 5 }),
    },
    {
      what: "points of a range",
      limit: 10_000,
      code: "bad-option",
      option: "points",
      at: (points) => pointsOf(values.get("load")!, { from: 1, to: 2, points }),
    },
    {
      what: "values that are named",
      limit: 10_000,
      code: "bad-option",
      option: "values",
      at: (n) => pointsOf(values.get("load")!, { values: Array.from({ length: n }, (_, i) => i + 1) }),
    },
    {
      what: "values of whose tolerances all corners are run",
      limit: 20,
      // 2^20 of them.
      says: /more than the 1048576 that can be run/,
      code: "bad-option",
      option: "exact",
      at: (n) => {
        const parts = times(n, (i) => `resistor r${i} p -> ground 1 kohm +- 5 %`);
        const design = compile(`supply p = 5 V\n${parts}check "k" peak of p below 6 V`);
        // Told before the first of them, so that the second run is enough.
        const enough = () => {
          throw new Taken();
        };
        try {
          corners(design, { exact: true, simulate: { until: "1 us" }, progress: enough });
        } catch (error) {
          if (!(error instanceof Taken)) throw error;
        }
      },
    },
    {
      what: "parts of a bag",
      limit: 10_000,
      code: "bad-option",
      option: idle,
      at: (n) => bagsOf(rc, [{ values: ["load"], parts: new Array<number>(n).fill(1000) }]),
    },
    {
      what: "runs of a table of symptoms",
      limit: suspects(),
      code: "table-too-large",
      option: "most",
      // As many runs as there are suspects; of one more than allowed there is one allowed less.
      at: (n) => symptoms(rc, { most: 2 * suspects() - n, simulate: { until: "1 us" } }),
      says: /but \d+ are allowed/,
    },
    {
      what: "readings that are weighed",
      limit: 200,
      code: "bad-option",
      option: idle,
      at: (n) =>
        takenReadings(
          symptoms(rc, { simulate: { until: "1 us" } }),
          new Array(n).fill({ what: "peak of out", value: "5 V" }),
        ),
    },
    {
      what: "slices",
      limit: 1_000_000,
      says: /which slice of how many/,
      code: "bad-option",
      option: idle,
      at: (n) => runsOfSlice(5, slicing.slice.read(`1/${n}`, "--slice")!),
    },
  ]);
});

/** Suspects of the design above. */
function suspects(): number {
  try {
    symptoms(rc, { most: 1 });
  } catch (error) {
    return Number(/^(\d+) suspects/.exec((error as DesignError).diagnostics[0].message)![1]);
  }
  return 0;
}

describe("lists and captures", () => {
  const row = "capacitor,x,1 nF,5 %,,,,0.1\n";
  tryLimits([
    {
      what: "parts that are sorted into pairs",
      limit: 5000,
      code: "bad-option",
      option: { none: "the table of pairs grows as their square" },
      at: (n) => sortPairs(new Array<number>(n).fill(1), [1]),
    },
    {
      what: "rows of measured parts",
      limit: 10_000,
      code: "too-many-rows",
      option: far,
      at: (n) => readMeasured(`timing (nF)\n${times(n, () => "15")}`),
    },
    {
      what: "rows of a stock list",
      limit: 100_000,
      code: "too-many-rows",
      option: far,
      heavy: true,
      at: (n) => readStock(`kind,name,value,tolerance,voltage,power,current,price\n${row.repeat(n)}`),
    },
    {
      what: "characters of a line of a capture",
      limit: 2 ** 24,
      code: "no-samples-found",
      option: far,
      heavy: true,
      at: (n) => {
        const comment = `# ${"x".repeat(n - 2)}`;
        readCapture(`${comment}\ntime (s),a (V)\n0,1\n1,2\n`);
      },
    },
    {
      what: "columns of a capture",
      limit: 1000,
      code: "too-many-samples",
      option: far,
      at: (n) => {
        const line = (first: number) => `${first}${",1".repeat(n - 1)}\n`;
        readCapture(line(0) + line(1) + line(2));
      },
    },
    {
      what: "numbers of a sound file",
      limit: 50_000_000,
      code: "too-many-samples",
      option: { none: "they would take more than 400 MB; a shorter stretch shows as much" },
      heavy: true,
      at: (n) => {
        // With time that is (channels + 1) numbers a sample; of a prime number more there is one channel alone.
        const [samples, channels] =
          n === 50_000_000 ? [2_000_000, 24] : n < 50_000_000 ? [7_142_857, 6] : [50_000_001 / 3, 2];
        expect(samples * (channels + 1)).toBe(n);
        upTo(samples, () => readCapture(sound(samples, channels)));
      },
    },
  ]);
});

describe("pictures", () => {
  const board = () => simulate(rc, { until: "1 ms" });
  const png = (n: number) => {
    // 2^22 - 1 = 2047 × 2049, 2^22 + 1 = 5 × 838 861.
    const [width, height] = n === mostPixels ? [2048, 2048] : n < mostPixels ? [2047, 2049] : [5, 838_861];
    expect(width * height).toBe(n);
    return encode({ width, height, channels: 1, depth: 8, data: new Uint8Array(n) });
  };
  tryLimits([
    {
      what: "pixels of a picture that is shown",
      limit: mostPixels,
      code: "picture",
      option: { none: "far more than television shows" },
      heavy: true,
      at: (n) => {
        const read = luminance(png(n));
        return "reason" in read ? [{ severity: "error", code: "picture", message: read.reason }] : [];
      },
    },
    {
      what: "pixels a side of a picture that is drawn",
      limit: 10_000,
      code: "bad-option",
      option: "width",
      at: (n) => checkedSize(n, 1),
    },
    {
      what: "pixels of pictures that are drawn",
      limit: 4e7,
      code: "bad-option",
      option: "width",
      // 40 000 001 has no factors that fit, so one picture more of a pixel stands for it.
      at: (n) => checkedSize(n === 4e7 ? 8000 : 1, n === 4e7 ? 5000 : 1, n === 4e7 ? 1 : n),
    },
    {
      what: "fields of a film",
      limit: 200,
      code: "bad-option",
      option: "fields",
      at: (fields) => {
        try {
          film(board(), { fields });
        } catch (error) {
          // How many there may be is looked at first; that this circuit has no tube is told next.
          const [d] = (error as DesignError).diagnostics;
          return d.message.startsWith("fields: a film has") ? [d] : [];
        }
      },
    },
    {
      what: "parts of a schematic",
      limit: 5000,
      code: "too-large-to-draw",
      option: { none: "nobody could read it" },
      heavy: true,
      at: (n) => draw(compile(`supply p = 5 V\n${times(n - 1, (i) => `resistor r${i} p -> ground 1 ohm`)}`)),
    },
  ]);

  it("1.5 GB of a capture's file", () => {
    const file = join(scratch, "large.csv");
    // Zeros, which no disk holds: what is wrong with them is told later than that they are too many.
    const said = (bytes: number) => {
      writeFileSync(file, "");
      truncateSync(file, bytes);
      try {
        captureIn(file, { name: "large.csv" });
      } catch (error) {
        const [{ code, message, hint }] = (error as DesignError).diagnostics;
        return `${code}: ${message} = ${hint}`;
      }
      return "";
    };
    const limit = 1.5e9;
    for (const bytes of [limit - 1, limit]) expect(said(bytes)).not.toMatch(/GB/);
    expect(said(limit + 1)).toMatch(
      /^too-many-samples: large\.csv: 1\.5 GB are more .* = take fewer samples/,
    );
  });

  it("33554432 bytes of a file that is brought", () => {
    const { resolve } = resolvers(scratch, () => undefined);
    const file = join(scratch, "large.ramp");
    const length = (bytes: number) => {
      writeFileSync(file, "");
      truncateSync(file, bytes);
      return resolve("large.ramp")?.length;
    };
    const limit = 32 * 1024 * 1024;
    expect([limit - 1, limit, limit + 1].map(length)).toEqual([limit - 1, limit, undefined]);
  });
});
