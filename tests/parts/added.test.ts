// Kinds and a measure that the caller adds: without another line every law, check, diagnostic, study, row of the reference
// and picture knows them.
import { describe, expect, it } from "vitest";
import { highlighting } from "../../grammar/highlight.js";
import { withWords } from "../../grammar/wordbook.js";
import {
  compile,
  corners,
  DesignError,
  type Diagnostic,
  faults,
  inspect,
  type Kind,
  type Measure,
  sensitivities,
  simulate,
  size,
  stress,
  summarise,
  trials,
  vary,
  verify,
} from "../../src/index.js";
import { inventory } from "../../src/report/inventory.js";
import { exhibit, page } from "../../src/report/page.js";
import { variationPicture } from "../../src/report/variedplot.js";
import { limitText, measuredText } from "../../src/report/verdicts.js";
import { format } from "../../src/syntax/layout.js";
import { cell, lamp, overshoot, words } from "./added.js";
import { accounts, converges, impedances, renamed, scales, times } from "./laws.js";

/** A divider of a cell and a lamp in its warm mode. */
const asked = `title "Torch"
given full = 6 V +- 5 %
cell battery plus -> ground full, inside 1 ohm
lamp bulb plus -> ground 100 ohm +- 10 %, warm 0.5 V, rated 0.5 W
capacitor keep plus -> ground 10 nF
check "bright" mean of plus between 5.5 V and 6.2 V
check "draws" peak current of bulb below 0.2 A
run for 100 us
find full from 4 V to 9 V for "bright"`;

// v = V − r i and i = 10 w/R + (v − w)/R: v (1 + r/R) = V − 9 r w/R (Ohm and Kirchhoff).
const volts = (6 - (9 * 0.5) / 100) / (1 + 1 / 100);
const amperes = (9 * 0.5 + volts) / 100;

/** A series circuit of L, R and C that a pulse of a cell rings; the cell is the only source. */
const ringing = `title "Ring"
cell step drive -> ground pulse 0 V to 1 V, wide 10 ms, first 1 us
resistor r drive -> a 50 ohm
inductor coil a -> out 1 mH
capacitor c out -> ground 10 nF
run for 1.5 ms
check "rings" overshoot of out below 80 %`;

const diagnosed = (text: string) => inspect(text, words).diagnostics.map(({ code }: Diagnostic) => code);

describe("kinds of a caller", () => {
  const design = compile(asked, words);

  it("obey Ohm and Kirchhoff", () => {
    const [bright, draws] = verify(simulate(design));
    expect(Math.abs(bright.measured - volts)).toBeLessThan(1e-12);
    expect(Math.abs(draws.measured - amperes)).toBeLessThan(1e-12);
  });

  const scaled = `given scale = 1
cell source drive -> ground pulse 0 V to 5 V * scale, wide 20 us, every 50 us, edges 1 us, inside 75 ohm
lamp bulb drive -> out 1 kohm, warm 1 V * scale
capacitor c out -> ground 100 nF
resistor load out -> ground 2.2 kohm
`;
  it("keep the current law and the account of energy", () => accounts(scaled, words));
  it.each([1, -4])("scale with all voltages and currents, times 2 to the %i", (k) =>
    scales(scaled, k, words),
  );
  it("have the same voltages where every impedance is greater", () => impedances(scaled, words));
  it("have the same samples where everything takes eight times as long", () => times(scaled, words));
  it("do not care for names and order", () => renamed(scaled, words));
  // Slow beside the coarsest of the steps, so that there is an order to see.
  it("converge as the step is halved", () => converges(scaled.replace("100 nF", "470 nF"), words));

  it("command a switch to the instant, as a signal does", () => {
    const by = (source: string) =>
      simulate(
        compile(
          `${source}
supply rail = 5 V
resistor feed rail -> x 1 kohm
capacitor hold x -> ground 1 nF
switch s x -> ground closed while gate above 2 V, on 10 ohm
run for 100 us`,
          words,
        ),
      ).trace("x");
    const wave = "pulse 0 V to 5 V, wide 7 us, every 20 us, edges 1 us";
    const [own, built] = [by(`cell source gate -> ground ${wave}`), by(`signal gate = ${wave}`)];
    expect(own.time).toEqual(built.time);
    expect(own.value).toEqual(built.value);
  });

  it.each([
    [
      "a loop of ideal ones",
      "cell a p -> ground 1 V\ncell b p -> ground 2 V\nresistor r p -> ground 1 ohm",
      "source-loop",
    ],
    [
      "a word of another",
      "cell a p -> ground 1 V, onside 2 ohm\nresistor r p -> ground 1 ohm",
      "unknown-property",
    ],
    ["a needed word", "cell a p -> ground 1 V\nlamp l p -> ground 5 ohm", "missing-property"],
    ["another dimension", "cell a p -> ground 1 A\nresistor r p -> ground 1 ohm", "wrong-dimension"],
    ["out of range", "cell a p -> ground -1 V\nresistor r p -> ground 1 ohm", "out-of-range"],
    ["a misspelt one", "lmap l p -> ground 5 ohm, warm 1 V", "unknown-statement"],
  ])("are told as mistakes like the built-in ones: %s", (_, text, code) => {
    expect(diagnosed(`${text}\n`)).toEqual([code]);
  });

  it("are suggested where one is misspelt", () => {
    const [{ hint }] = inspect("lmap l p -> ground 5 ohm, warm 1 V\n", words).diagnostics;
    expect(hint).toBe("did you mean 'lamp'?");
  });

  it("fail open and short", () => {
    const table = faults(design);
    expect(table.faults.map((f) => `${f.name} ${f.kind}`.trim())).toEqual([
      "as drawn",
      ...["battery", "bulb", "keep"].map((p) => `${p} open`),
      ...["battery", "bulb", "keep"].map((p) => `${p} short`),
    ]);
    const failing = (kind: string) =>
      table.faults.find((f) => f.name === "battery" && f.kind === kind)!.failing;
    expect([failing("open"), failing("short")]).toEqual([["bright"], ["bright"]]);
  });

  it("spread by their tolerances, and have corners", () => {
    const { checks, axes } = summarise(trials(design, { trials: 30, seed: 1, checks: ["bright"] }));
    expect(axes.map((axis) => axis.name)).toEqual(["full", "bulb"]);
    expect(checks[0].lowest!.value).toBeLessThan(volts);
    const [low, high] = [0.95, 1.05].map((share, i) => {
      const ohms = i === 0 ? 90 : 110;
      return (6 * share - 4.5 / ohms) / (1 + 1 / ohms);
    });
    const worst = corners(design, { checks: ["bright"] }).checks[0];
    expect(worst.lowest!.value).toBeCloseTo(low, 9);
    expect(worst.highest!.value).toBeCloseTo(high, 9);
  });

  it("are sized, varied and weighed", () => {
    // The middle of the limits: 5.85 V.
    const [found] = size(design, design.finds[0]).answers;
    expect(found.values[0]).toBeCloseTo(5.85 * 1.01 + 0.045, 6);
    const { checks } = vary(design, { value: "battery.inside", from: "0.5 ohm", to: "2 ohm", points: 3 });
    expect(checks.map((c) => [c.measure, c.shown, c.unit])).toEqual([
      ["mean", "value", "V"],
      ["peak current", "value", "A"],
    ]);
    const by = sensitivities(design, "bright").map(({ part, of }) => `${part}.${of}`);
    expect(new Set(by)).toEqual(
      new Set(["full.value", "battery.inside", "bulb.value", "bulb.warm", "keep.value"]),
    );
  });

  it("bear what they are rated for", () => {
    const bulb = stress(simulate(design)).parts.find((p) => p.part === "bulb")!;
    expect(bulb.kind).toBe("lamp");
    expect(bulb.ratings[0].value).toBeCloseTo(volts * amperes, 9);
  });

  it("have rows in the reference, colours in an editor and a layout", () => {
    const marks = ["<!-- words: generated by `npm run grammar`, do not edit -->", "<!-- end of words -->"];
    const reference = withWords(marks.join("\n"), {
      kinds: [cell, lamp],
      measures: [overshoot],
    });
    expect(reference).toContain(
      "| **cell** |  | a voltage, or a waveform | a cell; its tail is the positive pole |",
    );
    expect(reference).toContain(
      "|  | `warm` | a voltage, greater than zero | the voltage up to which it is cold; needed |",
    );
    expect(reference).toContain("| **lamp** | cold: v = R/10 · i, while v is within ± `warm` |");
    expect(reference).toContain(
      "| **overshoot** |  | how far a trace goes beyond its last value, as a share of the way there |",
    );
    const { match } = JSON.parse(highlighting()).repository.part;
    expect(new RegExp(match, "u").exec("lamp bulb plus -> ground 100 ohm")?.slice(2)).toEqual([
      "lamp",
      "bulb",
    ]);
    const laid = format(asked).text!;
    expect(laid).toMatch(/^lamp +bulb +plus -> ground 100 ohm \+- 10 %, +warm 0\.5 V, rated 0\.5 W$/m);
    expect(compile(laid, words).parts.map((p) => p.name)).toEqual(design.parts.map((p) => p.name));
  });

  it("stand in the parts list and on the page", () => {
    expect(inventory(design).slice(0, 2)).toMatchObject([
      { kind: "cell", name: "battery", value: "6 V", tolerance: "± 5 %", more: "inside 1 Ω" },
      { kind: "lamp", name: "bulb", value: "100 Ω", tolerance: "± 10 %", more: "warm 500 mV" },
    ]);
    const run = simulate(design);
    const results = verify(run);
    const still = { tube: false, text: "", digest: () => "" };
    const html = page({ design, runs: [exhibit(run, 0, results)], results, ...still }).join("");
    expect(html).toContain('<td class="k">lamp</td><td>bulb</td>');
    expect(html).toContain("<svg");
  });
});

describe("a measure of a caller", () => {
  const design = compile(ringing, words);
  const run = simulate(design);

  // A series circuit under a step overshoots by e^(−π ζ/√(1 − ζ²)) with ζ = R/2 · √(C/L) (any text on control, e.g.
  // K. Ogata, Modern Control Engineering, 5th ed., § 5-3; from memory).
  const damping = (50 / 2) * Math.sqrt(10e-9 / 1e-3);
  const share = Math.exp((-Math.PI * damping) / Math.sqrt(1 - damping ** 2));

  it("measures what the theory says, and is shown as it says of itself", () => {
    const [result] = verify(run);
    expect(Math.abs(result.measured - share)).toBeLessThan(1e-6);
    expect(result).toMatchObject({ measure: "overshoot", unit: "", shown: "share", pass: true });
    expect(measuredText(result, result.measured)).toBe(`${(100 * share).toFixed(2)} %`);
    expect(limitText(result)).toBe("below 80 %");
  });

  it("is drawn in per cent along a value, and sought", () => {
    const varied = vary(design, { value: "r", from: "40 ohm", to: "60 ohm", points: 3 });
    expect(varied.checks[0].shown).toBe("share");
    expect(variationPicture(varied)).toContain(">%<");
    const sized = size(design, {
      unknowns: [{ name: "r", from: "20 ohm", to: "400 ohm" }],
      goals: ["rings"],
    });
    // ζ from the overshoot: −ln s/√(π² + ln² s).
    const log = Math.log(0.8);
    const sought = (-2 * log * Math.sqrt(1e-3 / 10e-9)) / Math.sqrt(Math.PI ** 2 + log ** 2);
    expect(sized.answers[0].values[0]).toBeCloseTo(sought, 1);
    expect(sized.goals[0]).toMatchObject({ measure: "overshoot", shown: "share" });
  });

  it("is NaN where the trace does not reach, and is suggested where it is misspelt", () => {
    const trace = run.trace("out");
    expect(overshoot.take({ trace, from: 0, to: 1 })).toBeNaN();
    const [told] = inspect(ringing.replace("overshoot", "overshot"), words).diagnostics;
    expect(told).toMatchObject({ code: "unknown-measure", hint: "did you mean 'overshoot'?" });
  });
});

describe("what breaks the contract is told", () => {
  const refused = (more: { kinds?: unknown; measures?: unknown }, text = asked): string => {
    try {
      compile(text, { ...words, ...more } as never);
    } catch (error) {
      expect(error).toBeInstanceOf(DesignError);
      const [{ code, message }] = (error as DesignError).diagnostics;
      return `${code}: ${message}`;
    }
    return "nothing";
  };
  const kind = (change: Partial<Kind>) => ({ kinds: [cell, { ...lamp, ...change }] });
  const measure = (change: Partial<Measure>) => ({ measures: [{ ...overshoot, ...change }] });
  const modes = (change: object) => kind({ make: (part) => ({ ...lamp.make(part), ...change }) });

  it.each([
    [kind({ word: "diode" }), "bad-kind: kind 'diode' has a word that is taken"],
    [kind({ word: "check" }), "bad-kind: kind 'check' has a word that is taken"],
    [kind({ word: "signal" }), "bad-kind: kind 'signal' has a word that is taken"],
    [kind({ word: "cell" }), "bad-kind: kind 'cell' has a word that is taken"],
    [kind({ word: "two words" }), "bad-kind: 'two words' is no word for a kind of part"],
    [kind({ equations: [] }), "bad-kind: kind 'lamp' does not say what it obeys"],
    [
      kind({ make: undefined as never }),
      "bad-kind: kind 'lamp' has no 'make', so that no device comes of it",
    ],
    [
      kind({ properties: [...lamp.properties, ...lamp.properties] }),
      "bad-kind: kind 'lamp' has the property 'warm' twice",
    ],
    [
      kind({ properties: [{ ...lamp.properties[0], word: "drift" }] }),
      "bad-kind: kind 'lamp' has a property 'drift', which means something else behind a value",
    ],
    [kind({ word: 5 as never }), "bad-kind: '5' is no word for a kind of part"],
    [kind({ summary: undefined as never }), "bad-kind: kind 'lamp' has no summary"],
    [kind({ equations: [5] as never }), "bad-kind: kind 'lamp' does not say what it obeys"],
    [kind({ couples: "magnet" }), "bad-kind: kind 'lamp' couples 'magnet', which is no kind"],
    [kind({ properties: 5 as never }), "bad-kind: kind 'lamp' has no list of properties"],
    [
      kind({ properties: [{ ...lamp.properties[0], word: "two words" }] }),
      "bad-kind: kind 'lamp' has a property 'two words', which is no word",
    ],
    [
      kind({ properties: [{ ...lamp.properties[0], word: "rated" }] }),
      "bad-kind: kind 'lamp' has a property 'rated', which means something else behind a value",
    ],
    [
      kind({ properties: [{ ...lamp.properties[0], takes: "anything" as never }] }),
      "bad-kind: kind 'lamp' does not say what its property 'warm' takes",
    ],
    [
      kind({ oneOf: ["warm", "cold"] }),
      "bad-kind: kind 'lamp' asks for one of 'cold' and others, which is none of its properties",
    ],
    [{ kinds: 5 }, "bad-option: kinds: expected an object"],
    [{ kinds: [5] }, "bad-kind: 'kinds' is not a list of kinds"],
    [modes({ modes: [] }), "bad-kind: what kind 'lamp' makes of 'bulb' has no modes"],
    [
      modes({ modes: new Array(300).fill("x") }),
      "bad-kind: what kind 'lamp' makes of 'bulb' has 300 modes, allowed are 256",
    ],
    [
      modes({ guards: () => [{ of: { a: 0, b: 1 }, side: "above", level: 1, to: 7 }] }),
      "bad-kind: what kind 'lamp' makes of 'bulb' leads from mode 'cold' to one that is not there",
    ],
    [
      modes({ guards: () => [{ of: { element: 4 }, side: "above", level: 1, to: 1 }] }),
      "bad-kind: what kind 'lamp' makes of 'bulb' watches element 4 in mode 'cold', which stamps 1",
    ],
    [
      modes({ guards: () => [{ of: { a: 0, b: 1 }, side: "above", level: Number.NaN, to: 1 }] }),
      "bad-kind: what kind 'lamp' makes of 'bulb' has a guard at NaN in mode 'cold'",
    ],
    [
      modes({
        stamp: (mode: number, into: { capacitor(a: number, b: number, c: number): void }) =>
          mode === 1 && into.capacitor(0, 1, 1e-9),
      }),
      "bad-kind: what kind 'lamp' makes of 'bulb' stamps other capacitors or inductors in mode 'warm'",
    ],
    [kind({ make: () => JSON.parse("?") }), "bad-kind: what kind 'lamp' makes of 'bulb' fails: SyntaxError"],
    [measure({ words: "peak" }), "bad-measure: measure 'peak' has words that are taken"],
    [measure({ words: "height of it" }), "bad-measure: 'height of it' are no words for a measure"],
    [measure({ words: 5 as never }), "bad-measure: '5' are no words for a measure"],
    [measure({ words: "2nd peak" }), "bad-measure: '2nd peak' are no words for a measure"],
    [measure({ summary: undefined as never }), "bad-measure: measure 'overshoot' has no summary"],
    [
      measure({ takes: "light" as never }),
      "bad-measure: measure 'overshoot' does not say of what it 'takes'",
    ],
    [
      measure({ shown: "red" as never }),
      "bad-measure: measure 'overshoot' is shown as 'red', which is no way",
    ],
    [
      measure({ needs: "luck" as never }),
      "bad-measure: measure 'overshoot' needs 'luck', which cannot be given",
    ],
    [measure({ unit: () => 5 as never }), "bad-measure: measure 'overshoot' has no unit"],
    [measure({ unit: "V" as never }), "bad-measure: measure 'overshoot' has no unit"],
    [{ measures: [5] }, "bad-measure: 'measures' is not a list of measures"],
    [measure({ unit: () => "V" }), "bad-measure: measure 'overshoot' has a unit, and is shown as a share"],
    [
      measure({ take: undefined as never }),
      "bad-measure: measure 'overshoot' has no 'take', so that nothing is measured",
    ],
    [measure({ over: 5 as never }), "bad-measure: measure 'overshoot' has an 'over' that is no function"],
  ])("%#: %j", (more, message) => {
    expect(refused(more as never)).toContain(message);
  });

  it("a measure that fails, or gives no number, is named", () => {
    const run = (take: Measure["take"]) =>
      simulate(compile(ringing, { ...words, measures: [{ ...overshoot, take }] }));
    const fail = () => {
      throw new Error("no idea");
    };
    expect(() => verify(run(fail))).toThrow(DesignError);
    expect(() => verify(run(() => "much" as never))).toThrow("gave string in place of a number");
  });
});

describe("a kind that contradicts itself while it runs", () => {
  // Sound as far as it was tried: resistors in both modes, and guards that lead from one to the other.
  const fickle = (turn: (mode: number) => number): Kind => ({
    ...lamp,
    word: "fickle",
    make: ({ tail, head }) => ({
      modes: ["cold", "warm"],
      stamp: (mode, into) => into.resistor(tail, head, 1000 * turn(mode)),
      guards: (mode) => [{ of: { a: tail, b: head }, side: "above", level: 2, to: 1 - mode }],
    }),
  });
  const text = `voltage drive a -> ground path 0 V at 0 s, 4 V at 1 ms
fickle bulb a -> ground 1 kohm, warm 1 V
run for 1 ms`;
  it("is named where neither of its modes fits", () => {
    const held = text.replace(/path .*/, "4 V");
    const run = simulate(compile(held, { kinds: [fickle(() => 1)] }));
    expect([run.status, run.code]).toEqual(["stopped", "no-mode"]);
    expect(run.reason).toBe("no combination of modes fits: 'bulb' is at odds with each of its own");
  });
  it("keeps its own error, which says nothing of the circuit", () => {
    let tries = 0;
    const kind = fickle((mode) => {
      if (mode === 1 && ++tries > 1) throw new RangeError("the filament is gone");
      return 1;
    });
    expect(() => simulate(compile(text, { kinds: [kind] }))).toThrow(new RangeError("the filament is gone"));
  });
});
