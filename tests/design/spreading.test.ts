// What may stand behind a value about how it spreads, and behind a part about what it is rated for: the meaning of each word,
// and a whole diagnostic for what makes no sense. The language of this project is its own source.
import { describe, expect, it } from "vitest";
import { compile, inspect } from "../../src/index.js";
import { errors, mended } from "../bad/designs.js";

const rest = "\nresistor load a -> ground 1 kohm";
const value = (words: string) => compile(`voltage v a -> ground 10 V ${words}${rest}`).parts[0].value!;

describe("words behind a value", () => {
  it("are exact", () => {
    const { spreading } = value("+- 10 %, spread sorted, gap 5 %, drift -0.3 %/K, wanders 15 %");
    expect(spreading!.shape).toBe("sorted");
    expect([spreading!.gap!.size.toFraction(), spreading!.gap!.share]).toEqual(["1/20", true]);
    expect([spreading!.drift!.amount.value.toFraction(), spreading!.drift!.absolute]).toEqual([
      "-3/1000",
      false,
    ]);
    expect(spreading!.wanders!.toFraction()).toBe("3/20");
    const absolute = value("+- 1 V, drift 2 mV/K +- 1 mV/K, gap 0.5 V").spreading!;
    expect([absolute.drift!.absolute, absolute.drift!.amount.high.toFraction()]).toEqual([true, "3/1000"]);
    expect([absolute.gap!.size.toFraction(), absolute.gap!.share]).toEqual(["1/2", false]);
    expect(value("+- 1 %").spreading).toBeUndefined();
  });

  it.each<[string, string, string[]]>([
    ["a share of nothing", "voltage v a -> ground 0 V +- 5 %", ["1:30 tolerance-range"]],
    ["a negative tolerance", "voltage v a -> ground 5 V +- (0 - 5 %)", ["1:31 tolerance-range"]],
    ["more than all of it", "voltage v a -> ground 5 V +- 101 %", ["1:30 tolerance-range"]],
    ["no tolerance to spread", "voltage v a -> ground 5 V, spread normal", ["1:28 no-tolerance"]],
    ["no tolerance to track with", "voltage v a -> ground 5 V, tracks load", ["1:28 no-tolerance"]],
    ["an unknown spread", "voltage v a -> ground 5 V +- 5 %, spread normla", ["1:42 unknown-spread"]],
    ["a spread that is no word", "voltage v a -> ground 5 V +- 5 %, spread 5 V", ["1:35 property-form"]],
    ["a gap as wide as the tolerance", "voltage v a -> ground 5 V +- 5 %, gap 5 %", ["1:39 gap-range"]],
    [
      "a gap of normal parts",
      "voltage v a -> ground 5 V +- 5 %, spread normal, gap 1 %",
      ["1:54 property-form"],
    ],
    ["a gap in another unit", "voltage v a -> ground 5 V +- 5 %, gap 1 A", ["1:39 wrong-dimension"]],
    ["a drift in another unit", "voltage v a -> ground 5 V, drift 1 %", ["1:34 wrong-dimension"]],
    ["a wander beyond all", "voltage v a -> ground 5 V, wanders 101 %", ["1:36 out-of-range"]],
    ["a wander with a tolerance", "voltage v a -> ground 5 V, wanders 5 % +- 1 %", ["1:28 property-form"]],
    ["a word twice", "voltage v a -> ground 5 V, drift 1 %/K, drift 1 %/K", ["1:41 repeated-property"]],
    ["a part without a value", "diode v a -> ground drop 1 V, drift 1 %/K", ["1:31 no-value"]],
    ["a stray word", "diode v a -> ground drop 1 V peak", ["1:30 stray-word"]],
    ["a named value with another word", "given x = 1 V, headroom 1 V", ["1:16 unknown-property"]],
    ["a named value that is rated", "given x = 1 V, rated 1 V", ["1:16 unknown-property"]],
    ["a supply with another word", "supply x = 1 V, headroom 1 V", ["1:17 unknown-property"]],
    [
      "a follower, whose tolerance is the named value's",
      "given x = 1 V +- 5 %\nvoltage v a -> ground x, spread normal",
      ["2:26 no-tolerance"],
    ],
  ])("%s", (_, text, wanted) => {
    expect(errors(text + rest)).toEqual(wanted);
  });

  it("tracking: by the nearest name, within a block first, never in a circle", () => {
    const two = (first: string, second: string) =>
      `voltage v a -> b 5 V +- 5 %, ${first}\nvoltage w b -> ground 5 V +- 5 %, ${second}${rest}`;
    expect(errors(two("tracks w", "drift 1 %/K"))).toEqual([]);
    // One mistake, one message, as for values made of each other; who leads into the round is not in it.
    expect(errors(two("tracks w", "tracks v"))).toEqual(["1:37 circular-value"]);
    expect(errors(two("tracks load", "drift 1 %/K"))).toEqual(["1:37 no-tolerance"]);
    const text = `given timing = 5 V +- 5 %\nvoltage v a -> ground 5 V +- 5 %, tracks timng${rest}`;
    const [d] = inspect(text).diagnostics;
    expect([d.code, d.hint]).toEqual(["unknown-value", "did you mean 'timing'?"]);
    expect(errors(mended(text, d))).toEqual([]);
    const block = `given r = 5 V +- 1 %\nblock pair joins top\n  given r = 1 V +- 5 %
  voltage v top -> m r\n  voltage w m -> ground 1 V +- 5 %, tracks r\nend\nuse pair as one joins a${rest}`;
    expect(errors(block)).toEqual([]);
  });

  it("a spread that is mistyped has a mend that serves", () => {
    const text = `voltage v a -> ground 5 V +- 5 %, spread normla${rest}`;
    const [d] = inspect(text).diagnostics;
    expect(errors(mended(text, d))).toEqual([]);
  });
});

describe("rated", () => {
  it("means what data sheets mean: W the mean, A rms, V the peak, unless a word says otherwise", () => {
    const ratings = (words: string) =>
      compile(`resistor v a -> ground 1 kohm, ${words}\nsupply a = 5 V`).parts[0].ratings!.map((r) => [
        r.of,
        r.size,
        r.level,
      ]);
    expect(ratings("rated 0.25 W, rated 300 mA, rated 16 V")).toEqual([
      ["power", "mean", 0.25],
      ["current", "rms", 0.3],
      ["voltage", "peak", 16],
    ]);
    expect(ratings("rated 1 W peak, rated 1 A peak, rated 2 A mean, rated 5 V reverse")).toEqual([
      ["power", "peak", 1],
      ["current", "peak", 1],
      ["current", "mean", 2],
      ["voltage", "reverse", 5],
    ]);
    const [wave, supply] = compile(
      "current i a -> ground sine 0 A to 1 A, at 1 kHz, rated 2 A peak\nsupply a = 5 V, rated 1 A",
    ).parts;
    expect([wave.ratings!.length, supply.ratings!.length]).toEqual([1, 1]);
  });

  it.each<[string, string, string]>([
    ["another dimension", "rated 1 s", "1:38 wrong-dimension"],
    ["nothing", "rated", "1:32 property-form"],
    ["zero", "rated 0 W", "1:38 out-of-range"],
    ["less than nothing", "rated -1 V", "1:38 out-of-range"],
    ["a word that is none", "rated 1 A paek", "1:42 unknown-rating"],
    ["a power against the arrow", "rated 1 W reverse", "1:42 unknown-rating"],
    ["the same twice", "rated 1 W, rated 2 W mean", "1:43 repeated-property"],
    ["a tolerance", "rated 1 W +- 5 %", "1:32 property-form"],
    ["a mistyped word", "ratd 1 W", "1:32 unknown-property"],
  ])("%s", (_, words, wanted) => {
    expect(errors(`resistor v a -> ground 1 kohm, ${words}\nsupply a = 5 V`)).toEqual([wanted]);
  });

  it("a mistyped word has a mend that serves", () => {
    const text = "resistor v a -> ground 1 kohm, rated 1 A paek\nsupply a = 5 V";
    const [d] = inspect(text).diagnostics;
    expect(errors(mended(text, d))).toEqual([]);
  });
});
