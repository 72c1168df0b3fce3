// What was measured, in words: it reads as standing where it is in its limits. The figures are rounded by hand.
import { expect, it } from "vitest";
import { measuredText } from "../../src/report/verdicts.js";

const check = (low: number | undefined, high: number | undefined) => ({
  name: "one",
  case: "",
  what: "period of gate",
  measure: "period",
  unit: "s",
  shown: "value" as const,
  limit: { low, high },
});

it.each<[string, number | undefined, number | undefined, number, string]>([
  // Four figures tell where it stands to a hundredth of the band.
  ["a wide band", 3.8315, 4.0685, 3.97636583, "3.976 s"],
  // A field of 20 ms (ITU-R BT.1700) within 0.001 %: 20 ms stood there, whatever was measured.
  ["a narrow band, well within", 0.0199998, 0.0200002, 0.01999984, "19.99984 ms"],
  ["a narrow band, just outside", 0.0199998, 0.0200002, 0.02000021, "20.00021 ms"],
  ["a narrow band, in its middle", 0.0199998, 0.0200002, 0.02, "20 ms"],
  ["a narrow band, far outside", 0.0199998, 0.0200002, 0.0312345678, "31.23 ms"],
  ["just above a bound", undefined, 0.02, 0.0200000123, "20.00001 ms"],
  ["just below a bound", undefined, 0.02, 0.01999999, "20 ms"],
  ["just below what it must exceed", 5, undefined, 4.99998, "4.99998 s"],
  ["what must be exact, and is not", 3, 3, 3.0001, "3.0001 s"],
  ["no value", 1, 2, Number.NaN, "none"],
])("%s", (_, low, high, measured, words) => {
  expect(measuredText(check(low, high), measured)).toBe(words);
});
