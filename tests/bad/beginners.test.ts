// What beginners write, and the answer each gets: one mistake, one message, at the line that they wrote. What they mean is
// common practice, no source.
import { describe, expect, it } from "vitest";
import { compile, inspect, simulate } from "../../src/index.js";

const sound = `supply plus5 = 5 V
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
current feed plus5 -> ramp 1 mA
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
`;
const more = (line: string) => `${sound}${line}\n`;
const changed = (from: string, to: string) => {
  expect(sound).toContain(from);
  return sound.replace(from, to);
};

const told = (text: string) =>
  inspect(text).diagnostics.map(
    ({ code, message, hint, span }) =>
      `${span.line}:${span.column} ${code}: ${message}${hint ? ` = ${hint}` : ""}`,
  );

const table: readonly (readonly [mistake: string, text: string, answer: RegExp])[] = [
  [
    "gnd for ground",
    more("resistor r ramp -> gnd 1 kohm\nresistor s plus5 -> gnd 1 kohm"),
    /^6:20 ground-name: place 'gnd' is a place like any other.*'ground'$/,
  ],
  [
    "1 Meg",
    more("resistor r ramp -> ground 1 Meg"),
    /^6:29 unknown-unit: 'Meg' is not a unit = did you mean 'Mohm'\?$/,
  ],
  [
    "a decimal comma",
    changed("15 nF", "0,015 uF"),
    /^4:33 unexpected-word: .* = the sign before decimals is a point$/,
  ],
  ["a remark with //", more("// a remark"), /^6:1 unknown-statement: .* = a comment begins with '#'$/],
  [
    "a remark with // behind a part",
    more("resistor r ramp -> ground 1 kohm // load"),
    /^6:35 unexpected-word: .* = a comment begins with '#'$/,
  ],
  [
    "ramp < 5 V",
    more('check "low" peak of ramp < 5 V'),
    /^6:26 stray-character: '<' means nothing here = write 'below'$/,
  ],
  ["ramp > 5 V", more('check "high" peak of ramp > 5 V'), /^6:27 stray-character: '>' .* = write 'above'$/],
  [
    "sync of a colour system's name",
    changed("pulse 0 V to 5 V, wide 4.7 us, every 64 us", "line sync of PAL, 0 V to 5 V"),
    /^2:28 unknown-system: no system is called 'PAL' = systems are 525\/59\.94, 525\/60, 625\/50$/,
  ],
  [
    "video of a colour system's name",
    changed("pulse 0 V to 5 V, wide 4.7 us, every 64 us", "video of NTSC, black"),
    /^2:24 unknown-system: no system is called 'NTSC' = systems are/,
  ],
  [
    "a kind of part that there is not",
    more("mosfet m ramp -> ground 1 ohm"),
    /^6:1 unknown-statement: 'mosfet' begins no statement.* = kinds of part are .*transistor/,
  ],
  [
    "use without bring",
    more("use sweep as line joins plus5, ramp"),
    /^6:5 unknown-block: no block is called 'sweep' = write 'bring "shipped\/sweep"' above$/,
  ],
  [
    "both ends on one place",
    more("resistor r ramp -> ramp 1 kohm"),
    /^6:1 both-ends: both ends of resistor 'r' stand on one place: it does nothing$/,
  ],
  [
    "a line broken before with",
    more('bring "shipped/gain"\nuse gain_stage as g joins ramp, plus5, ground, out\n  with feedback 2 kohm'),
    /^8:3 unknown-statement: 'with' begins no statement = a line goes on in the next one behind a comma/,
  ],
  [
    "a comma missing before a property",
    changed("2.5 V, on", "2.5 V on"),
    /^5:59 unexpected-word: .* = a comma stands before a property$/,
  ],
  [
    "a comma missing in a waveform",
    changed("4.7 us, every", "4.7 us every"),
    /^2:45 unexpected-word: .* = a comma stands before a property$/,
  ],
  [
    "a semicolon at the end",
    more("given timing = 5 nF;"),
    /^6:20 stray-character: ';' means nothing here = delete it$/,
  ],
  [
    "a current into nothing",
    more("current lost plus5 -> nowhere 1 mA"),
    /^6:1 loose-end: place 'nowhere' joins 'lost' to nothing else = its current has no way to flow$/,
  ],
  [
    "a gate that never reaches its level",
    changed("above 2.5 V", "above 6 V"),
    /^5:1 never-closes: switch 'reset' never closes: 'gate' stays below 6 V = 'gate' goes from 0 V to 5 V$/,
  ],
  [
    "a block of the name of one that is brought",
    more('bring "shipped/sweep"\nblock sweep joins x\n  resistor r x -> ground 1 kohm\nend'),
    /^7:7 name-twice: a block called 'sweep' comes with "shipped\/sweep" already = choose another name/,
  ],
  [
    "a mistake in a block that is used twice",
    more(
      "block b joins x\n  resistor r x -> ground 1 kOmh\nend\nuse b as one joins ramp\nuse b as two joins plus5",
    ),
    /^7:28 unknown-unit: 'kOmh' is not a unit/,
  ],
  [
    "a mistake in a signal that others name",
    changed("gate = pulse 0 V to 5 V", "gate = pulse 0 V 5 V"),
    /^2:25 unexpected-word: /,
  ],
];

it("the text that the mistakes are put into has none", () => expect(told(sound)).toEqual([]));

it.each(table)("%s: one message, with its place and its mend", (_, text, answer) => {
  const all = told(text);
  expect(all).toHaveLength(1);
  expect(all[0]).toMatch(answer);
});

describe("mends that are offered", () => {
  it.each([
    ["0,015 uF", changed("15 nF", "0,015 uF"), "."],
    ["a missing comma", changed("2.5 V, on", "2.5 V on"), ", "],
    ["<", more('check "low" peak of ramp < 5 V'), "below"],
  ])("for %s", (_, text, mend) => {
    const [{ fix }] = inspect(text).diagnostics;
    expect(fix!.text).toBe(mend);
    const lines = text.split("\n");
    const { line, column, length } = fix!.span;
    const old = lines[line - 1];
    lines[line - 1] = old.slice(0, column - 1) + fix!.text + old.slice(column - 1 + length);
    expect(told(lines.join("\n"))).toEqual([]);
  });
});

it("a follower without a load is driven, and runs", () => {
  const run = simulate(
    compile(`supply p = 5 V
supply m = -5 V
signal s = sine -1 V to 1 V, at 1 kHz
amplifier u s -> out minus out, high p, low m, bandwidth 1 MHz`),
    { until: "1 ms" },
  );
  expect([run.status, run.warnings]).toEqual(["complete", []]);
});

it("a few milliohms are asked about, and a shunt of 50 is none of them", () => {
  expect(told(more("resistor r ramp -> ground 1 mohm"))).toEqual([
    "6:29 milliohms: resistor 'r' has 1 thousandth of an ohm: is 'mohm' meant? = m is milli; a million ohms are 'Mohm'",
  ]);
  expect(told(more("resistor r ramp -> ground 50 mohm"))).toEqual([]);
});

it("one milliohm is one: m is milli, always", () => {
  const design = compile(more("resistor r ramp -> ground 1 mohm"));
  const { value } = design.parts.find(({ name }) => name === "r")!.value!;
  expect(Number(value.n) / Number(value.d)).toBe(1e-3);
});
