// The canonical layout is proven on what it is for: whatever damage leaves a design that still compiles, its text laid out
// compiles to the same design, and laid out again stays as it is. No outside source: these are the promises of `format`.
import { readdirSync, readFileSync } from "node:fs";
import { isDeepStrictEqual } from "node:util";
import fc from "fast-check";
import { expect, test } from "vitest";
import { type Design, inspect } from "../../src/index.js";
import { format } from "../../src/syntax/layout.js";
import { root } from "../command/running.js";
import { tries } from "../counts.js";
import { bare } from "../fuzz/judge.js";
import { nestbox } from "./designs.js";

const folder = (name: string) =>
  readdirSync(`${root}examples/${name}`)
    .filter((file) => file.endsWith(".ramp"))
    .map((file) => readFileSync(`${root}examples/${name}${file}`, "utf8"));

/** Parts with no value and a lone word first, cases with waveforms, and what else the examples do not have. */
const odd = `title "Nest-box monitor, odds and ends"
bring "shipped/separator"
given low = -20 mV
supply plus12 = 12 V, rated 100 mA
signal gate = line sync of 625/50, 0 V to 5 V
signal film = video of 625/50, crosshatch, circle
voltage lift plus12 -> x sine -1 V to 1 V, at 15625 Hz, behind 10 ohm
resistor load x -> ground 10 kohm -20 % / +80 %
oneshot shot gate -> late, retriggerable, lasts 4 us
resistor after late -> ground (1 + 2) * 1 kohm - 500 ohm
run for 200 us, from rest
check "height" peak of x each gate from 10 us to 20 us below 20 V
check "lift" value of x at 50 us is 12 V +- 10 % in every case
case "sagging" plus12 is 11.5 V, after open
case "snow" gate is pulse 0 V to 5 V, wide 4.7 us, every 64 us
`;

const texts = [nestbox, odd, ...folder(""), ...folder("blocks/")];
const resolve = (path: string) => readFileSync(`${root}examples/${path}`, "utf8");

const design = (text: string): Design | undefined => {
  try {
    return inspect(text, { resolve }).design;
  } catch {
    // A brought file that is not there: not what is looked at here.
    return undefined;
  }
};

/** Demands that a text laid out means the same; tells whether it was a design. */
function keeps(text: string): boolean {
  const before = design(text);
  if (!before) return false;
  const laid = format(text).text!;
  const after = design(laid);
  expect(after, laid).toBeDefined();
  expect(isDeepStrictEqual(bare(after), bare(before)), laid).toBe(true);
  expect(format(laid).text).toBe(laid);
  return true;
}

test("every example, and a text of what they do not have", () => {
  expect(texts.filter(keeps).length).toBeGreaterThan(3);
  expect(keeps(odd)).toBe(true);
});

test("a lone word behind the places keeps its comma", () => {
  const text = "oneshot x g -> b, retriggerable, lasts 4 us\n";
  expect(format(text).text).toBe(text);
});

test("what damage leaves a design", () => {
  let designs = 0;
  const pieces = (text: string) => text.split(/(\s+|,|->|[()])/).filter((t) => t !== "");
  // The whole of the board takes too long to put together so often.
  const short = texts.filter((text) => text.length < 2500).map(pieces);
  const damage = fc.tuple(
    fc.nat(),
    fc.nat(),
    fc.constantFrom("swap", "copy", "drop", "double", "comma", "line", "blank", "blank"),
  );
  fc.assert(
    fc.property(
      fc.constantFrom(...short),
      fc.array(damage, { minLength: 1, maxLength: 3 }),
      (start, steps) => {
        const t = start.slice();
        for (const [i, j, how] of steps) {
          const [a, b] = [i % t.length, j % t.length];
          if (how === "swap") [t[a], t[b]] = [t[b], t[a]];
          else if (how === "copy") t[a] = t[b];
          else if (how === "drop") t.splice(a, 1);
          else if (how === "double") t.splice(a, 0, t[a]);
          else t.splice(a, 0, how === "comma" ? ", " : how === "line" ? "\n" : " # so\n  ");
        }
        if (keeps(t.join(""))) designs++;
      },
    ),
    { seed: 1953, numRuns: tries(2500) },
  );
  // The law would be empty if damage hardly ever left a design.
  expect(designs).toBeGreaterThan(tries(100));
});
