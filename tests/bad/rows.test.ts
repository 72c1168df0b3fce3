// Bad texts and what they must get, through the public entry alone: a typed diagnostic with a code, a place counted by
// hand, a reason, and where one is known a mend that is then accepted. Nothing but DesignError leaves `compile`.
import { describe, expect, it } from "vitest";
import { compile, DesignError, inspect } from "../../src/index.js";
import { errors, mended, nestbox, told, whole } from "./designs.js";

// A sound circuit of three statements, to which the mistakes are added or in which they stand.
const rc = "supply p = 5 V\nresistor r p -> out 1 kohm\ncapacitor c out -> ground 1 uF\n";
const messages = (text: string) => inspect(text).diagnostics.map((d) => d.message);

describe("row 1: nothing, marks and line ends, control characters", () => {
  it("an empty text is a diagnostic", () => {
    for (const text of ["", " \n", "\ufeff", "# only a comment"])
      expect(errors(text)).toEqual(["1:1 empty-design"]);
  });
  it("a byte-order mark and each kind of line end are accepted", () => {
    for (const text of [`\ufeff${rc}`, rc.replaceAll("\n", "\r\n"), rc.replaceAll("\n", "\r")]) {
      expect(compile(text).parts.map((p) => p.name)).toEqual(["p", "r", "c"]);
    }
  });
  it("NUL and half a surrogate pair are refused at their columns", () => {
    expect(errors(rc.replace("1 kohm", "1 \0kohm"))).toEqual(["2:23 stray-character"]);
    expect(errors(`${rc}# \ud800`)).toEqual(["4:3 stray-character"]);
  });
});

describe("row 2: the text ends inside something", () => {
  it("inside quotes: names the line they open on", () => {
    expect(errors(`${rc}check "x`)).toEqual(["4:7 unclosed-text"]);
    expect(messages(`${rc}check "x`)[0]).toContain("line 4");
  });
  it("inside a block: names the line of the block, and `end` mends it", () => {
    const text = `${rc}block b joins a\nresistor r a -> ground 1 ohm`;
    const [d] = inspect(text).diagnostics;
    expect(d.code).toBe("unclosed-block");
    expect(d.message).toContain("line 4");
    expect(errors(mended(text, d))).toEqual([]);
  });
});

describe("row 3: misspelt words and names get the nearest known, and the mend is accepted", () => {
  it.each([
    ["a kind", nestbox.replace("capacitor hold", "capacitr hold"), "capacitor"],
    ["a property", nestbox.replace("headroom", "hedroom"), "headroom"],
    ["a property of a pulse", nestbox.replace("edges", "egdes"), "edges"],
    ["a unit", nestbox.replace("15 nF", "15 nf"), "nF"],
    ["a value", nestbox.replace("charge, headroom", "chrage, headroom"), "charge"],
    ["a measure", nestbox.replace("sweep error", "sweep eror"), "sweep error"],
    ["a place of a check", nestbox.replace("floor of ramp", "floor of rmap"), "ramp"],
    ["a signal of a check", nestbox.replace("each gate is", "each gaet is"), "gate"],
    ["a place that a switch watches", nestbox.replace("while gate above", "while gaet above"), "gate"],
    ["a target of a case", nestbox.replace("gate stops", "gaet stops"), "gate"],
    ["a change of a case", nestbox.replace("gate stops", "gate stosp"), "stops"],
    ["a word of a condition", nestbox.replace("gate above", "gate abvoe"), "above"],
    ["a sync", nestbox.replace(/pulse 0 V.*/, "lien sync of 625/50, 0 V to 5 V"), "line"],
    ["a system", nestbox.replace(/pulse 0 V.*/, "line sync of 625/5, 0 V to 5 V"), "625/50"],
  ])("%s", (_, text, word) => {
    const { diagnostics } = inspect(text);
    for (const d of diagnostics) whole(d, text);
    const mend = diagnostics.find((d) => d.fix?.text === word);
    expect(mend?.hint).toBe(`did you mean '${word}'?`);
    const better = mended(text, mend!);
    expect(errors(better)).toEqual([]);
    if (!text.includes("sync of")) expect(better).toBe(nestbox);
  });
});

describe("row 4: numbers of our own grammar alone", () => {
  it.each([
    "1e400",
    "0x10",
    "1_000",
    ".",
    "\u0663",
    "Infinity",
    "NaN",
    "1.2.3",
    "1e",
    "--1",
    "+1",
    "1,5",
    "5e-",
  ])("%s is refused", (number) => {
    const text = `supply p = ${number} V\nresistor r p -> ground 1 ohm`;
    expect(errors(text).length).toBeGreaterThan(0);
    expect(errors(text).every((e) => e.startsWith("1:"))).toBe(true);
    expect(() => compile(text)).toThrow(DesignError);
  });
});

describe("row 5: wrong units", () => {
  it.each([
    ["10 kV where ohms stand", "10 kV", "a voltage"],
    ["a bare number", "10", "a plain number"],
    ["farads", "10 nF", "a capacitance"],
  ])("%s: at the value, with both dimensions", (_, value, what) => {
    const text = rc.replace("1 kohm", value);
    expect(errors(text)).toEqual(["2:21 wrong-dimension"]);
    const d = inspect(text).diagnostics.find((one) => one.code === "wrong-dimension")!;
    expect(d.message).toContain("a resistance");
    expect(d.message).toContain(what);
    expect(d.hint).toBe("give it in ohm");
  });
  it("M is mega and m is milli, both micro signs are micro: never guessed", () => {
    const ohms = (unit: string) => compile(rc.replace("kohm", unit)).parts[1].value!.value.valueOf();
    expect([ohms("Mohm"), ohms("mohm"), ohms("\u00b5ohm"), ohms("\u03bcohm"), ohms("uohm")]).toEqual([
      1e6, 1e-3, 1e-6, 1e-6, 1e-6,
    ]);
  });
});

describe("row 6: values out of range, with the range", () => {
  it.each([
    ["R < 0", rc.replace("1 kohm", "-1 kohm"), "2:21 out-of-range", "greater than zero"],
    ["C = 0", rc.replace("1 uF", "0 uF"), "3:27 out-of-range", "greater than zero"],
    [
      "period 0",
      `${rc}signal s = pulse 0 V to 1 V, wide 1 us, every 0 us`,
      "4:47 out-of-range",
      "greater than zero",
    ],
    [
      "tap beyond its track",
      `${rc}potentiometer t p -> ground 1 kohm, tap q, at 120 %`,
      "4:47 out-of-range",
      "from 0 % to 100 %",
    ],
  ])("%s", (_, text, where, range) => {
    expect(errors(text)).toEqual([where]);
    expect(inspect(text).diagnostics.find((d) => d.code === "out-of-range")!.message).toContain(range);
  });
  it.each(["64 us", "70 us"])("a pulse of %s every 64 us", (wide) => {
    expect(errors(`${rc}signal s = pulse 0 V to 1 V, wide ${wide}, every 64 us`)).toEqual([
      "4:12 full-period",
    ]);
  });
  it("edges longer than the pulse", () => {
    expect(errors(`${rc}signal s = pulse 0 V to 1 V, wide 1 us, every 64 us, edges 1 us`)).toEqual([
      "4:12 slow-edges",
    ]);
  });
});

describe("row 7: a name twice", () => {
  it("is refused with both places", () => {
    const text = `${rc}resistor r out -> ground 1 ohm`;
    expect(errors(text)).toEqual(["4:10 name-twice"]);
    const [d] = inspect(text).diagnostics;
    expect(d.message).toContain("line 2, column 10");
    expect(d.related![0].span).toMatchObject({ line: 2, column: 10 });
  });
  it("composed and decomposed spellings are one name", () => {
    expect(errors(`${rc}given R\u00f6hre = 1 V\ngiven Ro\u0308hre = 2 V`)).toEqual(["5:7 name-twice"]);
  });
  it("a block, a check and a case twice", () => {
    expect(errors(`${rc}block b joins a\nend\nblock b joins a\nend`)).toContain("6:7 name-twice");
    // One mistake, whatever stands inside of what is used under a taken name.
    const block = "block b joins a\nresistor r a -> ground 1 ohm\nend\n";
    expect(errors(`${rc}${block}use b as one joins x\nuse b as one joins y`)).toEqual(["8:10 name-twice"]);
    expect(errors(`${rc}check "x" peak of out below 9 V\ncheck "x" floor of out below 9 V`)).toEqual([
      "5:7 name-twice",
    ]);
    expect(errors(`${rc}case "x" r open\ncase "x" c open`)).toEqual(["5:6 name-twice"]);
  });
});

describe("row 8: names of the host language are ordinary", () => {
  it("as places, parts, values, checks and cases, and Object.prototype stays as it is", () => {
    const before = JSON.stringify(Object.getOwnPropertyNames(Object.prototype));
    const design = compile(`supply __proto__ = 5 V
      resistor constructor __proto__ -> toString 1 kohm
      capacitor 0 toString -> ground 1 uF
      given hasOwnProperty = 1 V
      check "__proto__" peak of toString below hasOwnProperty * 6
      case "constructor" constructor open
      check "valueOf" peak of toString below 1 V`);
    expect(design.places).toEqual(["ground", "__proto__", "toString"]);
    expect(design.parts.map((p) => p.name)).toEqual(["__proto__", "constructor", "0"]);
    expect(design.cases.map((c) => c.caseName)).toEqual(["constructor"]);
    expect(JSON.stringify(Object.getOwnPropertyNames(Object.prototype))).toBe(before);
  });
});

describe("row 9: what does not exist is told with what does", () => {
  it.each([
    ["a place", `${rc}check "a" peak of nowhere below 1 V`, "4:19 unknown-place", "out"],
    [
      "a place that a switch watches",
      `${rc}switch s out -> ground closed while nowhere above 1 V`,
      "4:37 unknown-place",
      "out",
    ],
    ["a part", `${rc}check "a" peak of thing.current below 1 A`, "4:19 unknown-place", "r.current"],
    ["a block", `${rc}block sweep joins a\nend\nuse nothing as s joins out`, "6:5 unknown-block", "sweep"],
    ["a measure", `${rc}check "a" loudness of out below 1 V`, "4:11 unknown-measure", "peak"],
    ["a target of a case", `${rc}case "x" thing open`, "4:10 unknown-target", "r"],
  ])("%s", (_, text, where, candidate) => {
    expect(errors(text)).toContain(where);
    const d = inspect(text).diagnostics.find(
      (one) => `${one.span.line}:${one.span.column} ${one.code}` === where,
    )!;
    expect(d.hint).toContain(candidate);
  });
  it("a case that a check asks for", () => {
    expect(errors(`${rc}case "x" r open\ncheck "a" peak of out below 1 V in case "y"`)).toEqual([
      "5:41 unknown-case",
    ]);
  });
});

describe("rows 10 to 12: blocks inside themselves, blocks of blocks, brackets", () => {
  it("a block inside itself: the path of the cycle", () => {
    const text = `${rc}block b joins a\nuse d as d joins a\nend\nblock d joins a\nuse b as b joins a\nend\nuse b as x joins out`;
    expect(errors(text).map((e) => e.split(" ")[1])).toEqual(["block-cycle"]);
    expect(messages(text).join()).toContain("b → d → b");
  });
  it("ten levels of ten blocks are counted, not opened", () => {
    let text = "";
    for (let i = 0; i < 10; i++) {
      const inside = Array.from({ length: 10 }, (_, k) => `use b${i - 1} as u${k} joins a`).join("\n");
      text += `block b${i} joins a\n${i === 0 ? "resistor r a -> ground 1 ohm" : inside}\nend\n`;
    }
    expect(errors(`${rc}${text}use b9 as x joins out`).map((e) => e.split(" ")[1])).toEqual([
      "too-many-parts",
    ]);
  });
  it("100 000 brackets end in a diagnostic", () => {
    const text = `${rc}given deep = ${"(".repeat(100_000)}1 V${")".repeat(100_000)}`;
    expect(errors(text).map((e) => e.split(" ")[1])).toEqual(["too-deep"]);
  });
});

describe("row 15: parts without a way to ground", () => {
  it("are named, all of them", () => {
    const text = `${rc}resistor q a -> b 1 ohm\ncapacitor w b -> a 1 uF`;
    expect(errors(text)).toEqual(["4:1 no-ground"]);
    expect(messages(text)[0]).toMatch(/'q' and 'w'/);
    expect(errors("resistor q a -> b 1 ohm\ncapacitor w b -> a 1 uF")).toEqual(["1:1 no-ground"]);
  });
  it("an end that hangs free is a warning, under a current source an error", () => {
    expect(told(`${rc}resistor q out -> tip 1 ohm`)).toEqual(["warning 4:1 loose-end"]);
    expect(told(`${rc}current q out -> tip 1 mA`)).toEqual(["4:1 loose-end"]);
  });
});

describe("row 16: a loop of ideal supplies", () => {
  it.each([
    ["of two", `${rc}voltage v p -> ground 4 V`, "'p' and 'v'"],
    ["of three", `${rc}supply q = 6 V\nvoltage v p -> q 4 V`, "'p', 'q' and 'v'"],
    ["of one, joined to itself", `${rc}voltage v p -> p 4 V`, "'v'"],
  ])("%s: names the loop", (_, text, loop) => {
    expect(errors(text).map((e) => e.split(" ")[1])).toEqual(["source-loop"]);
    expect(messages(text).join()).toContain(loop);
  });
  it("a resistance in it mends it", () => {
    expect(errors(`${rc}voltage v p -> ground 4 V, behind 1 ohm`)).toEqual([]);
  });
});

describe("what leaves compile", () => {
  it("is DesignError with every diagnostic, in the order of the text", () => {
    const text = `${rc.replace("1 kohm", "1 kV")}given a = 1 V\ngiven a = 2 V\ncheck "x" peak of nowhere below 1 V`;
    try {
      compile(text);
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(DesignError);
      const { diagnostics } = error as DesignError;
      expect(diagnostics.filter((d) => d.severity === "error").map((d) => d.code)).toEqual([
        "wrong-dimension",
        "name-twice",
        "unknown-place",
      ]);
    }
  });
  it("the same text gives the same diagnostics", () => {
    const text = nestbox.replaceAll("ramp", "rmap").replace("15 nF", "15 F F");
    expect(inspect(text).diagnostics).toEqual(inspect(text).diagnostics);
  });
});
