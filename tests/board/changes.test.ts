// Small changes to examples/board.ramp are noticed by the checks that are there for them, and by the measured value: not
// because nothing was measured. The part of the board that a change can reach is simulated, and no more; that it ends in
// ideal followers and comparators, which pass nothing back, makes the rest of it indifferent.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type CheckResult, verify } from "../../src/index.js";
import { run } from "./looking.js";

const text = readFileSync(new URL("../../examples/board.ramp", import.meta.url), "utf8");

/** Statements of each way beyond the jack, its follower included. The tube is none of them: nothing here looks at it. */
const ways = {
  picture: ["gain", "mix", "brightness", "add"],
  sync: ["filter", "separator", "line_turn", "field_turn"],
  line: ["line"],
  field: ["field"],
} as const;
type Way = keyof typeof ways;

/** How far the circuit goes that each check looks at. */
const reached: Readonly<Record<string, readonly Way[]>> = {
  "video is one volt": [],
  "field keeps its level": [],
  "picture is not clipped": ["picture"],
  "sync is prompt": ["sync"],
  "no sync is missing": ["sync"],
  "no sync is extra": ["sync"],
  "colour makes no sync": ["sync"],
  "field is tall": ["sync", "field"],
  "line is wide": ["sync", "line"],
  "line starts from nothing": ["sync", "line"],
  "lines stand still": ["sync", "line"],
  "line waits at its guard": ["sync", "line"],
  "line stops at a diode drop": ["sync", "line"],
};

/** The board as far as a check looks, with that check and its case and no others. */
function part(of: string, check: string, inCase: string): string {
  const left = (Object.keys(ways) as Way[]).filter((way) => !reached[check].includes(way));
  const gone = new Set<string>(["screen", ...left.flatMap((way) => ways[way])]);
  const [drawn, ...cases] = of.split(/^(?=case ")/m);
  const asked = inCase === "" ? [] : cases.filter((section) => section.startsWith(`case "${inCase}"`));
  const statements = [drawn, ...asked]
    .join("")
    // A statement goes on in the lines that are indented.
    .split(/\n(?! )/);
  const named = (statement: string) =>
    /^(?:use \w+ as|resistor|potentiometer|tube) +(\w+)/.exec(statement)?.[1] ?? "";
  return statements
    .filter((statement) => !gone.has(named(statement)))
    .filter((statement) => !statement.startsWith("check ") || statement.startsWith(`check "${check}"`))
    .join("\n");
}

describe("small changes are noticed", () => {
  // Shortened, so that half a minute will do: spans that lie in the second field are moved into the first.
  const cut = (from: string | RegExp, to: string, of: string) => {
    expect(of).toMatch(from);
    return of.replaceAll(from as string, to);
  };
  const short = [
    ["after 1.1 * camera.field before 1.9 * camera.field", "after 2 ms before 4 ms"],
    ["from 1.1 * camera.field to 1.9 * camera.field", "from 2 ms to 4 ms"],
    ["cable.unplugged is 8 ms", "cable.unplugged is 1 ms"],
    ["from 20 ms to 37 ms", "from 2 ms to 4 ms"],
    ["plus5 dead at 8 ms", "plus5 dead at 1 ms"],
    ["after 9 ms below 0.7 V", "after 2 ms below 0.7 V"],
  ].reduce((of, [from, to]) => cut(from, to, of), text);
  const measured = (of: string, until: string, inCase: string, check: string) => {
    const options = { until, ...(inCase && { case: inCase }) };
    const [result, ...more] = verify(run(part(of, check, inCase), options));
    expect(more).toEqual([]);
    return result;
  };
  const sound = new Map<string, CheckResult>();
  const unplugged = "camera unplugged and plugged in again";
  const values = (use: string, more: string): [string, string] => [use, `${use} ${more}`];
  const separator = "joins smooth, plus5, line_low, field_low";

  test.each([
    [
      "a camera of 50 ohm",
      values("as cable joins camera, jack", "with source 50 ohm"),
      "4 ms",
      "",
      "video is one volt",
    ],
    [
      "a filter three times as slow",
      values("as filter joins clean, smooth", "with shunt 1 nF"),
      "4 ms",
      "",
      "sync is prompt",
    ],
    [
      "a filter so slow that sync does not come through",
      values("as filter joins clean, smooth", "with series 10 kohm"),
      "4 ms",
      "",
      "no sync is missing",
    ],
    [
      "a coupling that is a hundred times too small",
      values("as entry joins jack, plus5, minus5, coupled", "with coupling 100 nF"),
      "41 ms",
      "",
      "field keeps its level",
    ],
    [
      "a filter left out, on colour",
      values("as filter joins clean, smooth", "with shunt 1 pF"),
      "4 ms",
      "colour",
      "colour makes no sync",
    ],
    [
      "a coupling that starts far from the average",
      values("as entry joins jack, plus5, minus5, coupled", "with average 700 mV"),
      "41 ms",
      "",
      "field keeps its level",
    ],
    ["a slow comparator", values(separator, "with delay 300 ns"), "4 ms", "", "sync is prompt"],
    ["an integrator for lines", values(separator, "with integrator 1 kohm"), "22 ms", "", "field is tall"],
    [
      "nine times instead of five",
      values("joins clean, plus5, minus5, bright", "with feedback 8 kohm"),
      "4 ms",
      "",
      "picture is not clipped",
    ],
    [
      "a line capacitor of 10 nF",
      ["line_cap     = 15 nF", "line_cap     = 10 nF"],
      "4.5 ms",
      "",
      "line is wide",
    ],
    [
      "a field capacitor of 3.3 uF",
      ["field_cap    = 4.7 uF", "field_cap    = 3.3 uF"],
      "22 ms",
      "",
      "field is tall",
    ],
    [
      "a switch that is too small",
      values("across with charge line_charge, timing line_cap", ", resistance 47 ohm"),
      "4.5 ms",
      "",
      "line starts from nothing",
    ],
    [
      "a slow buffer",
      values("across with charge line_charge, timing line_cap", ", slew 0.05 V/us"),
      "4.5 ms",
      "",
      "line is wide",
    ],
    [
      "noise of 30 mV",
      values("as cable joins camera, jack", "with hiss 30 mV"),
      "4.5 ms",
      "",
      "lines stand still",
    ],
    [
      "a guard diode that is open",
      ["cable.unplugged is 1 ms", "cable.unplugged is 1 ms, line.guard open"],
      "4.5 ms",
      unplugged,
      "line waits at its guard",
    ],
    [
      "a guard at the wrong rail",
      ["line joins plus12, plus5,", "line joins plus12, plus12,"],
      "4.5 ms",
      "5 V rail dead",
      "line stops at a diode drop",
    ],
  ] as const)("%s", (_, [from, to], until, inCase, check) => {
    const before = sound.get(check) ?? measured(short, until, inCase, check);
    sound.set(check, before);
    expect(before).toMatchObject({ name: check, pass: true });
    const changed = measured(cut(from, to, short), until, inCase, check);
    expect(changed.pass).toBe(false);
    // It fails for what was measured, not because nothing was.
    expect(Number.isNaN(changed.measured)).toBe(false);
  });
});
