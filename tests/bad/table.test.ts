// The table of bad input, row by row, through the public entry and the command: one test for each, under its number and its
// words. What is tried in more ways stands in the files beside this one. Source: shared/bad-input.json.
import { execFileSync, spawnSync } from "node:child_process";
import {
  closeSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, it, vi } from "vitest";
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
import { embedded } from "../../src/report/markup.js";
import { tracePicture } from "../../src/report/svg.js";
import { csvLines, toJson } from "../../src/waveforms/csvjson.js";
import { program, rampwright, root } from "../command/running.js";
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
/** What Python's parsers find: texts of a picture, and the texts within and outside of the scripts of a page. */
function parsed(svg: string, page: string): Record<"texts" | "scripts" | "words", string[]> {
  const program = `
import sys, json, html.parser, xml.etree.ElementTree as e
svg, page = json.load(sys.stdin)
class Reader(html.parser.HTMLParser):
    inside, scripts, words = None, [], []
    def handle_starttag(self, tag, attrs): self.inside = tag
    def handle_data(self, data): (self.scripts if self.inside == "script" else self.words).append(data)
reader = Reader()
reader.feed(page)
texts = ["".join(t.itertext()) for t in e.fromstring(svg).iter()]
print(json.dumps(dict(texts=texts, scripts=reader.scripts, words=reader.words)))`;
  const input = JSON.stringify([svg, page]);
  return JSON.parse(execFileSync("python3", ["-c", program], { input, encoding: "utf8" }));
}
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
    for (const step of [undefined, "250 us"]) {
      const done = run(text, { until: "3 ms", start: "rest", step });
      expect([done.status, done.reached]).toEqual(["complete", 3e-3]);
      // Closed at 0, at each whole millisecond, the last of them the end, and open 10 us later: each once.
      const [closed, open] = ["closed", "open"].map((to) => done.events.filter((e) => e.to === to));
      expect(closed.map((e) => e.time)).toEqual([1e-3, 2e-3, 3e-3]);
      expect(open.map((e) => e.time)).toEqual([10e-6, 1010e-6, 2010e-6]);
      expect([...done.periods("g")]).toEqual([0, 1e-3, 2e-3, 3e-3]);
      expect(done.losses.map((l) => l.time)).toEqual([1e-3, 2e-3, 3e-3]);
      // C V²/2 of V = I t / C over 990 us.
      for (const { energy } of done.losses) expect(Math.abs(energy - 0.5e-6 * 0.99 ** 2)).toBeLessThan(1e-18);
      expect(done.trace("x").at(3e-3)).toBe(0);
    }
  },
  () => {
    // A diode whose voltage stands exactly at its drop for a while.
    const then = (end: string) =>
      run(
        `signal s = path 0 V at 0 s, 0.6 V at 1 ms, 0.6 V at 2 ms, ${end} at 3 ms\nresistor r s -> x 1 kohm\ndiode d x -> ground drop 0.6 V`,
        { until: "3 ms" },
      );
    const back = then("0 V");
    expect([back.status, back.reason, back.warnings]).toEqual(["complete", "", []]);
    expect(back.trace("d.current").value.every((amps) => amps === 0)).toBe(true);
    // It conducts from where the voltage goes on to rise: 1 V in 1 ms across 1 kohm.
    const on = then("1.6 V");
    expect([on.status, on.reason, on.warnings]).toEqual(["complete", "", []]);
    expect(on.events).toMatchObject([{ part: "d", to: "on" }]);
    expect(Math.abs(on.events[0].time - 2e-3)).toBeLessThan(1e-15);
    for (const t of [0.5e-3, 1e-3, 1.5e-3]) expect(on.trace("d.current").at(t)).toBe(0);
    expect(Math.abs(on.trace("d.current").at(2.5e-3) - 0.5e-3)).toBeLessThan(1e-15);
  },
  () => {
    // 1 ns, and two passings of a level within 2 ns, in a run of 1 ms with steps of 100 us.
    const text =
      'signal s = path 0 V at 500 us, 5 V at 500.0005 us, 5 V at 500.001 us, 0 V at 500.0015 us\ncomparator k s -> out threshold 2.5 V\nresistor r out -> ground 1 kohm\ncheck "once" pulses of out rising through 2.5 V is 1';
    for (const step of ["100 us", undefined]) {
      const done = run(text, { until: "1 ms", step });
      expect([done.status, done.warnings]).toEqual(["complete", []]);
      expect(verify(done)[0]).toMatchObject({ measured: 1, pass: true });
      // Half-way up and half-way down its edges of half a nanosecond.
      expect(done.events).toMatchObject([
        { part: "k", to: "high" },
        { part: "k", to: "low" },
      ]);
      const [up, down] = done.events.map(({ time }) => time);
      expect(Math.abs(up - 500.00025e-6)).toBeLessThan(1e-15);
      expect(Math.abs(down - 500.00125e-6)).toBeLessThan(1e-15);
    }
  },
  () => {
    const parts = [
      "inverter a s -> a1",
      "inverter b s -> b1",
      "gate c a1 -> c1 and b1",
      "comparator d s -> d1 threshold 2 V",
    ];
    const text = (list: string[]) => `signal s = pulse 0 V to 5 V, wide 1 us, every 4 us\n${list.join("\n")}`;
    // Up at 0, 4 and 8 us, down 1 us later: all four parts at each of the instants within the run, and at no other.
    const edges = [1e-6, 4e-6, 5e-6, 8e-6, 9e-6];
    const ends = parts.map((_, k) => {
      const done = run(text([...parts.slice(k), ...parts.slice(0, k)]), { until: "9 us" });
      expect([done.status, done.warnings]).toEqual(["complete", []]);
      for (const part of ["a", "b", "c", "d"])
        expect(done.events.filter((e) => e.part === part).map((e) => e.time)).toEqual(edges);
      const traces = ["a1", "b1", "c1", "d1"].map((name) => done.trace(name));
      // Both inputs of the gate are the signal upside down, and so is what it makes of them; the comparator follows the signal.
      const high = (t: number) => traces.map((trace) => trace.at(t) > 2.5);
      expect([high(0.5e-6), high(2e-6)]).toEqual([
        [false, false, false, true],
        [true, true, true, false],
      ]);
      return traces.map(({ time, value }) => `${time.join()} ${value.join()}`);
    });
    for (const other of ends) expect(other).toEqual(ends[0]);
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
    // All million of them are in running.test.ts.
    const done = run(rc, { until: "0.1 s", step: "1 us", start: "rest", method: "trapezoid" });
    const { time, value } = done.trace("out");
    expect([done.status, done.reached, done.statistics.steps]).toEqual(["complete", 0.1, 100_000]);
    expect(time).toHaveLength(100_001);
    expect(time.every((t, n) => t === n / 1e6)).toBe(true);
    // 5 V (1 - e^(-t / RC)), with RC = 1 ms.
    expect(value.every((v, n) => Math.abs(v - 5 * -Math.expm1(-time[n] / 1e-3)) < 5e-6)).toBe(true);
  },
  () => {
    // A capacitor of 1 nF that is charged by 1 A/V of its own voltage: 1 V · e^(t / 1 ns), beyond all doubles at 710 ns; its
    // power, the square of that, at 355 ns.
    const text = "capacitor c x -> ground 1 nF, starts 1 V\ncurrent i ground -> x 0 A, follows x, gain 1 A/V";
    const done = run(text, { until: "2 us", start: "rest" });
    expect([done.status, done.code]).toEqual(["stopped", "overflow"]);
    expect(done.reached).toBeLessThan(0.71e-6);
    expect(done.reason).toBe("'c' grows without bound");
    // What is kept ends with the last sample, on the curve.
    const { to, value } = done.trace("x");
    expect(done.reached).toBe(to);
    expect(Math.abs(Math.log(value[value.length - 1]) / (to / 1e-9) - 1)).toBeLessThan(1e-9);
    expect(finite(done)).toBe(true);
    for (const until of ["0.3 us", "0.5 us", "0.7 us"])
      expect(finite(run(text, { until, start: "rest" }))).toBe(true);
  },
  () => {
    const stepping = { until: "40 s", step: "1 us", start: "rest" } as const;
    let looks = 0;
    const signal = {
      get aborted() {
        return ++looks > 30;
      },
    };
    const stopped = [
      [{ signal }, "cancelled", "the run was cancelled"],
      [{ limits: { seconds: 0.2 } }, "time", "the limit on time, limits.seconds, was reached"],
      [
        { limits: { bytes: 1e6 } },
        "recording",
        "the limit on the size of the recording, limits.bytes, was reached",
      ],
    ] as const;
    for (const [more, code, reason] of stopped) {
      const done = run(rc, { ...stepping, ...more });
      expect([done.status, done.code, done.reason]).toEqual(["stopped", code, reason]);
      expect(done.reached).toBeLessThan(40);
      // How far a limit on time lets it come the machine decides.
      if (code === "time" && done.recording.count === 0) continue;
      // What it came to is kept, up to where it says it came: 5 V (1 - e^(-t / RC)).
      const { from, to, value } = done.trace("out");
      expect([from, to]).toEqual([0, done.reached]);
      if (code !== "time") expect(done.recording.count).toBeGreaterThan(1000);
      expect(Math.abs(value[value.length - 1] - 5 * -Math.expm1(-to / 1e-3))).toBeLessThan(5e-6);
    }
    for (const name of ["steps", "bytes", "seconds", "periods"])
      for (const limit of [0, -1, Number.NaN])
        expect(refused(rc, { limits: { [name]: limit } })).toBe(
          `bad-option: limits.${name}: a limit must be greater than zero = raise it, or leave it out`,
        );
  },
  () => {
    const evil = "<script>&\u202e'";
    const done = run(`title "${evil}"\n${rc}`, { until: "1 ms" });
    const svg = tracePicture([{ title: evil, traces: [done.trace("out")] }], { title: evil });
    expect(svg).not.toMatch(/<script|\u202e/);
    const escaped = "&lt;script&gt;&amp;[U+202E]&#39;";
    expect(svg).toContain(`<title id="picture-title">${escaped}</title>`);
    const page = rampwright(["report", "-", "--out", "-"], {
      input: `title "${evil}"\n${rc}check "${evil}" peak of out below 9 V\nrun for 1 ms`,
    });
    expect([page.status, page.err.includes("\u202e"), page.out.includes("\u202e")]).toEqual([
      0,
      false,
      false,
    ]);
    expect(page.out).toContain(`<title>${escaped}`);
    // All direction marks of UAX #9 (table 1) in data of a page: none as it is, and nothing else is read back.
    const marks = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069<";
    expect(embedded(JSON.stringify(marks))).toMatch(/^"(\\u[0-9a-f]{4})+"$/);
    expect(JSON.parse(embedded(JSON.stringify(marks)))).toBe(marks);
    // As real parsers read them: one of XML for the picture, one of HTML for the page, which meets no element but its own.
    const read = parsed(svg, page.out);
    expect(read.texts).toContain("<script>&[U+202E]'");
    expect(read.scripts).toEqual(read.scripts.filter((text) => !text.includes("<script>&")));
    expect(read.words).toContain("<script>&[U+202E]'");
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
    const strange = { x: Number.NaN, y: -0, z: Number.NEGATIVE_INFINITY };
    const told = toJson([], strange);
    expect(told).toMatch(/^\{"x":null,"y":0,"z":null,/);
    expect(JSON.parse(told).notes).toEqual([
      "extra.x is NaN, written as null",
      "extra.z is -Infinity, written as null",
    ]);
    const { random } = Math;
    const RealDate = globalThis.Date;
    const bytes = () => {
      const done = run(`${rc}check "half" mean of out below 4 V`, { until: "1 ms", start: "rest" });
      const traces = [done.trace("out"), done.trace("r.current")];
      return [
        toJson(traces),
        ...csvLines(traces),
        tracePicture([{ title: "a", traces }], { title: "b" }),
        JSON.stringify(verify(done)),
      ].join("\n");
    };
    const before = bytes();
    expect(before).not.toMatch(/NaN|-0[,\]\n]/);
    try {
      Math.random = () => {
        throw new Error("chance");
      };
      globalThis.Date = undefined as never;
      vi.stubGlobal("Intl", undefined);
      vi.spyOn(Number.prototype, "toLocaleString").mockImplementation(Math.random as never);
      expect(bytes()).toBe(before);
    } finally {
      Math.random = random;
      globalThis.Date = RealDate;
      vi.unstubAllGlobals();
      vi.restoreAllMocks();
    }
  },
  () => {
    const full = join(scratch, "full.csv");
    symlinkSync("/dev/full", full);
    const before = readdirSync(scratch);
    const places = [
      [join(scratch, "none", "w.csv"), "there is no such file or folder"],
      [full, "no space is left there"],
      ["-", "no space is left there"],
    ];
    for (const [out, reason] of places) {
      // Standard output goes to a full disk as well: nothing may be written there but what `-` asks for.
      const to = openSync("/dev/full", "w");
      const words = [program, "run", "-", "--until", "1 ms", "--out", out];
      const done = spawnSync(process.execPath, words, { input: rc, stdio: ["pipe", to, "pipe"] });
      closeSync(to);
      const called = out === "-" ? "standard output" : out;
      expect(String(done.stderr)).toBe(`rampwright: ${called} cannot be written: ${reason}\n`);
      expect(done.status).toBe(3);
    }
    expect(readdirSync(scratch)).toEqual(before);
    // A reader that has gone away is no error: `exec <&-` closes its end before anything is written.
    const script = `{ sleep 0.2; "$0" "$1" run - --until "1 ms" --out - <"$2" 2>err; echo $? >status; } | exec true`;
    const design = join(scratch, "rc.ramp");
    writeFileSync(design, rc);
    execFileSync("bash", ["-c", script, process.execPath, program, design], { cwd: scratch });
    expect(["status", "err"].map((file) => readFileSync(join(scratch, file), "utf8"))).toEqual([
      "0\n",
      "standard output: p, out\n",
    ]);
  },
];

it("has a test for each row of the table", () => {
  expect(rows.map((r) => r.row)).toEqual(tests.map((_, i) => i + 1));
});
for (const { row, input } of rows) it(`row ${row}: ${input}`, tests[row - 1]);
