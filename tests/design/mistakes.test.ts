// What a design says wrongly, one mistake each, and the answer: its place, its code and what it names. What the statements mean is
// in the language reference; every text is sound but for the line that is added.
import { describe, expect, it } from "vitest";
import { spreadWords } from "../../src/design/spreading.js";
import { compile, inspect } from "../../src/index.js";
import { kinds } from "../../src/parts/kinds.js";

const sound = `supply plus5 = 5 V
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
current feed plus5 -> ramp 1 mA
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
`;

const told = (text: string, resolve?: (path: string) => string | undefined) =>
  inspect(text, { resolve }).diagnostics.map(
    ({ code, message, hint, span }) =>
      `${span.line}:${span.column} ${code}: ${message}${hint ? ` = ${hint}` : ""}`,
  );

const amplifier = `supply minus5 = -5 V
amplifier stage ramp -> out minus out, high plus5, low minus5, bandwidth 1 MHz
resistor load out -> ground 1 kohm
`;
const coils = "inductor a ramp -> ground 1 mH\ninductor b ramp -> ground 1 mH\n";

it("the text that they are added to is sound", () => {
  expect(told(sound + amplifier + coils)).toEqual([]);
});

describe.each<[of: string, rows: readonly (readonly [added: string, ...answers: RegExp[]])[]]>([
  [
    "limits of an output",
    [
      ['check "c" clipping time of ramp below 1 us', /^6:28 no-limits: 'ramp' is no part/],
      ['check "c" clipping time of rmp below 1 us', /^6:28 unknown-place: .*'rmp' = did you mean 'ramp'/],
      ['check "c" clipping time of hold below 1 us', /^6:28 no-limits: 'hold' is a capacitor/],
      ['check "c" clipping time of hold.current below 1 us', /^6:28 no-limits: 'hold.current' is no part/],
      ['check "c" mean of hold.clipping below 10 %', /^6:19 no-limits: 'hold' is a capacitor/],
      [
        `${amplifier}check "c" clipping time of out below 1 us`,
        /^9:28 no-limits: 'out' is no part .* = did you mean the part 'stage'/,
      ],
      [
        `${amplifier}check "c" clipping time of stage.current below 1 us`,
        /^9:28 no-limits: .* = did you mean the part 'stage'/,
      ],
      [`${amplifier}check "c" mean of stage.clipping below 10 %`],
      [`${amplifier}check "c" clipping time of stage.clipping below 1 us`],
    ],
  ],
  [
    "couplings",
    [
      [
        `${coils}coupling k a -> b 50 %\ncheck "c" peak of k below 1 V`,
        /^9:19 which-aspect: .* = it couples 'a' and 'b'/,
      ],
      [`${coils}coupling k a -> b 50 %\ncase "s" k short`, /^9:12 change-form: coupling 'k' joins no places/],
      [`${coils}coupling k a -> b 50 %, rated 1 W`, /^8:25 property-form: a coupling bears nothing/],
      [
        `${coils}coupling k a -> b 99 %\ncoupling l b -> a 50 %`,
        /^9:1 coupled-twice: 'l' couples what 'k' couples/,
      ],
      [`${coils}coupling k a -> a 99 %`, /^8:1 couples-itself/],
      [`${coils}coupling k a -> reset 99 %`, /^8:17 unknown-part: 'reset' is no inductor/],
      [`${coils}coupling k a -> c 99 %`, /^8:17 unknown-part: no inductor is called 'c'/],
      [
        `${coils}inductor c ramp -> ground 1 mH\ncoupling k a -> b 99 %\ncoupling l b -> c 50 %`,
        /^10:1 impossible-coupling: .*'k' and 'l'/,
      ],
      [`${coils}inductor c ramp -> ground 1 mH\ncoupling k a -> b 60 %\ncoupling l b -> c 60 %`],
    ],
  ],
  [
    "switches",
    [
      [
        "switch s ramp -> ground closed while gate below 2.5 V, open 1 V",
        /^6:25 levels-order: .*open below .* = .*level or above it/,
      ],
      [
        "switch s ramp -> ground closed while gate above 2.5 V, open 4 V",
        /^6:25 levels-order: .*open above .* = .*level or below it/,
      ],
      [
        "switch s ramp -> ground closed while gat above 2.5 V",
        /^6:38 unknown-place: .* = did you mean 'gate'/,
      ],
      ["switch s ramp -> ground closed while gate above nope", /^6:49 unknown-value/],
      [
        "switch s ramp -> ground closed while gate below -1 V",
        /^6:1 never-closes: .*'gate' stays above -1 V/,
      ],
      ["switch s ramp -> ground closed while gate above 6 V", /^6:1 never-closes: .*'gate' stays below 6 V/],
      ["switch s ramp -> ground closed 5 V", /^6:25 property-form: 'closed' is followed by 'while', /],
      [
        "switch s ramp -> ground closed while gate above 2 V, on while gate above 3 V",
        /^6:54 property-form: 'on'/,
      ],
    ],
  ],
  [
    "properties",
    [
      ["diode g ramp -> plus5 drop 0.6 V at 3 V", /^6:37 stray-word: 'at' means nothing behind/],
      [
        "capacitor c ramp -> ground 1 nF, loses 20 %",
        /^6:34 property-form: 'loses' does not say at which voltage/,
      ],
      ["capacitor c ramp -> ground 1 nF, settled 5 V", /^6:34 property-form: 'settled' is a word alone/],
      [
        `${amplifier.replace("minus out", "minus 0 V")}`,
        /^7:\d+ property-form: 'minus' is followed by the name/,
      ],
      [`${amplifier.replace("minus out", "minus (1 + 2)")}`, /^7:\d+ property-form: 'minus' is followed by/],
      [
        `${amplifier.replace("minus out", "minus 2")}resistor z 2 -> ground 1 kohm\nresistor y 2 -> out 1 kohm`,
      ],
      ["resistor r ramp -> ground 1 kohm, rated nope", /^6:41 unknown-value/],
      ["resistor r ramp -> ground 1 kohm, rated 1 W +- 5 %", /^6:35 property-form: 'rated' takes a power/],
      ["resistor r ramp -> ground 1 mohm", /^6:29 milliohms: .* 1 thousandth of an ohm/],
      ["resistor r ramp -> ground 2 mohm", /^6:29 milliohms: .* 2 thousandths of an ohm/],
    ],
  ],
  [
    "how values spread",
    [
      [
        "given x = 1 nF +- 5 %, spread while gate above 2 V",
        /^6:24 property-form: 'spread' takes a word = how/,
      ],
      ["given x = 1 nF +- 5 %, spread 5 %", /^6:24 property-form: 'spread' takes a word$/],
      ["given x = 1 nF +- 5 %, spread normal +- 5 %", /^6:24 property-form/],
      ["given x = 1 nF +- 5 %, tracks 5 V", /^6:24 property-form: 'tracks' takes the name of a value/],
      ["given x = 1 nF +- 5 %, drift nope", /^6:30 unknown-value/],
      ["given x = 5 +- 5 %, drift 3 V", /^6:27 wrong-dimension: .* must be a share or a number a kelvin/],
      ["given x = 1 nF +- 5 %, spread sorted, gap nope", /^6:43 unknown-value/],
      ["given x = 1 nF +- 5 %, spread sorted, gap 4 % +- 1 %", /^6:39 property-form: 'gap' has no tolerance/],
      ["given x = 1 nF +- 5 %, wanders nope", /^6:32 unknown-value/],
      ["given z = 0 V +- 5 %", /^6:18 tolerance-range: .* = .*give its tolerance in V/],
      ["given z = 0 +- 5 %", /^6:16 tolerance-range: .* = the value is zero$/],
    ],
  ],
  [
    "waves",
    [
      ["signal s = path 0 V at nope, 1 V at 1 ms", /^6:24 unknown-value/],
      ["signal s = path nope at 0 s, 1 V at 1 ms", /^6:17 unknown-value/],
      [
        "signal s = pulse 0 V to 1 V, wide 1 ms, every 1 ms",
        /^6:12 full-period: .*allowed is less than 1 ms/,
      ],
      ["signal s = pulse 0 V to 1 V, wide 1 ms, edges 3 ms", /^6:12 slow-edges/],
    ],
  ],
  [
    "statements",
    [
      ["run for 1 ms\nrun for 2 ms", /^7:1 statement-twice: the length of the run/],
      ['title "a"\ntitle "b"', /^7:1 statement-twice: the design has a title/],
      ['check "a" peak of ramp below 5 V\ncheck "a" peak of ramp below 5 V', /^7:7 name-twice: a check/],
      ['show "a" peak of ramp\nshow "a" peak of ramp', /^7:6 name-twice: a figure/],
      ['show "a" peak of rmp', /^6:18 unknown-place/],
      ['check "a" peak of ramp below nope', /^6:30 unknown-value/],
      ['check "a" crossing of ramp rising through nope below 1 ms', /^6:43 unknown-value/],
      [
        'check "a" crossing of ramp rising through 1 A below 1 ms',
        /^6:43 wrong-dimension: the level must be in V/,
      ],
      ['check "a" peak of ramp below 5 V in case "nope"', /^6:42 unknown-case/],
      [
        'diode g ramp -> plus5\nfind g from 1 V to 2 V for "a"\ncheck "a" peak of ramp below 5 V',
        /^7:6 no-number: .* = name a value with 'given'/,
      ],
      [
        'diode g ramp -> plus5 drop 1 V\nfind g from 1 V to 2 V for "a"\ncheck "a" peak of ramp below 5 V',
        /^7:6 no-number: .* = it has: 'g.drop'/,
      ],
    ],
  ],
])("%s", (_, rows) => {
  it.each(rows)("%s", (added, ...answers) => {
    const found = told(`${sound}${added}\n`);
    expect(found).toHaveLength(answers.length);
    for (const [i, answer] of answers.entries()) expect(found[i]).toMatch(answer);
  });
});

describe("texts that are brought", () => {
  const load = "joins x\nresistor r x -> ground 1 kohm\nend\n";
  const files: Record<string, string> = {
    "top.ramp": `bring "middle.ramp"\nblock top ${load}`,
    "middle.ramp": `bring "low.ramp"\nblock middle ${load}`,
    "low.ramp": `supply unused = 5 V\nblock low ${load}`,
    "wrong.ramp": `block wrong ${load.replace("kohm", "kohmm")}`,
    "leads.ramp": 'bring "wrong.ramp"\n',
    "nowhere.ramp": 'bring "missing.ramp"\n',
    "round.ramp": 'bring "round.ramp"\n',
  };
  const resolve = (path: string) => files[path];

  it("each is read once, whichever way leads there, and gives its blocks only", () => {
    const text = `bring "top.ramp"\nbring "middle.ramp"\nbring "low.ramp"\n${sound}use top as u joins ramp\nuse low as v joins ramp\n`;
    expect(told(text, resolve)).toEqual([]);
    expect(compile(text, { resolve }).parts.map((p) => p.name)).toEqual([
      ...["plus5", "gate", "feed", "hold", "reset", "u.r", "v.r"],
    ]);
  });

  it.each([
    ["missing.ramp", /^1:7 bring-missing: "missing.ramp" is not there to be brought = the path counts/],
    ["nowhere.ramp", /^1:7 bring-missing: .* \(brought by "nowhere.ramp"\) = the path counts/],
    [
      "wrong.ramp",
      /^1:1 unknown-unit: in "wrong.ramp", line 2, column 26: 'kohmm' is not a unit = did you mean/,
    ],
    ["leads.ramp", /^1:1 unknown-unit: in "wrong.ramp", .* \(brought by "leads.ramp"\)/],
    ["round.ramp", /^1:1 bring-cycle: "round.ramp" brings itself: round.ramp → round.ramp/],
  ])("%s", (path, answer) => {
    const found = told(`bring "${path}"\n${sound}`, resolve);
    expect(found).toHaveLength(1);
    expect(found[0]).toMatch(answer);
  });

  it("without a resolver, how to give one", () => {
    expect(told(`bring "low.ramp"\n${sound}`)[0]).toMatch(
      /^1:7 bring-missing: .* = hand a resolver to compile/,
    );
  });
});

it("of many ideal voltages in a loop the first are named, and how many more there are", () => {
  const loop = Array.from({ length: 9 }, (_, i) => {
    const [tail, head] = [i === 0 ? "p" : `n${i}`, i === 8 ? "ground" : `n${i + 1}`];
    return `voltage v${i} ${tail} -> ${head} 1 V\n`;
  });
  // The supply and nine voltages: eight of them, and two more.
  expect(told(`supply p = 5 V\n${loop.join("")}`)).toEqual([
    expect.stringMatching(/^10:1 source-loop: .*'p', 'v0', .*'v6' and 2 more = put a resistance/),
  ]);
});

// A summary marks words with backticks, for the page that is made of it; a message has quotes.
it("no word of a part, wrongly given or left out, is answered with the marks of a page", () => {
  const said = kinds.flatMap((kind) => {
    const value = kind.value ? " 1 ohm" : "";
    const wrong = kind.properties.flatMap(({ word }) => [
      `${kind.word} part a -> b${value}, ${word} from 1 s to 2 s`,
      `${kind.word} part a -> b${value}, ${word}`,
    ]);
    return [`${kind.word} part a -> b`, ...wrong].flatMap((line) => told(`${sound}${line}\n`));
  });
  const spread = Object.keys(spreadWords).flatMap((word) =>
    told(`${sound}given x = 1 V +- 1 %, ${word} 5 s at 3\n`),
  );
  expect(said.length).toBeGreaterThan(100);
  expect(spread.length).toBeGreaterThan(3);
  expect([...said, ...spread].filter((line) => line.includes("`"))).toEqual([]);
});
