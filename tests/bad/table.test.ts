// The table of bad input, row by row, through the public entry and the command: one test for each, under its number and its
// words. What is tried in more ways stands in the files beside this one. Source: shared/bad-input.json.
import { mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, it } from "vitest";
import { resolvers } from "../../src/files/neighbours.js";
import {
  compile,
  type DesignError,
  inspect,
  type Run,
  type SimulateOptions,
  simulate,
  verify,
} from "../../src/index.js";
import { tracePicture } from "../../src/report/svg.js";
import { csvLines, toJson } from "../../src/waveforms/csvjson.js";
import { rampwright, root } from "../command/running.js";
import { errors, mended, whole } from "./designs.js";

const { rows } = JSON.parse(readFileSync(join(root, "shared/bad-input.json"), "utf8")) as {
  rows: { row: number; input: string }[];
};
const rc = "supply p = 5 V\nresistor r p -> out 1 kohm\ncapacitor c out -> ground 1 uF\n";
/** All that is said of a text. */
const told = (text: string, resolve?: (path: string) => string | undefined) =>
  inspect(text, { resolve }).diagnostics.map((d) => {
    whole(d, text);
    return `${d.span.line}:${d.span.column} ${d.code}: ${d.message} = ${d.hint}`;
  });
/** A single mistake: its place, code, reason and hint; with a mend, the text of that, and with it the text is accepted. */
function only(text: string, answer: RegExp, mend?: string): void {
  expect(told(text)).toEqual([expect.stringMatching(answer)]);
  const [d] = inspect(text).diagnostics;
  expect(d.hint).toBeDefined();
  expect(d.fix?.text).toBe(mend);
  if (mend !== undefined) expect(errors(mended(text, d))).toEqual([]);
}
const run = (text: string, options: SimulateOptions = {}) => simulate(compile(text), options);
const refused = (text: string, options: SimulateOptions) => {
  try {
    run(text, options);
  } catch (error) {
    const [{ code, message, hint }] = (error as DesignError).diagnostics;
    return `${code}: ${message} = ${hint}`;
  }
  return "taken";
};
const finite = (done: Run) =>
  done.names.every((name) => done.recording.count === 0 || done.trace(name).value.every(Number.isFinite));
const times = (n: number, line: (i: number) => string) =>
  Array.from({ length: n }, (_, i) => `${line(i)}\n`).join("");
const scratch = mkdtempSync(join(tmpdir(), "rampwright-"));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

/** A test for each row, in their order. */
const tests: readonly (() => void)[] = [
  () => {
    only("", /^1:1 empty-design: the text has no statement = begin with a supply/);
    only("\ufeff", /^1:1 empty-design: /);
    expect(told(`\ufeff${rc.replaceAll("\n", "\r\n")}`)).toEqual([]);
    only(`${rc}# \0`, /^4:3 stray-character: U\+0000 is a control character .* = delete it$/, "");
    only(rc.replace("1 kohm", "1 \0kohm"), /^2:23 stray-character: U\+0000 /, "");
    only(`${rc}# a\ud800`, /^4:4 stray-character: U\+D800 is half of a surrogate pair .* = delete it$/, "");
  },
  () => {
    only(
      `${rc}title "x`,
      /^4:7 unclosed-text: the text that opens on line 4 has no closing quote = close it with " on the same line$/,
      '"',
    );
    const block = `${rc}block b joins a\nresistor r a -> ground 1 ohm`;
    only(block, /^4:1 unclosed-block: the block that opens on line 4 has no 'end' = write 'end'/, "\nend");
    expect(inspect(block).diagnostics[0].related).toMatchObject([{ span: { line: 5, column: 29 } }]);
  },
  () => {
    only(
      rc.replace("capacitor", "capacitr"),
      /^3:1 unknown-statement: 'capacitr' .* = did you mean 'capacitor'\?$/,
      "capacitor",
    );
    only(
      `${rc}check "k" peak of outt below 9 V`,
      /^4:19 unknown-place: .*'outt' = did you mean 'out'\?$/,
      "out",
    );
  },
  () => {
    const given = (number: string) => `${rc}given a = ${number} V`;
    for (const number of ["1e400", "1e-400"])
      only(
        given(number),
        /^4:11 number-range: 1e-?400 is out of range = magnitudes from 1e-40 to 1e40 are taken$/,
      );
    only(given("0x10"), /^4:11 number-malformed: '0x10' is not a decimal number = write numbers in decimal$/);
    only(
      given("1_000"),
      /^4:11 number-malformed: '1_000' has a digit separator = write .* without '_'$/,
      "1000",
    );
    only(given("."), /^4:11 number-malformed: '\.' is not a number = a number begins with a digit$/);
    only(given("\u0661\u0662"), /^4:11 number-malformed: .* has digits of another script = .* 0 to 9$/, "12");
    for (const number of ["Infinity", "NaN"])
      only(given(number), /^4:11 number-malformed: '(Infinity|NaN)' is not a number = .* in digits$/);
  },
  () => {
    only(
      rc.replace("1 kohm", "10 kV"),
      /^2:21 wrong-dimension: .*'r' must be a resistance, but 10 kV is a voltage = give it in ohm$/,
    );
    const ohms = ["Mohm", "mohm", "\u00b5ohm", "\u03bcohm"].map((unit) =>
      compile(rc.replace("kohm", unit)).parts[1].value!.value.valueOf(),
    );
    expect(ohms).toEqual([1e6, 1e-3, 1e-6, 1e-6]);
  },
  () => {
    const wave = (words: string) => `${rc}signal s = pulse 0 V to 1 V, ${words}`;
    only(
      rc.replace("1 kohm", "-1 kohm"),
      /^2:21 out-of-range: .*'r' is -1 kΩ, allowed is greater than zero = give one that is greater than zero$/,
    );
    only(rc.replace("1 uF", "0 F"), /^3:27 out-of-range: .*'c' is 0 F, allowed is greater than zero = /);
    only(wave("wide 1 us, every 0 s"), /^4:47 out-of-range: 'every' is 0 s, allowed is greater than zero = /);
    only(
      wave("wide 9 us, every 8 us"),
      /^4:12 full-period: .*, allowed is less than 8 µs = make the pulse narrower/,
    );
  },
  () => {
    const twice = `${rc}resistor r p -> out 1 ohm`;
    only(
      twice,
      /^4:10 name-twice: a part called 'r' stands in line 2, column 10 already = choose another name/,
    );
    expect(inspect(twice).diagnostics[0].related![0].span).toMatchObject({ line: 2, column: 10 });
    only(
      `${rc}given \u00e9 = 1 V\ngiven e\u0301 = 1 V`,
      /^5:7 name-twice: .* in line 4, column 7 already = /,
    );
  },
  () => {
    const before = Object.getOwnPropertyNames(Object.prototype).length;
    const text =
      "supply __proto__ = 5 V\nresistor constructor __proto__ -> toString 1 ohm\nresistor 0 toString -> ground 1 ohm";
    expect(compile(text).places).toEqual(["ground", "__proto__", "toString"]);
    expect(Object.getOwnPropertyNames(Object.prototype)).toHaveLength(before);
  },
  () => {
    const check = (words: string) => `${rc}check "k" peak of ${words}`;
    only(check("far below 1 V"), /^4:19 unknown-place: no place or part is called 'far' = known here: .*out/);
    only(
      check("rr.current below 9 A"),
      /^4:19 unknown-place: .*'rr\.current' = did you mean 'r\.current'\?$/,
      "r.current",
    );
    only(
      `${rc}use sweep as x joins out`,
      /^4:5 unknown-block: .*'sweep' = write 'bring "shipped\/sweep"' above$/,
    );
    only(`${rc}case "x" rr open`, /^4:10 unknown-target: nothing is called 'rr' = known here: p, r, c$/);
    only(
      `${rc}case "y" r open\n${check('out below 9 V in case "none"').slice(rc.length)}`,
      /^5:41 unknown-case: no case is called "none" = known here: "y"$/,
    );
    const found = `find r from 1 ohm to 9 ohm for "kk"\n`;
    only(`${rc}check "k" peak of out below 9 V\n${found}`, /^5:32 unknown-check: .*"kk".* = .*"k"/);
  },
  () => {
    const inside = `${rc}block b joins a\nuse d as x joins a\nend\nblock d joins a\nuse b as x joins a\nend\nuse b as y joins out`;
    only(inside, /^8:1 block-cycle: block 'b' contains itself: b → d → b = take one of these uses out/);
    const files = new Map([
      ["x", 'bring "y"'],
      ["y", 'bring "x"'],
    ]);
    expect(told(`bring "x"\n${rc}`, (path) => files.get(path))).toEqual([
      expect.stringMatching(/^1:1 bring-cycle: "x" brings itself: x → y → x = take one of these lines out/),
    ]);
  },
  () => {
    const block = (i: number) =>
      `block b${i} joins a\n${i === 0 ? "resistor r a -> ground 1 ohm\n" : times(10, (k) => `use b${i - 1} as u${k} joins a`)}end`;
    only(
      `${rc}${times(10, block)}use b9 as x joins out\nresistor last p -> out 1 ohm`,
      /^115:1 too-many-parts: the design has more than 200000 parts .* = use fewer blocks here/,
    );
  },
  () => {
    only(
      `${rc}given a = ${"(".repeat(1e5)}1 V${")".repeat(1e5)}`,
      /^4:75 too-deep: brackets stand 64 deep at most = name a part of it with given$/,
    );
  },
  () => {
    // That work grows with the length alone is for the benches; a square of this would not end in time.
    expect(told(`${rc}#${' "(,->+-'.repeat(120_000)}`)).toEqual([]);
    only(
      `${rc}given a = ${"1e+".repeat(300_000)}`,
      /^4:\d+ too-deep: one expression has 500 signs .* = name a part/,
    );
    const many = told(rc + times(100_000, () => "capacitr , ("));
    expect(many[0]).toMatch(/^4:1 unknown-statement: .* = did you mean 'capacitor'\?$/);
    expect(many.slice(100)).toEqual([
      expect.stringMatching(/too-many: .* more mistakes are not listed = mend the/),
    ]);
  },
  () => {
    const outside = join(scratch, "outside.ramp");
    writeFileSync(outside, "x");
    const inside = mkdtempSync(join(scratch, "in"));
    writeFileSync(join(inside, "near.ramp"), "y");
    symlinkSync(outside, join(inside, "link.ramp"));
    const { resolve } = resolvers(inside, () => undefined);
    expect(resolve("near.ramp")).toBe("y");
    for (const path of ["../outside.ramp", outside, `file://${outside}`, "link.ramp", "near.ramp\0", "", "."])
      expect(resolve(path), path).toBeUndefined();
    // The core has no files: what is to be brought is handed to it.
    only(
      `bring "near.ramp"\n${rc}`,
      /^1:7 bring-missing: "near\.ramp" is not there to be brought = hand a resolver/,
    );
    expect(told(`bring "../outside.ramp"\n${rc}`, resolve)).toEqual([
      expect.stringMatching(/^1:7 bring-missing: "\.\.\/outside\.ramp" .* = .* stays inside it$/),
    ]);
  },
  () => {
    const island = "resistor a x -> y 1 ohm\ncapacitor b y -> x 1 uF";
    only(
      `${rc}${island}`,
      /^4:1 no-ground: nothing joins 'a' and 'b' to ground = join one of their places to ground$/,
    );
    only(island, /^1:1 no-ground: nothing joins 'a' and 'b' to ground = /);
    only(`${rc}resistor a x -> y 1 ohm`, /^4:1 no-ground: nothing joins 'a' to ground = /);
  },
  () => {
    only(
      `${rc}voltage v p -> ground 4 V`,
      /^4:1 source-loop: ideal voltages stand in a loop: 'p' and 'v' = put a resistance in the loop/,
    );
    const done = run(`${rc}supply q = 6 V\nswitch s p -> q closed after 1 ms`, { until: "2 ms" });
    expect([done.status, done.code, done.reached]).toEqual(["stopped", "source-loop", 1e-3]);
    expect(done.reason).toMatch(/'p', 'q', 's'/);
  },
  () => {
    // 5 mA in a coil without another way: 10 V across 2 kohm until 1 ms.
    const text =
      "supply p = 10 V\nresistor r p -> x 2 kohm\ninductor coil x -> y 1 mH\nswitch s y -> ground closed before 1 ms";
    const done = run(text, { until: "2 ms" });
    expect([done.status, done.code, done.reached]).toEqual(["stopped", "cut-off", 1e-3]);
    expect(done.reason).toMatch(/'coil' .*freewheel diode/);
    expect(Math.abs(done.trace("coil.current").at(0.5e-3) - 5e-3)).toBeLessThan(1e-12);
  },
  () => {
    // A capacitor on a source carries C dv/dt (1 uF at 1 V/ms: 1 mA); a coil behind a current source has L di/dt (1 V).
    const loop = run("signal s = path 0 V at 0 s, 1 V at 1 ms\ncapacitor c s -> ground 1 uF", {
      until: "0.9 ms",
    });
    expect(Math.abs(loop.trace("c.current").at(0.5e-3) - 1e-3)).toBeLessThan(1e-15);
    const cut = run("current i ground -> x path 0 A at 0 s, 1 A at 1 s\ninductor l x -> ground 1 H", {
      until: "0.9 s",
    });
    expect(Math.abs(cut.trace("x").at(0.5) - 1)).toBeLessThan(1e-12);
  },
  () => {
    // 1 uF at 2 V onto 1 uF at 0 V: 1 V each, and half of the 2 uJ is lost.
    const text =
      "capacitor a x -> ground 1 uF, starts 2 V\ncapacitor b y -> ground 1 uF, starts 0 V\nswitch s x -> y closed after 1 ms";
    const done = run(text, { until: "2 ms" });
    expect(Math.abs(done.trace("y").at(1.5e-3) - 1)).toBeLessThan(1e-15);
    expect(Math.abs(done.losses[0].energy - 1e-6)).toBeLessThan(1e-18);
  },
  () => {
    const done = run(
      "resistor r x -> ground 1 kohm\ncapacitor a x -> ground 1 uF, starts 1 V\ncapacitor b x -> ground 1 uF, starts 2 V",
      { until: "1 us" },
    );
    expect(done.warnings).toEqual([
      "capacitor 'a' is given 1 V at the start but begins with 1.5 V: it cannot differ from 'b'",
      "capacitor 'b' is given 2 V at the start but begins with 1.5 V: it cannot differ from 'a'",
    ]);
    // Q²/2C before less after: ½ · 1 uF · (1 + 4 − 2 · 2.25) V².
    expect(Math.abs(done.losses[0].energy - 0.25e-6)).toBeLessThan(1e-18);
  },
  () => {
    // 5 V across 1 uohm + 1 kohm beside 1e18 ohm: 5 mA but for a billionth.
    const done = run(
      "supply p = 5 V\nresistor a p -> x 1e-6 ohm\nresistor b x -> ground 1 kohm\nresistor c x -> ground 1e18 ohm",
      { until: "1 us" },
    );
    expect(Math.abs(done.trace("a.current").at(0) - 5e-3 / (1 + 1e-9))).toBeLessThan(1e-16);
    expect(finite(done)).toBe(true);
  },
  () => {
    const done = run("resistor r x -> ground 1 kohm\ninverter turn x -> x", { until: "1 ms" });
    expect([done.status, done.code, done.reached]).toEqual(["stopped", "chatter", 0]);
    expect(done.reason).toContain("'turn'");
  },
  () => {
    const text =
      "signal g = pulse 0 V to 5 V, wide 10 us, every 1 ms\ncurrent i ground -> x 1 mA\ncapacitor c x -> ground 1 uF\nswitch s x -> ground closed while g above 2.5 V";
    for (const step of [undefined, "250 us"])
      expect(run(text, { until: "3 ms", start: "rest", step }).losses.map((l) => l.time)).toEqual([
        1e-3, 2e-3, 3e-3,
      ]);
  },
  () => {
    // A diode whose voltage stands exactly at its drop for a while.
    const done = run(
      "signal s = path 0 V at 0 s, 0.6 V at 1 ms, 0.6 V at 2 ms, 0 V at 3 ms\nresistor r s -> x 1 kohm\ndiode d x -> ground drop 0.6 V",
      { until: "3 ms" },
    );
    expect(done.status).toBe("complete");
  },
  () => {
    // 1 ns, and two passings of a level within 2 ns, in a run of 1 ms with steps of 100 us.
    const text =
      'signal s = path 0 V at 500 us, 5 V at 500.0005 us, 5 V at 500.001 us, 0 V at 500.0015 us\ncomparator k s -> out threshold 2.5 V\nresistor r out -> ground 1 kohm\ncheck "once" pulses of out rising through 2.5 V is 1';
    expect(verify(run(text, { until: "1 ms", step: "100 us" }))[0].measured).toBe(1);
  },
  () => {
    const parts = [
      "inverter a s -> a1",
      "inverter b s -> b1",
      "gate c a1 -> c1 and b1",
      "comparator d s -> d1 threshold 2 V",
    ];
    const text = (list: string[]) => `signal s = pulse 0 V to 5 V, wide 1 us, every 4 us\n${list.join("\n")}`;
    const ends = [parts, parts.toReversed()].map((list) => {
      const done = run(text(list), { until: "9 us" });
      return ["a1", "b1", "c1", "d1"].map((name) => [...done.trace(name).value].join());
    });
    expect(ends[0]).toEqual(ends[1]);
  },
  () => {
    const text =
      "comparator k x -> out threshold 0 V, low 5 V, high -5 V, output 0 ohm\nresistor d out -> x 1 kohm\ncapacitor c x -> ground 1 nF, starts 1 V";
    const done = run(text, { until: "1 ms" });
    expect([done.status, done.code]).toEqual(["stopped", "chatter"]);
    // From 1 V towards −5 V with 1 us: at the threshold after τ ln(6/5).
    expect(Math.abs(done.reached - 1e-6 * Math.log(6 / 5))).toBeLessThan(1e-9);
    expect(done.reason).toMatch(/'k' .* more than 64 times/);
    expect(done.trace("x").to).toBe(done.reached);
  },
  () => {
    expect(refused(rc, { until: "1 s", step: "1 ps" })).toMatch(
      /^bad-option: step: the run would take more than the 50000000 steps allowed = take longer steps, or raise/,
    );
    for (const until of [0, -1])
      expect(refused(rc, { until })).toMatch(/^bad-option: until: .* after time zero = give a time/);
    for (const until of [Number.NaN, Number.POSITIVE_INFINITY])
      expect(refused(rc, { until })).toMatch(
        /^bad-option: until: (NaN|Infinity) is not a finite number = give one/,
      );
    for (const step of [0, -1, Number.NaN, Number.POSITIVE_INFINITY])
      expect(refused(rc, { until: 1, step })).toMatch(
        /^bad-option: step: .*(longer than zero|not a finite number) = give /,
      );
  },
  () => {
    const { time } = run(rc, { until: "0.1 s", step: "1 us", start: "rest", method: "trapezoid" }).trace(
      "out",
    );
    expect(time).toHaveLength(100_001);
    expect(time.every((t, n) => t === n / 1e6)).toBe(true);
  },
  () => {
    // A capacitor of 1 nF that is charged by 1 A/V of its own voltage: 1 V · e^(t / 1 ns), beyond all doubles at 710 ns; its
    // power, the square of that, at 355 ns.
    const text = "capacitor c x -> ground 1 nF, starts 1 V\ncurrent i ground -> x 0 A, follows x, gain 1 A/V";
    const done = run(text, { until: "2 us", start: "rest" });
    expect([done.status, done.code]).toEqual(["stopped", "overflow"]);
    expect(done.reached).toBeLessThan(0.71e-6);
    expect(done.reached).toBe(done.trace("x").to);
    expect(done.reason).toContain("'c'");
    expect(finite(done)).toBe(true);
    for (const until of ["0.3 us", "0.5 us", "0.7 us"])
      expect(finite(run(text, { until, start: "rest" }))).toBe(true);
  },
  () => {
    const cancelled = run(rc, { until: "1 s", step: "1 us", start: "rest", signal: { aborted: true } });
    expect([cancelled.status, cancelled.code]).toEqual(["stopped", "cancelled"]);
    expect(
      run(rc, { until: "10 s", step: "1 us", start: "rest", limits: { bytes: 1e6, steps: 1e8 } }).code,
    ).toBe("recording");
    expect(run(rc, { until: "40 s", step: "1 us", start: "rest", limits: { seconds: 1e-3 } }).code).toBe(
      "time",
    );
  },
  () => {
    const evil = "<script>&\u202e'";
    const done = run(`title "${evil}"\n${rc}`, { until: "1 ms" });
    const svg = tracePicture([{ title: evil, traces: [done.trace("out")] }], { title: evil });
    expect(svg).not.toMatch(/<script|\u202e/);
    expect(svg).toContain("&lt;script&gt;&amp;");
  },
  () => {
    // Names of the language hold no such signs, checks and titles do; a cell is a cell wherever it comes from.
    const trace = run(rc.replace("5 V", "-5 V"), { until: "1 us" }).trace("out");
    for (const name of ["=1", "+1", "-1", "@1", "\t1"]) {
      const [head, row] = [...csvLines([Object.assign(Object.create(trace), { name }) as typeof trace])];
      expect(head).toBe(`time (s),"'${name} (V)"\r\n`);
      expect(row).toBe("0,-5\r\n");
    }
  },
  () => {
    const strange = { x: Number.NaN, y: -0 };
    expect(JSON.parse(toJson([], strange))).toMatchObject({ x: null, y: 0 });
    const { random } = Math;
    const RealDate = globalThis.Date;
    const bytes = () => JSON.stringify([...run(rc, { until: "1 ms", start: "rest" }).trace("out").value]);
    const before = bytes();
    try {
      Math.random = () => {
        throw new Error("chance");
      };
      globalThis.Date = undefined as never;
      expect(bytes()).toBe(before);
    } finally {
      Math.random = random;
      globalThis.Date = RealDate;
    }
  },
  () => {
    const out = join(scratch, "none", "w.csv");
    const done = rampwright(["run", "-", "--until", "1 ms", "--out", out], { input: rc });
    expect([done.status, done.out]).toEqual([3, ""]);
    expect(done.err.trim().split("\n")).toHaveLength(1);
    expect(readdirSync(scratch)).not.toContain("none");
  },
];

it("has a test for each row of the table", () => {
  expect(rows.map((r) => r.row)).toEqual(tests.map((_, i) => i + 1));
});
for (const { row, input } of rows) it(`row ${row}: ${input}`, tests[row - 1]);
