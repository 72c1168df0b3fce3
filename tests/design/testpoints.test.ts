// Where a text says to look on the bench: what is read of it, how it is laid out, and what can be wrong with it.
import { describe, expect, it } from "vitest";
import { compile, format, inspect } from "../../src/index.js";

const divider = `supply rail = 12 V
resistor upper rail -> m 1 kohm
resistor lower m -> ground 1 kohm
run for 1 ms
`;
const found = (line: string) =>
  inspect(`${divider}${line}\n`).diagnostics.map((d) => `${d.span.line}:${d.span.column} ${d.code}`);

describe("a testpoint", () => {
  it("names a place, or a part's current", () => {
    const text = `${divider}testpoint "half of the rail" at m\ntestpoint "what it draws" at rail.current\n`;
    const { testpoints } = compile(text);
    expect(testpoints.map(({ name, of }) => [name, of])).toEqual([
      ["half of the rail", "m"],
      ["what it draws", "rail.current"],
    ]);
    expect(format(text).text).toContain('testpoint "half of the rail" at m\n');
  });

  it("is the design's, not a case's", () => {
    const { cases, testpoints } = compile(
      `${divider}case "dead" rail dead at 0.5 ms\ntestpoint "half" at m\n`,
    );
    expect(testpoints).toHaveLength(1);
    expect(cases[0].testpoints).toEqual([]);
  });

  it.each([
    ['testpoint "half" at n', ["5:21 unknown-place"]],
    ['testpoint "half" at upper', ["5:21 which-aspect"]],
    ['testpoint "" at m', ["5:11 no-name"]],
    ['testpoint "half" m', ["5:18 unexpected-word"]],
    ["testpoint half at m", ["5:11 unexpected-word"]],
    ['testpoint "half" at m\ntestpoint "half" at rail', ["6:11 name-twice"]],
    [
      'block b joins a\nresistor r a -> ground 1 kohm\ntestpoint "in" at a\nend\nuse b as c joins m',
      ["7:1 not-in-block"],
    ],
  ])("that is wrong is told at its place: %s", (line, said) => {
    expect(found(line)).toEqual(said);
  });

  it("may be a name as well, as every word of the language", () => {
    expect(inspect(`${divider}resistor testpoint m -> ground 1 kohm`).diagnostics).toEqual([]);
  });
});
