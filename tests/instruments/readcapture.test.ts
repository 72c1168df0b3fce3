// Captures as instruments write them, each made by hand here: what is read of them is what was written, and what is wrong is
// told with its row and column.
import { describe, expect, it } from "vitest";
import { captured, DesignError, inspect, type ReadOptions, readCapture } from "../../src/index.js";
import { evens } from "../captures/generator.js";
import { kept } from "../kept.js";

const told = (act: () => unknown) => {
  try {
    act();
  } catch (error) {
    return (error as DesignError).diagnostics.map(({ code, span }) => `${span.line}:${span.column} ${code}`);
  }
  return [];
};
const wrong = (text: string, options?: ReadOptions) => told(() => readCapture(text, options));

const cutAt = (bytes: Uint8Array, at: number) => [
  bytes.subarray(0, at),
  ...Array.from(bytes.subarray(at), (_, i) => bytes.subarray(at + i, at + i + 1)),
];

describe("a table", () => {
  // The same three samples of two channels, 0 s, 1 ms and 2 ms: 0 V, 1.5 V, 3 V and 0 A, -20 mA, -40 mA.
  it.each<[string, string, ReadOptions?]>([
    ["commas", "Time (s),ramp (V),feed (A)\n0,0,0\n0.001,1.5,-0.02\n2e-3,3,-.04\n"],
    [
      "semicolons and decimal commas",
      "Zeit [ms];ramp [V];feed [mA]\r\n0;0;0\r\n1,0;1,5;-20\r\n2;3;-40,0\r\n",
    ],
    ["tabs", "time in ms\tramp in V\tfeed in mA\n0\t0\t0\n1\t1.5\t-20\n2\t3\t-40"],
    [
      "a line of units",
      "instrument,of some kind\n\ntime,ramp,feed\ns,V,mA\n0,0,0\n0.001,1.5,-20\n0.002,3,-40\n",
    ],
    ["units in brackets below", "x-axis,ramp,feed\n(ms),(mV),(mA)\n0,0,0\n1,1500,-20\n2,3000,-40\n"],
    ["an interval in the head", "Sample Interval,0.001,s\nramp (V),feed (A)\n0,0\n1.5,-0.02\n3,-0.04\n"],
    ["a rate in the head", "# sample rate: 1 kSa/s\n# ramp (V);feed (A)\n0;0\n1.5;-0.02\n3;-0.04\n"],
    [
      "an increment beside the names, and a count",
      "X,ramp,feed,Start,Increment\nNumber,Volt,Ampere,0,1.0e-03\n0,0,0\n1,1.5,-0.02\n2,3,-0.04\n",
    ],
    ["an interval that is given", "ramp (V),feed (A)\n0,0\n1.5,-0.02\n3,-0.04\n", { interval: "1 ms" }],
    ["quotes", '"Time, s","ramp (V)","feed (A)"\n"0","0","0"\n"0.001","1.5","-0.02"\n"0.002","3","-0.04"\n'],
    [
      "decimal commas between quotes, commas between cells",
      'time (s),"ramp (V)","feed (A)"\n"0","0","0"\n"0,001","1,5","-0,02"\n"2e-3","3,0","-0,04"\n',
    ],
    ["units behind a comma", '"time, ms","ramp, V","feed, mA"\n0,0,0\n1,1.5,-20\n2,3,-40\n'],
    ["units behind a blank or a low line", "time ms,ramp_mV,feed mA\n0,0,0\n1,1500,-20\n2,3000,-40\n"],
    [
      "rows numbered in a column that nothing heads",
      "   Time (s)  ramp (V)  feed (A)\n0  0  0  0\n1  1e-3  1.5  -0.02\n2  2e-3  3  -0.04\n",
    ],
    ["names with their units behind a bar", "t/ms ramp/V feed/mA\n0 0 0\n1.0 1.5 -20.0\n2.0 3.0 -40.0\n"],
    [
      "a time for each channel, the same",
      "time (s),ramp (V),time (s),feed (A)\n0,0,0,0\n0.001,1.5,0.001,-0.02\n2e-3,3,2e-3,-.04\n",
    ],
    [
      "carriage returns, minus signs",
      "Time (s),ramp (V),feed (A)\r0,0,0\r1e\u22123,1.5,\u22120.02\r\r2e-3,3,\u2212.04\r",
    ],
    [
      "an increment of which no row has anything",
      "X,ramp,feed,Start,Increment\nSequence,Volt,Ampere,0,1.0e-03\n0,0,0,,\n1,1.5,-0.02,,\n2,3,-0.04,,\n",
    ],
    [
      "an increment of levels beside that of time",
      "Y Increment,0.04\nX Increment,0.001\nramp (V),feed (A)\n0,0\n1.5,-0.02\n3,-0.04\n",
    ],
    [
      "an interval in msec, from a frequency on",
      "Start frequency: 100 Hz\nSample interval: 1 msec\nramp (V);feed (A)\n0;0\n1.5;-0.02\n3;-0.04\n",
    ],
    [
      "a rate in samples per second, at a day",
      "Start: 27.11.2026 12:10\nSample rate: 1 kSPS\nramp (V);feed (A)\n0;0\n1.5;-0.02\n3;-0.04\n",
    ],
    [
      "a unit above the number of an interval",
      "Start (ms),Increment (ms)\n0,1\nramp (V),feed (A)\n0,0\n1.5,-0.02\n3,-0.04\n",
    ],
    ["a count with a name", "Sample,Time (mSec),ramp (v),feed (ma)\n1,0,0,0\n2,1,1.5,-20\n3,2,3,-40\n"],
    [
      "a head in the columns beside the samples",
      "; no names\nSamples,3,,0,0,0\nSample Interval,0.001,s,0.001,1.5,-0.02\n,,,0.002,3,-0.04\n",
    ],
    [
      "blanks, and units in brackets behind a blank",
      "Time (s)  ramp (V)  feed (A)\n0 0 0\n0.001 1.5 -0.02\n0.002 3 -0.04\n",
    ],
    [
      "an end-of-file mark and zeros",
      "time (s),ramp (V),feed (A)\n0,0,0\n0.001,1.5,-0.02\n0.002,3,-0.04\n\x1a\0\0",
    ],
    ["separators at the ends", "time (s);ramp (V);feed (A);\n0;0;0;\n0.001;1.5;-0.02;\n0.002;3;-0.04;\n"],
    [
      "blanks",
      "; Sample Rate 1000\n; Channels 2\n; ramp feed\n   0   0  0\n   0.001  1.5  -0.02\n   0.002  3  -0.04\n",
    ],
  ])("%s", (_, text, options) => {
    for (const content of [text, new TextEncoder().encode(`\uFEFF${text}`), [...text]]) {
      const { time, channels } = readCapture(content, options);
      expect([...time].map((t) => t.toFixed(9))).toEqual(["0.000000000", "0.001000000", "0.002000000"]);
      expect(channels.map(({ value }) => [...value].map((v) => Number(v.toPrecision(12))))).toEqual([
        [0, 1.5, 3],
        [0, -0.02, -0.04],
      ]);
      if (!text.startsWith(";"))
        expect(channels.map((c) => `${c.name} ${c.unit}`)).toEqual(["ramp V", "feed A"]);
    }
  });

  // Each stands for microseconds; read as something else they would be seconds.
  it.each<[string, (text: string) => Uint8Array]>([
    ["UTF-8", (text) => new TextEncoder().encode(text)],
    ["Windows-1252, as old instruments write it", (text) => Buffer.from(text, "latin1")],
    ["UTF-16", (text) => Buffer.from(text, "utf16le")],
    ["UTF-16 with its mark", (text) => Buffer.from(`\uFEFF${text}`, "utf16le")],
    ["UTF-16, the high byte first", (text) => Buffer.from(text, "utf16le").swap16()],
    [
      "UTF-16, the high byte first, with its mark",
      (text) => Buffer.from(`\uFEFF${text}`, "utf16le").swap16(),
    ],
  ])("%s, whole and in pieces", (_, encoded) => {
    const bytes = encoded("Tür;öffnung\r\nt (\u00b5s);ramp (V)\r\n0;1\r\n1;2\r\n2;3\r\n");
    for (const content of [bytes, cutAt(bytes, 100), cutAt(bytes, 19)]) {
      const { time, channels } = readCapture(content);
      expect([...time]).toEqual([0, 1e-6, 2e-6]);
      expect(channels).toMatchObject([{ name: "ramp", unit: "V" }]);
    }
  });

  it("a line of units for a head; a letter behind a blank is no unit", () => {
    const { time, channels } = readCapture("\u00b5s,V,mA\n0,1,2\n1,2,3\n2,3,5\n");
    expect([...time]).toEqual([0, 1e-6, 2e-6]);
    expect(channels).toMatchObject([{ unit: "V" }, { unit: "A", value: Float64Array.of(2e-3, 3e-3, 5e-3) }]);
    const named = readCapture("t (s),channel A,ramp min\n0,1,2\n1,2,3\n2,3,5\n").channels;
    expect(named).toMatchObject([
      { name: "channel A", unit: "" },
      { name: "ramp min", unit: "", value: Float64Array.of(2, 3, 5) },
    ]);
  });

  it("without any head: numbers for names, no units but the one given", () => {
    const { channels } = readCapture("0,1\n1e-6,2\n2e-6,3\n", { unit: "mV" });
    expect(channels).toMatchObject([{ name: "1", unit: "V", value: Float64Array.of(0.001, 0.002, 0.003) }]);
  });

  it("gaps in a channel, and stretches without samples", () => {
    const rows = Array.from({ length: 20 }, (_, i) => `${i < 10 ? i : i + 5},${i === 3 ? "" : i}`);
    const capture = readCapture(`t (us),a (V)\n${rows.join("\n")}\n`);
    expect(capture.channels[0].value[3]).toBeNaN();
    expect(capture.holes).toHaveLength(1);
    expect(capture.holes[0].from).toBeCloseTo(9e-6, 12);
    expect(capture.holes[0].to).toBeCloseTo(15e-6, 12);
    // Between the neighbours of a gap the trace is straight.
    expect(captured(capture).at(3e-6)).toBeCloseTo(3, 9);
  });

  it("a blank line between samples without times is one that is missing, unless all are written so", () => {
    const at = (text: string) => {
      const { time, holes, warnings } = readCapture(`Sample interval: 1 us\n${text}`);
      return [[...time].map((t) => Math.round(t * 1e6)), holes.length, warnings?.length ?? 0];
    };
    expect(at("ramp (V)\n1\n2\n\n4\n5\n6\n\n\n")).toEqual([[0, 1, 3, 4, 5], 1, 1]);
    expect(at("a\tb\n1\t2\n2\t3\n3\t4\n\t\n5\t6\n")).toEqual([[0, 1, 2, 4], 1, 1]);
    expect(at("ramp (V)\n1\n\n2\n\n3\n\n4\n")).toEqual([[0, 1, 2, 3], 0, 0]);
    expect(at("ramp (V)\n1\n\n2\n\n\n\n4\n\n5\n\n6\n")).toEqual([[0, 1, 3, 4, 5], 1, 1]);
    // Rows without any sample near the first ones.
    const { channels } = readCapture("Sample interval;1 us\na;b\n3,5;-2,1\n-2;2\n;\n2;7\n-1;5\n1;-1\n");
    expect([...channels[0].value]).toEqual([3.5, -2, Number.NaN, 2, -1, 1]);
  });

  it("a line that tells spreadsheets the separator, settings and times called like units are no names or units", () => {
    const named = (text: string) => readCapture(text).channels.map(({ name, unit }) => [name, unit]);
    expect(named("sep=;\nt;v\n0;1,5\n1;2\n2;3\n")).toEqual([["v", ""]]);
    expect(named("Scope 3000;12\nt;v\n0;1,5\n1;2\n2;3\n")).toEqual([["v", ""]]);
    expect(named("Sample interval;1 us\n1;2\n5;3\n4;4\n")).toEqual([
      ["1", ""],
      ["2", ""],
    ]);
    expect(named("index,CH1_Voltage(mV),Channel A(kV)\ndt,1e-6,\n0,40,1\n1,41,2\n2,42,3\n")).toEqual([
      ["CH1_Voltage", "V"],
      ["Channel A", "V"],
    ]);
    expect(named("Sample Rate (Hz),1000000\nSamples,3\n\n1.5\n2.5\n3.5\n")).toEqual([["1", ""]]);
    // A voltage that rises by one is no time.
    expect(named("interval: 1 us\na (V);b (V)\n0;1\n1;2\n2;3\n")).toHaveLength(2);
    // RFC 4180, 2.7: a quote within quotes is doubled; by 2.5 one within a cell that is not quoted is a sign like any other.
    expect(named('t,"probe ""x"", left",5" tube\n0,1,2\n1,2,3\n2,3,4\n')).toEqual([
      ['probe "x", left', ""],
      ['5" tube', ""],
    ]);
  });

  it("numbers in quotes that may be in groups of thousands are told", () => {
    const told = (rows: string, options = {}) => readCapture(`t,v\n${rows}`, options).warnings?.length ?? 0;
    expect(told('0,998\n1,999\n2,"1,000"\n3,"1,001"\n')).toBe(1);
    expect(told('0,998\n1,999\n2,"1,000"\n3,"1,001"\n', { decimal: "," })).toBe(0);
    expect(told('0,998\n1,999\n2,"1,00"\n3,"1,001"\n')).toBe(0);
  });

  it("one channel in decimal commas, which its head tells from two columns", () => {
    const rows = "1,5\n2,5\n-3,25\n";
    const one = readCapture(`Sample Interval;4,0E-6;s\nramp (V)\n${rows}`);
    expect(one.channels).toMatchObject([
      { name: "ramp", unit: "V", value: Float64Array.of(1.5, 2.5, -3.25) },
    ]);
    expect(one.time[2]).toBeCloseTo(8e-6, 12);
    const two = readCapture(`made by hand; no units, no hurry\n${rows.replace("-", "")}`);
    expect([[...two.time], [...two.channels[0].value]]).toEqual([
      [1, 2, 3],
      [5, 5, 25],
    ]);
  });

  it("rows that may be one number or two are told; a head, a point, a sign or a caller settles it", () => {
    const told = (text: string, options = {}) => readCapture(text, options).warnings?.length ?? 0;
    const rows = "1,5\n2,5\n3,25\n";
    expect(told(rows)).toBe(1);
    expect(told(`saved on a Monday\n${rows}`)).toBe(1);
    expect(told(`n,volts\n${rows}`)).toBe(0);
    // The line above the samples names one column, whatever stands above that.
    expect(told(`bench, channel A, probe x10\nramp (V)\n${rows}`)).toBe(1);
    expect(told(`${rows}4,0.5\n`)).toBe(0);
    expect(told(`${rows}4,-5\n`)).toBe(0);
    expect(told(rows.replaceAll(",", ";"))).toBe(0);
    expect(told(rows, { separator: "," })).toBe(0);
    expect(told(rows, { decimal: ",", interval: "1 us" })).toBe(0);
  });

  it("finds the step of a digital scale", () => {
    const rows = Array.from({ length: 300 }, (_, i) => `${i},${Math.round(100 * Math.sin(i)) * 0.04}`);
    expect(readCapture(`time,a\n${rows.join("\n")}`).channels[0].resolution).toBeCloseTo(0.04, 9);
    // One sample in a hundred is spoilt.
    const bad = rows.map((row, i) => (i % 100 === 50 ? `${i},${-3 + i / 57}` : row));
    expect(readCapture(`time,a\n${bad.join("\n")}`).channels[0].resolution).toBeCloseTo(0.04, 9);
  });

  it("takes the gaps of a smooth curve for no step", () => {
    // Twenty points of a period have no two values nearer than sin 18 degrees sin 36 degrees ...; written to 1e-6.
    const rows = Array.from({ length: 400 }, (_, i) => `${i},${Math.sin((i * Math.PI) / 10).toFixed(6)}`);
    expect(readCapture(`time,a\n${rows.join("\n")}`).channels[0].resolution).toBeLessThan(2e-6);
  });

  it.each([200, 3_999, 4_000, 40_000])("%i lines above the samples", (many) => {
    const head = Array.from({ length: many }, (_, i) => `setting ${i},${i}`).join("\n");
    const { time, channels } = readCapture(`${head}\ntime (s);a (V)\n0,0;1\n1,5;2\n2,0;3,5\n`);
    expect([...time]).toEqual([0, 1.5, 2]);
    expect(channels).toMatchObject([{ name: "a", unit: "V", value: Float64Array.of(1, 2, 3.5) }]);
  });
});

it("many rows in pieces are kept as numbers alone, sixteen bytes a row", { timeout: 300_000 }, () => {
  const rows = process.env.CI ? 10_000_000 : 300_000;
  const at = 10_000;
  const before = kept().buffers;
  let whole = 0;
  function* pieces() {
    yield "time (s),ramp (V)\n";
    // A piece ends in the middle of a row.
    for (let k = 0; k < rows; k += at) {
      const text = Array.from({ length: at }, (_, i) => `${(k + i) * 1e-6},${(k + i) % 200}\n`).join("");
      yield text.slice(0, -3);
      yield text.slice(-3);
    }
    whole = kept().buffers - before;
  }
  const { time, channels } = readCapture(pieces());
  expect(time.length).toBe(rows);
  expect(time[rows - 1]).toBeCloseTo((rows - 1) * 1e-6, 9);
  expect(channels[0].value[rows - 2]).toBe((rows - 2) % 200);
  // Two columns of doubles, and a block of each that is not full.
  for (const bytes of [whole, kept().buffers - before]) expect(bytes).toBeLessThan(16 * rows + 3e6);
});

describe("a table that is wrong", () => {
  it.each<[string, string, string[], ReadOptions?]>([
    ["time that runs backwards", "time,a\n0,1\n1,2\n2,2\n1.5,3\n3,3\n", ["5:1 time-backwards"]],
    ["time that stands", "time,a\n0,1\n1,2\n1,2\n2,3\n", ["4:1 time-stands"]],
    ["a sample without a time", "time,a\n0,1\n1,2\n2,3\n,2\n3,3\n", ["5:1 time-missing"]],
    [
      "cells that are no numbers",
      "time,a\n0,1\n1,2\n2,3\n3,NaN\n4, oops\n5,3\n",
      ["5:3 no-number", "6:4 no-number"],
    ],
    ["a cell too many", "time,a\n0,1\n1,2\n2,3\n3,4,5\n", ["5:5 extra-cell"]],
    ["no number in the first row", "time,a\n0,oops\n1,2\n2,3\n3,4\n4,5\n", ["2:3 no-number"]],
    ["no number in the second row", "time,a\n0,1\n1,oops\n2,3\n3,4\n4,5\n", ["3:3 no-number"]],
    [
      "no numbers at all in the first row",
      "time,a\nnan,nan\n0,1\n1,2\n2,3\n",
      ["2:1 no-number", "2:1 time-missing", "2:5 no-number"],
    ],
    [
      "a remark between the first rows",
      "t a\n0 1\n# pause\n1 2\n2 3\n3 4\n",
      ["3:1 no-number", "3:1 time-missing", "3:3 no-number"],
    ],
    ["an interval in what is no unit", "sample interval: 1 flub\na\n1\n2\n3\n", ["1:1 no-interval"]],
    ["an interval in volts", "sample interval: 1 V\na\n1\n2\n3\n", ["1:1 no-interval"]],
    ["an interval of one or a thousand", "sample interval: 1,000 us\na\n1.5\n2.5\n3\n", ["1:1 no-interval"]],
    ["a time of day", "Sample Time: 12:10:33\na\n1\n2\n3\n", ["1:1 no-interval"]],
    ["a rate in groups", "sample rate: 1 000 000 Hz\na\n1\n2\n3\n", ["1:1 no-interval"]],
    ["levels alone", "Y increment: 0.04\na\n1\n2\n3\n", ["1:1 no-interval"]],
    [
      "a cell after one in quotes",
      'time,a,b\n"0","1,5",1\n"1","2,5",2\n"2","3,5",3\n"3","4,5",oops\n',
      ["5:11 no-number"],
    ],
    ["a number that is too large", "time,a\n0,1\n1,2\n2,1e400\n", ["4:3 no-number"]],
    ["a time that is too large", "time,a\n0,1\n1,2\n1e400,2\n", ["4:1 no-number", "4:1 time-missing"]],
    ["a time in hours", "time (h),a\n0,1\n1,2\n2,3\n", ["1:1 unknown-unit"]],
    ["a time in volts", "time (V),a\n0,1\n1,2\n2,3\n", ["1:1 unknown-unit"]],
    ["a time in hours, by a line of units", "time,a\nh,V\n0,1\n1,2\n2,3\n", ["1:1 unknown-unit"]],
    ["times that differ", "t (s),a,t (s),b\n0,1,0,1\n1,2,1.5,2\n2,3,3,3\n", ["1:1 times-differ"]],
    ["an interval of nothing", "sample interval,0,s\na\n1\n2\n3\n", ["1:1 no-interval"]],
    ["an interval below nothing", "sample interval,-1,s\na\n1\n2\n3\n", ["1:1 no-interval"]],
    ["an interval beyond all numbers", "sample interval,1e308,s\na\n1\n2\n3\n", ["1:1 no-interval"]],
    ["a rate of nothing", "sample rate,0,Hz\na\n1\n2\n3\n", ["1:1 no-interval"]],
    [
      "an interval lost beside the start",
      "start time,1e9,s\nsample interval,1e-9,s\na\n1\n2\n3\n",
      ["1:1 no-interval"],
    ],
    ["a single sample", "time (s),a (V)\n0,1\n", ["1:1 too-few-samples"]],
    ["a number alone", "42", ["1:1 too-few-samples"]],
    ["nothing but words", "time,a\nhello\n", ["1:1 no-samples-found"]],
    ["nothing at all", "", ["1:1 no-samples-found"]],
    ["time alone", "time (s)\n0\n1\n2\n", ["1:1 no-interval"]],
    ["no time", "a (V)\n0\n1\n2\n", ["1:1 no-interval"]],
    ["an unknown option", "", ["1:1 bad-option"], { unit: "furlong" }],
    ["no interval at all", "", ["1:1 bad-option"], { interval: "0 s" }],
  ])("%s", (_, text, expected, options) => {
    expect(wrong(text, options)).toEqual(expected);
  });

  it("a mistake in every row is told a hundred times, in bounded time", () => {
    const rows = Array.from({ length: 200_000 }, () => "1,1\n\n").join("");
    expect(wrong(`time,a\n${rows}`)).toHaveLength(101);
  });

  it("a channel that is not there", () => {
    const capture = readCapture("time,ramp,feed\n0,1,2\n1,2,3\n2,3,4\n");
    for (const asked of [3, 0, 1.5, "rump", undefined])
      expect(told(() => captured(capture, asked))).toEqual(["1:1 unknown-channel"]);
    expect(captured(capture, "feed").at(1)).toBe(3);
    const twice = readCapture("time,a,a\n0,1,2\n1,2,3\n2,3,4\n");
    expect(told(() => captured(twice, "a"))).toEqual(["1:1 unknown-channel"]);
    expect(captured(twice, 2).at(1)).toBe(3);
  });
});

it("a capture that drives says once where samples are missing, unless they come when they like", () => {
  const told = (rows: readonly string[]) =>
    inspect('signal s = capture "jack.csv", channel 1\nresistor r s -> ground 1 kohm\ncase "open" r open\n', {
      captures: () => `t (us),a (V)\n${rows.join("\n")}\n`,
    }).diagnostics.map(({ severity, code, message }) => [severity, code, message]);
  const rows = Array.from({ length: 50 }, (_, k) => `${k},${k % 7}`);
  const words = (many: string) =>
    `jack.csv lacks samples over ${many} from 19 µs to 30 µs; the signal goes straight across`;
  expect(told(rows)).toEqual([]);
  expect(told(rows.filter((_, k) => k < 20 || k >= 30))).toEqual([
    ["warning", "doubtful-capture", words("a stretch")],
  ]);
  const cells = rows.map((row, k) => ((k >= 20 && k < 30) || k === 7 ? `${k},` : row));
  expect(told(cells)).toEqual([["warning", "doubtful-capture", words("2 stretches, the longest")]]);
  expect(told(rows.map((row, k) => row.replace(/^\d+/, `${k * k}`)))).toEqual([]);
});

it("whatever comes in, nothing but diagnostics comes out", () => {
  const next = evens(4711);
  const pieces = [
    "1",
    "2.5",
    "-3e-9",
    ",",
    ";",
    "\t",
    " ",
    "\n",
    "\r\n",
    "time",
    "(s)",
    "NaN",
    '"',
    "dt",
    "1e999",
    "\u0000",
    "V",
  ];
  for (let trial = 0; trial < 3000; trial++) {
    const text = Array.from({ length: 60 * next() }, () => pieces[Math.floor(pieces.length * next())]).join(
      "",
    );
    const bytes = Uint8Array.from({ length: 80 }, () => 256 * next());
    if (next() < 0.5) bytes.set(new TextEncoder().encode("RIFF    WAVEfmt "));
    for (const content of [text, bytes]) {
      try {
        for (const { value } of readCapture(content).channels) expect(value.length).toBeGreaterThan(0);
      } catch (error) {
        expect(error).toBeInstanceOf(DesignError);
      }
    }
  }
});

describe("a sound file", () => {
  // By the format's description: chunks of a name, a length and their bytes, all numbers with the low byte first.
  const chunk = (name: string, bytes: Uint8Array) => {
    const out = new Uint8Array(8 + bytes.length + (bytes.length % 2));
    out.set(new TextEncoder().encode(name));
    new DataView(out.buffer).setUint32(4, bytes.length, true);
    out.set(bytes, 8);
    return out;
  };
  const joined = (...parts: Uint8Array[]) => Uint8Array.from(parts.flatMap((p) => [...p]));
  const format = (tag: number, channels: number, bits: number, subformat?: number) => {
    const view = new DataView(new ArrayBuffer(subformat === undefined ? 16 : 40));
    view.setUint16(0, tag, true);
    view.setUint16(2, channels, true);
    view.setUint32(4, 48000, true);
    view.setUint16(14, bits, true);
    if (subformat !== undefined) view.setUint16(24, subformat, true);
    return chunk("fmt ", new Uint8Array(view.buffer));
  };
  const file = (...chunks: Uint8Array[]) =>
    joined(chunk("RIFF", joined(new TextEncoder().encode("WAVE"), ...chunks)));
  const bytes = (count: number, write: (view: DataView, i: number) => void) => {
    const view = new DataView(new ArrayBuffer(count));
    write(view, 0);
    return new Uint8Array(view.buffer);
  };
  // Half of full scale, and minus a quarter of it.
  const written: Record<string, [number, number, Uint8Array]> = {
    "8 bits": [1, 8, Uint8Array.of(192, 96)],
    "16 bits": [1, 16, Uint8Array.of(0, 0x40, 0, 0xe0)],
    "24 bits": [1, 24, Uint8Array.of(0, 0, 0x40, 0, 0, 0xe0)],
    "32 bits": [1, 32, Uint8Array.of(0, 0, 0, 0x40, 0, 0, 0, 0xe0)],
    "floating point": [
      3,
      32,
      bytes(8, (view) => {
        view.setFloat32(0, 0.5, true);
        view.setFloat32(4, -0.25, true);
      }),
    ],
    "floating point of 64 bits": [
      3,
      64,
      bytes(16, (view) => {
        view.setFloat64(0, 0.5, true);
        view.setFloat64(8, -0.25, true);
      }),
    ],
  };
  it.each(Object.entries(written))("%s", (_, [tag, bits, data]) => {
    const extra = chunk("LIST", Uint8Array.of(1, 2, 3));
    for (const head of [format(tag, 1, bits), format(0xfffe, 1, bits, tag)]) {
      const one = readCapture(file(head, extra, chunk("data", data)), { fullScale: "2 V" });
      expect(one.channels).toMatchObject([{ name: "1", unit: "V", value: Float64Array.of(1, -0.5) }]);
      expect([...one.time]).toEqual([0, 1 / 48000]);
    }
  });

  it("a long one, RF64 (EBU Tech 3306), whose length stands elsewhere, and a chunk behind its samples", () => {
    const data = chunk("data", Uint8Array.of(192, 96));
    new DataView(data.buffer).setUint32(4, 0xffffffff, true);
    const long = chunk(
      "ds64",
      bytes(28, (view) => view.setBigUint64(8, 2n, true)),
    );
    for (const parts of [[data], [long, data, chunk("LIST", Uint8Array.of(1, 2))]]) {
      const whole = file(format(1, 1, 8), ...parts);
      whole.set(new TextEncoder().encode("RF64"));
      expect([...readCapture(whole).channels[0].value]).toEqual([0.5, -0.25]);
    }
  });

  it("two channels, cut off in the middle of a sample", () => {
    const data = Uint8Array.of(0, 0x40, 0, 0, 0, 0x20, 0, 0, 0);
    const { channels, warnings } = readCapture(file(format(1, 2, 16), chunk("data", data)));
    expect(channels.map((c) => [...c.value])).toEqual([
      [0.5, 0.25],
      [0, 0],
    ]);
    expect(warnings).toBeUndefined();
  });

  it("one that states more than it holds says so, once where a design names it; a length unknown to its writer is none", () => {
    const stating = (length: number) => {
      const data = chunk("data", Uint8Array.of(0, 0x40, 0, 0xe0));
      new DataView(data.buffer).setUint32(4, length, true);
      return readCapture(file(format(1, 1, 16), data), { name: "jack.wav" });
    };
    const words = "jack.wav was cut off: it holds 2 of the 4 samples that it states";
    expect([4, 8, 0, 0x7ffff000, 0xffffffff].map((length) => stating(length).warnings)).toEqual([
      undefined,
      [words],
      undefined,
      undefined,
      undefined,
    ]);
    const text = 'signal s = capture "jack.wav"\nresistor r s -> ground 1 kohm\ncase "open" r open\n';
    const { diagnostics } = inspect(text, { captures: () => stating(8) });
    expect(diagnostics.map(({ severity, code, message }) => [severity, code, message])).toEqual([
      ["warning", "doubtful-capture", words],
    ]);
  });

  it("what is not read is told", () => {
    const data = chunk("data", new Uint8Array(64));
    for (const one of [
      file(data),
      file(format(1, 1, 16)),
      file(format(1, 1, 12), data),
      file(format(85, 1, 16), data),
      file(format(1, 0, 16), data),
      file(format(1, 1, 16), chunk("data", new Uint8Array(2))),
    ])
      expect(told(() => readCapture(one))).toEqual(["1:1 bad-sound-file"]);
    const turned = file(format(1, 1, 16), data);
    turned.set(new TextEncoder().encode("RIFX"));
    // 24 bits in 32, which only the extensible form can say.
    const apart = format(1, 1, 24);
    new DataView(apart.buffer).setUint16(8 + 12, 4, true);
    for (const one of [turned, file(apart, data)])
      expect(told(() => readCapture(one))).toEqual(["1:1 bad-sound-file"]);
    for (const none of [Number.NaN, Number.POSITIVE_INFINITY]) {
      const samples = bytes(8, (view) => view.setFloat32(4, none, true));
      expect(told(() => readCapture(file(format(3, 1, 32), chunk("data", samples))))).toEqual([
        "1:1 no-number",
      ]);
    }
  });

  it("too large: more than fifty million numbers", () => {
    const data = new Uint8Array(25_000_008);
    const whole = new Uint8Array(44 + data.length);
    whole.set(file(format(1, 1, 8), chunk("data", new Uint8Array(0))));
    new DataView(whole.buffer).setUint32(40, data.length, true);
    expect(told(() => readCapture(whole))).toEqual(["1:1 too-many-samples"]);
  });
});
