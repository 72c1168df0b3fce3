// What must hold of any text that is a design: whatever can be asked of a design gives an answer, or is refused for what the
// asking says, never because of the text. Take a design; give what is wrong with it, study by study. No outside source: these are
// the promises of the library. Runs are kept short by limits, so that a study of a hundred runs is quick.

import { settableValues } from "../../src/design/revalue.js";
import {
  balance,
  corners,
  type Design,
  DesignError,
  faults,
  inspect,
  measure,
  sensitivities,
  simulate,
  size,
  stress,
  symptoms,
  toNumber,
  trials,
  vary,
  verify,
  verifyAll,
  withValues,
} from "../../src/index.js";
import { exhibit, page } from "../../src/report/page.js";
import { draw } from "../../src/schematic/schematic.js";
import type { Judged } from "./judge.js";

/** What a study may say in place of an answer: that a design has nothing for it. */
const refusals: Readonly<Record<string, RegExp>> = {
  // The limits that are asked for, where the text says how long it runs.
  simulate: /^bad-option: limits\./,
  verifyAll: /^bad-option: limits\./,
  size: /^(no-unknown|bad-option)/,
  trials: /: (design: nothing in it has a tolerance|checks: the case has no checks)/,
  corners: /: (design: nothing in it has a tolerance|checks: the case has no checks)/,
  vary: /: checks: there is nothing to look at/,
  symptoms: /^table-too-large/,
  draw: /^too-many-parts/,
};

const limits = { steps: 200, bytes: 2e6, periods: 5000 };
const simulating = { until: "200 us", limits } as const;

/** Everything that can be asked of a design, with what of it is asked here. */
function studies(design: Design): readonly (readonly [string, () => unknown])[] {
  const run = () => simulate(design, simulating);
  const simulated = { simulate: simulating };
  const asked: [string, () => unknown][] = [
    ["simulate", () => simulate(design, { limits })],
    ["simulate, settled", () => simulate(design, { ...simulating, start: "settled" })],
    ["simulate, stepped", () => simulate(design, { ...simulating, method: "mixed" })],
    ["verify", () => verify(run())],
    ["verifyAll", () => verifyAll(design, { simulate: { limits } })],
    ["stress", () => stress(run())],
    ["balance", () => balance(run())],
    ["trials", () => trials(design, { trials: 2, ...simulated })],
    ["corners", () => corners(design, simulated)],
    ["faults", () => faults(design, { parts: design.parts.slice(0, 2).map((p) => p.name), ...simulated })],
    ["symptoms", () => (design.parts.length < 6 ? symptoms(design, simulated) : undefined)],
    ["draw", () => draw(design)],
    [
      "page",
      () =>
        page({
          design,
          runs: [exhibit(run(), 0, [])],
          results: verify(run()),
          tube: false,
          text: "",
          digest: () => "",
        }),
    ],
    ["events", () => run().events.length],
  ];
  for (const find of design.finds.slice(0, 1))
    asked.push(["size", () => size(design, find, { points: 3, trim: false, ...simulated })]);
  const check = design.checks[0];
  if (check && design.parts.length < 8)
    asked.push(["sensitivities", () => sensitivities(design, check.name, simulated)]);
  const place = design.places[1];
  if (place !== undefined && /^[a-z]\w*$/i.test(place))
    asked.push(["measure", () => measure(run(), `peak of ${place}`)]);
  const [value] = settableValues(design).values();
  if (value !== undefined) {
    const { name, amount } = value;
    const at = toNumber(amount.value);
    asked.push(["withValues", () => withValues(design, { [name]: at })]);
    if (at > 0)
      asked.push([
        "vary",
        () => vary(design, { value: name, from: at, to: 1.5 * at, points: 2, ...simulated }),
      ]);
  }
  return asked;
}

/** What goes wrong when everything is asked of a design. */
export function judgeStudies(design: Design): string[] {
  const found: string[] = [];
  for (const [name, ask] of studies(design)) {
    try {
      ask();
    } catch (error) {
      const words =
        error instanceof DesignError
          ? `${error.diagnostics[0].code}: ${error.diagnostics[0].message}`
          : error instanceof Error
            ? `escaped: ${(error.stack ?? error.message).split("\n").slice(0, 4).join(" | ")}`
            : String(error);
      if (!(error instanceof DesignError && refusals[name]?.test(words))) found.push(`${name}: ${words}`);
    }
  }
  return found;
}

/** The same of a text, where it is a design of some size; all computing is one input's, so that no time is told. */
export function judgeStudied(text: string): Judged {
  const design = text.length < 4000 ? inspect(text).design : undefined;
  return { faults: design ? judgeStudies(design) : [], end: design ? "asked" : "refused", seconds: 0 };
}
