// What beginners write, and the answer each gets: one mistake, one message, at the line that they wrote. What they mean is
// common practice, no source.
import { describe, expect, it } from "vitest";
import { compile, type DesignError, inspect, simulate } from "../../src/index.js";
import { mend } from "../syntax/mended.js";

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

/** Blocks, and what names things in them. */
const blocks = `supply p = 12 V
supply m = -5 V
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
bring "shipped/sweep"
use sweep as line joins p, p, p, m, gate, ramp, out with charge 1 mA, timing 15 nF
resistor load out -> ground 1 kohm
inductor one p -> x 1 mH
inductor two x -> ground 1 mH
coupling core one -> two 0.5
resistor damp x -> ground 1 kohm
check "ramp" peak of ramp below 50 V
check "out" peak of out below 50 V
check "load" peak of load.current below 1 A
case "a" line.hold is 16 nF
case "b" line.charge is 2 mA
case "c" hum.noise stops at 1 ms
block humming joins on
  signal noise = sine 0 V to 1 V, at 50 Hz
  resistor r noise -> on 1 kohm
end
use humming as hum joins x
`;

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
    "a unit that there is not, of a value that others use",
    changed("1 mA", "charge").replace("current", "given charge = 1 mAmp\ncurrent"),
    /^3:18 unknown-unit: 'mAmp' is not a unit/,
  ],
  [
    "a comma before the limit of a check that a find names",
    more('check "a" peak of ramp, below 5 V\nfind hold from 1 nF to 20 nF for "a"'),
    /^6:23 unexpected-word: expected a limit.*= no comma stands before a limit$/,
  ],
  [
    "a limit in another unit, of a check that a find names",
    more('check "a" peak of ramp below 5 W\nfind hold from 1 nF to 20 nF for "a"'),
    /^6:30 wrong-dimension: 'peak' of ramp is in V, but the limit 5 W is a power = give the limit in V$/,
  ],
  [
    "1k, without its unit",
    more("resistor r ramp -> ground 1k"),
    /^6:28 unknown-unit: 'k' is not a unit = did you mean 'kohm'\?$/,
  ],
  [
    "a value in a case with '='",
    more('case "large" hold = 18 nF'),
    /^6:19 unexpected-word: expected what happens to it.*'=' = in a case a value 'is' another: 'timing is 18 nF'$/,
  ],
  [
    "a value in a case with nothing before it",
    more('case "large" hold 18 nF'),
    /^6:19 unknown-change: nothing can be '18' = before a value stands 'is': 'timing is 18 nF'$/,
  ],
  [
    "is open",
    more('case "broken" hold is open'),
    /^6:23 unknown-value: no value is called 'open' = of a part in a case 'open' is said without 'is', as in 'guard open'$/,
  ],
  [
    "a one-shot's time as a value",
    more("oneshot late gate -> out 5 us\nresistor load out -> ground 1 kohm"),
    /^6:26 no-value: a oneshot takes no value after its places = it has: lasts, /,
  ],
  [
    "closed, and nothing behind it",
    more("switch late ramp -> ground closed"),
    /^6:8 missing-property: switch 'late' does not say 'closed' = 'closed while gate above 2\.5 V'/,
  ],
  [
    "a gate whose second input is missing",
    more("gate both gate -> out and\nresistor load out -> ground 1 kohm"),
    /^6:6 missing-property: gate 'both' says none of 'and', /,
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
    /^6:1 unknown-statement: 'mosfet' begins no statement.* = did you mean 'switch'\? kinds of part are .*transistor/,
  ],
  ...(
    [
      ["opamp", "amplifier"],
      ["zener", "diode"],
      ["npn", "transistor"],
      ["cap", "capacitor"],
      ["coil", "inductor"],
      ["battery", "supply"],
      ["let", "given"],
    ] as const
  ).map(
    ([word, ours]) =>
      [
        `${word}, which is called ${ours} here`,
        more(`${word} m ramp -> ground`),
        new RegExp(`^6:1 unknown-statement: '${word}' begins no statement.* = did you mean '${ours}'\\?`),
      ] as const,
  ),
  ...(
    [
      ["max", "peak"],
      ["min", "floor"],
      ["average", "mean"],
      ["peak to peak", "swing"],
      ["linearity", "sweep error"],
    ] as const
  ).map(
    ([word, ours]) =>
      [
        `${word} for ${ours}`,
        more(`check "c" ${word} of ramp below ${ours === "sweep error" ? "1 %" : "5 V"}`),
        new RegExp(`^6:11 unknown-measure: there is no measure '${word}' = did you mean '${ours}'\\?$`),
      ] as const,
  ),
  ["under for below", more('check "c" peak of ramp under 5 V'), /^6:24 .* = did you mean 'below'\?$/],
  ["is below", more('check "c" peak of ramp is below 5 V'), /^6:33 .* = write 'below' without 'is'$/],
  ["at most", more('check "c" peak of ramp at most 5 V'), /^6:32 .* = write 'below'$/],
  [
    "a comma before a limit",
    more('check "c" peak of ramp after 1 ms, below 5 V'),
    /^6:34 .* = no comma stands before a limit$/,
  ],
  [
    "a measure and an aspect that there are not",
    more('check "c" current of hold below 5 A'),
    /^6:11 unknown-measure: there is no measure 'current'/,
  ],
  ["quotes of one stroke", more("check 'fills' peak of ramp below 5 V"), /^6:7 .* = write '"'$/],
  ...[
    "plus5 is 4 V, plus5 is 6 V",
    "plus5 is 4 V, hold short, hold open",
    "gate stops at 1 ms, gate stops at 2 ms",
  ].map(
    (changes) =>
      [
        `changed twice: ${changes}`,
        more(`case "c" ${changes}`),
        /^6:\d+ change-form: '.*' is changed twice in one case = /,
      ] as const,
  ),
  ["a lower-case letter code", changed("15 nF", "4k7"), /^4:31 .* = a letter code is written 4K7$/],
  ["R as a unit", more("resistor r ramp -> ground 100 R"), /^6:31 unknown-unit: .* = did you mean 'ohm'\?$/],
  [
    "a prefix without its unit",
    more("resistor r ramp -> ground 10 k"),
    /^6:30 unknown-unit: 'k' is a prefix, and no unit = write the unit as well, as in 'kohm'/,
  ],
  [
    "a point without a digit before it",
    more("resistor r ramp -> ground .5 ohm"),
    /^6:27 number-malformed: '\.5' is not a number = a number begins with a digit$/,
  ],
  ["a tolerance without %", changed("15 nF", "15 nF +- 5"), /^4:40 tolerance-range: .* = .*'5 %'$/],
  ["a tolerance without +-", changed("15 nF", "15 nF 5 %"), /^4:37 .* = a tolerance stands behind '\+-'$/],
  [
    "a tolerance behind a comma",
    changed("15 nF", "15 nF, 5 %"),
    /^4:38 .* = a tolerance stands behind '\+-'$/,
  ],
  ["a rating without its word", changed("15 nF", "15 nF, 16 V"), /^4:38 .* = .* stands behind 'rated'$/],
  ["an arrow in two pieces", changed("-> ramp", "- > ramp"), /^3:22 stray-character: .* = write '->'$/],
  ["=> for an arrow", changed("-> ramp", "=> ramp"), /^3:21 stray-character: .* = write '->'$/],
  ["a remark with ;", more("; a remark"), /^6:1 stray-character: .* = a comment begins with '#'$/],
  ["a remark with *", more("* a remark"), /^6:1 unknown-statement: .* = a comment begins with '#'$/],
  ["a remark with --", more("-- a remark"), /^6:1 unknown-statement: .* = a comment begins with '#'$/],
  ["when for while", changed("closed while", "closed when"), /^5:41 .* = did you mean 'while'\?$/],
  ["a condition without its word", changed("closed while", "when"), /^5:39 .* = write 'closed while'$/],
  ["a value alone", more('check "low" peak of ramp is 3 V'), /^6:26 .* = add a tolerance: 'is 3 V \+- 3 %'$/],
  [
    "nothing alone",
    more('check "low" floor of ramp is 0 V'),
    /^6:27 .* = add a tolerance: 'is 0 V \+- 0\.01 V'$/,
  ],
  ["open while", changed("closed while", "open while"), /^5:29 property-form: 'open' is a voltage/],
  ["width for wide", changed("wide 4.7", "width 4.7"), /^2:33 unknown-property: .* = did you mean 'wide'\?$/],
  [
    "a sync that does not say which",
    changed("pulse 0 V to 5 V, wide 4.7 us, every 64 us", "sync of 625/50, 0 V to 5 V"),
    /^2:15 .* = it is 'line sync'/,
  ],
  [
    "a signal that does not change",
    more("signal level = 5 V"),
    /^6:16 .* = a voltage that does not change is a supply: 'supply plus5 = 5 V'$/,
  ],
  [
    "use without bring",
    more("use sweep as line joins plus5, ramp"),
    /^6:5 unknown-block: no block is called 'sweep' = write 'bring "shipped\/sweep"' above$/,
  ],
  [
    "both ends on one place",
    more("resistor r ramp -> ramp 1 kohm"),
    /^6:1 both-ends: both ends of resistor 'r' stand on one place: it does nothing = join one of them to another place$/,
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
  ...(
    [
      [
        "a use of a block that joins too few places",
        ", ramp, out with",
        ", ramp with",
        /^5:1 wrong-places: /,
      ],
      ["a use of a block that there is not", "use sweep", "use swoop", /^5:5 unknown-block: /],
      [
        "a value in volts that a block takes in amperes",
        "charge 1 mA",
        "charge 1 V",
        /^5:65 wrong-dimension: 'charge' is a current, but 1 V is a voltage = give it in A$/,
      ],
      ["a tolerance that a block is handed", "15 nF", "15 nF +- 120 %", /^5:87 tolerance-range: /],
      [
        "a resistor in volts that others name",
        "load out -> ground 1 kohm",
        "load out -> ground 1 kV",
        /^6:29 wrong-dimension: /,
      ],
      [
        "a coil in farads that a coupling names",
        "one p -> x 1 mH",
        "one p -> x 1 mF",
        /^7:21 wrong-dimension: /,
      ],
      [
        "a case of a part in a block",
        "hold is 16 nF",
        "hold is 0 F",
        /^14:23 out-of-range: the value of capacitor 'line\.hold' is 0 F/,
      ],
      [
        "a case of a block's value",
        "charge is 2 mA",
        "charge is 2 V",
        /^15:25 wrong-dimension: 'charge' is a current, but 2 V /,
      ],
      [
        "a case of a block's signal, by a time in volts",
        "noise stops at 1 ms",
        "noise stops at 1 V",
        /^16:29 wrong-dimension: the time of the change must be a time/,
      ],
    ] as const
  ).map(([mistake, from, to, answer]) => {
    expect(blocks).toContain(from);
    return [mistake, blocks.replace(from, to), answer] as const;
  }),
  [
    "a mistake in a signal that others name",
    changed("gate = pulse 0 V to 5 V", "gate = pulse 0 V 5 V"),
    /^2:25 unexpected-word: /,
  ],
];

it("the texts that the mistakes are put into have none", () => {
  expect(told(sound)).toEqual([]);
  expect(told(blocks)).toEqual([]);
});

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
    ["under", more('check "low" peak of ramp under 5 V'), "below"],
    ["is below", more('check "low" peak of ramp is below 5 V'), "below"],
    ["at least", more('check "low" peak of ramp at least 5 V'), "above"],
    ["max", more('check "low" max of ramp below 5 V'), "peak"],
    ["an arrow in two pieces", changed("-> ramp", "- > ramp"), "->"],
    ["a tolerance behind a comma", changed("15 nF", "15 nF, 5 %"), " +-"],
    ["a rating", changed("15 nF", "15 nF, 16 V"), "rated "],
    ["when", changed("closed while", "closed when"), "while"],
    ["if", changed("closed while", "if"), "closed while"],
    ["= before a limit", more('check "low" peak of ramp = 5 V +- 3 %'), "is"],
    ["width", changed("wide 4.7", "width 4.7"), "wide"],
    [".5", more("resistor r ramp -> ground .5 ohm"), "0"],
    ["1k", more("resistor r ramp -> ground 1k"), "kohm"],
    ["= in a case", more('case "large" hold = 18 nF'), "is"],
    ["nothing before a value in a case", more('case "large" hold 18 nF'), "is "],
    ["100 R", more("resistor r ramp -> ground 100 R"), "ohm"],
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

// Turns of phrase that are nearly ours: one message, and the text is sound with its mend.
describe("turns of phrase", () => {
  const inGate = "pulse 0 V to 5 V, wide 4.7 us, every 64 us";
  const check = (words: string) => more(`check "c" ${words}`);
  const stage = (words: string) => more(`bring "shipped/gain"\nuse gain_stage as g ${words}`);
  it.each([
    ["ramp to ground", changed("hold ramp -> ground", "hold ramp to ground"), "write '->'"],
    ["a long dash in an arrow", changed("hold ramp -> ground", "hold ramp –> ground"), "write '-'"],
    ["quotes of a text editor", more("check “c” peak of ramp below 6 V"), "write '\"'"],
    ["low quotes", more("check „c“ peak of ramp below 6 V"), "write '\"'"],
    ["mfd", changed("15 nF", "15 mfd"), "did you mean 'uF'?"],
    ["usec", changed("4.7 us", "4.7 usec"), "did you mean 'us'?"],
    ["pulse from", changed(inGate, `pulse from ${inGate.slice(6)}`), "levels follow without 'from'"],
    [
      "a pattern in quotes",
      more('signal camera = video of 625/50, "white"'),
      "a pattern stands without quotes",
    ],
    ["while without closed", changed("closed while", "while"), "it is 'closed while'"],
    ["closed at", changed("closed while gate above 2.5 V", "closed at 1 ms"), "times are said like"],
    ["opens at", changed("closed while gate above 2.5 V", "opens at 1 ms"), "times are said like"],
    ["drop=", more("diode g ramp -> plus5 drop=0.6 V"), "no '=' stands between"],
    ["with drop", more("diode g ramp -> plus5 with drop 0.6 V"), "properties follow without 'with'"],
    ["starts at", changed("15 nF", "15 nF, starts at 1 V"), "no 'at' stands between"],
    ["a measure without of", check("peak ramp below 6 V"), "a measure is 'of' something"],
    ["reset current", check("peak of reset current below 6 A"), "of a part: 'reset.current'"],
    ["less than", check("peak of ramp less than 6 V"), "write 'below'"],
    ["between to", check("peak of ramp between 3 V to 5 V"), "two bounds are"],
    ["between with a minus", check("peak of ramp between 3 V - 5 V"), "two bounds are"],
    ["within", check("peak of ramp within 3 V and 5 V"), "did you mean 'between'?"],
    ["every gate", check("peak of ramp every gate below 6 V"), "did you mean 'each'?"],
    ["for each", check("peak of ramp for each gate below 6 V"), "write 'each' without 'for'"],
    ["in all cases", check("peak of ramp below 6 V in all cases"), "write 'in every case'"],
    ["settled without from", more("run for 1 ms settled"), "how it starts stands behind"],
    ["a block's folder left out", more('bring "gain"'), 'did you mean "shipped/gain"?'],
    ["places without joins", stage("ramp, plus5, ground, out"), "its places stand behind 'joins'"],
    [
      "a comma before with",
      stage("joins ramp, plus5, ground, out, with foot 2 kohm"),
      "no comma stands before",
    ],
    ["a value without given", more("x = 5 V"), "a value that has a name is a 'given'"],
    ["and between changes", more('case "c" hold open and feed open'), "a comma stands between two changes"],
    ["a rail that is off", more('case "c" plus5 off'), "did you mean 'dead'?"],
  ])("%s", (_, text, hint) => {
    const { diagnostics } = inspect(text);
    expect(diagnostics).toHaveLength(1);
    expect(diagnostics[0].hint).toContain(hint);
    expect(told(mend(text, diagnostics[0].fix!))).toEqual([]);
  });

  it.each([
    ["a gate that is high", changed("gate above 2.5 V", "gate high"), "5:47", "a place and a level"],
    [
      "closed between",
      changed("while gate above 2.5 V", "between 1 ms and 2 ms"),
      "5:44",
      "times are said like",
    ],
    ["a system by its lines", changed(inGate, "line sync of 625, 0 V to 5 V"), "2:31", "systems are"],
    ["one level of a sine", changed(inGate, "sine 5 V, at 1 kHz"), "2:23", "sine -1 V to 1 V"],
    [
      "a case's changes below it",
      more('case "c"\n  gate stops at 1 ms'),
      "6:9",
      'case "camera unplugged" gate stops',
    ],
  ])("%s: told without a mend", (_, text, place, hint) => {
    const all = told(text);
    expect(all).toHaveLength(1);
    expect(all[0].startsWith(place)).toBe(true);
    expect(all[0]).toContain(hint);
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

it("megafarads are asked about, and millifarads are none of them", () => {
  expect(told(more("capacitor c ramp -> ground 15 MF"))).toEqual([
    "6:31 megafarads: capacitor 'c' has millions of farads: is 'MF' meant? = M is mega; a millionth of a farad is 'uF'",
  ]);
  expect(told(more("capacitor c ramp -> ground 15 mF"))).toEqual([]);
});

it.each([
  ["fuse", "resistor"],
  ["triode", "transistor"],
  ["thyristor", "switch"],
])("'%s' leads to '%s'", (theirs, ours) => {
  const [line] = told(more(`${theirs} m ramp -> ground 1 ohm`));
  expect(line).toContain(`did you mean '${ours}'?`);
});

it("one milliohm is one: m is milli, always", () => {
  const design = compile(more("resistor r ramp -> ground 1 mohm"));
  const { value } = design.parts.find(({ name }) => name === "r")!.value!;
  expect(Number(value.n) / Number(value.d)).toBe(1e-3);
});

it("a case by part of its name: all cases are named", () => {
  const design = compile(more('case "unplugged" gate stops at 1 ms'));
  try {
    simulate(design, { case: "unplug" });
    expect.unreachable();
  } catch (error) {
    expect((error as DesignError).diagnostics[0].hint).toBe('cases are "unplugged"');
  }
});
