// The examples: every check of theirs passes, every check can fail, their texts are canonical, carry the cautions, and
// the picture beside them is the one that the tool draws now.

import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { balance, compile, type Run, simulate, verifyAll } from "../../src/index.js";
import { cautions, drivesTube } from "../../src/report/cautions.js";
import { panelGroups } from "../../src/report/selection.js";
import { tracePicture } from "../../src/report/svg.js";
import { draw } from "../../src/schematic/schematic.js";
import { format } from "../../src/syntax/layout.js";
import { root } from "../command/running.js";
import { full } from "../counts.js";

const folder = join(root, "examples");
const names = readdirSync(folder).filter((name) => name.endsWith(".ramp"));
const text = (name: string) => readFileSync(join(folder, name), "utf8");

test("there are the whole board, a picture that hops, the line sweep twice, the field sweep and both together", () => {
  expect(names).toEqual([
    "board.ramp",
    "discrete.ramp",
    "field.ramp",
    "hop.ramp",
    "line.ramp",
    "nestbox.ramp",
  ]);
});

// The whole board takes its time, and has tests of its own in tests/board.
describe.each(names.filter((name) => name !== "board.ramp"))("%s", (name) => {
  const design = compile(text(name), { name });
  const runs: Run[] = [];
  const results = verifyAll(design, { ran: (run) => runs.push(run) });

  test.each(results)("$case: $name", (result) => {
    expect(result).toMatchObject({ pass: true });
  });

  test("every case was run to its end", () => {
    expect(runs.map((run) => [run.design.caseName, run.status])).toEqual(
      ["", ...design.cases.map((c) => c.caseName)].map((c) => [c, "complete"]),
    );
  });

  test("currents and energies balance", () => {
    for (const whole of runs) {
      // At hand the beginning stands for a long run: its account is drawn at every sample.
      const { design, until, recording } = whole;
      const run = full || recording.kept < 20_000 ? whole : simulate(design, { until: until / 20 });
      const account = balance(run);
      expect(account.currentLaw).toBeLessThan(1e-9);
      expect(account.energy).toBeLessThan(1e-4);
    }
  });
});

describe.each(names)("%s", (name) => {
  test("is laid out as the formatter does it", () => {
    expect(format(text(name)).text).toBe(text(name));
  });

  test("begins with the cautions, and is known to drive a tube", () => {
    const head = text(name).split("\n\n")[0].replace(/\n# /g, " ");
    expect(head).toMatch(/^# /);
    for (const word of ["kilovolts", "implode", "X-radiation", "live"]) expect(head).toContain(word);
    for (const standard of ["IEC 62368-1", "IEC 61010-1", "IEC 61965"]) expect(head).toContain(standard);
    expect(head).toContain("not a safety assessment");
    expect(drivesTube(text(name))).toBe(true);
    // Nobody is told how to discharge a tube.
    expect(`${text(name)}${cautions.join()}`).not.toMatch(
      /discharg(e|ing) (the|a) (tube|anode)|bleed|short the anode/i,
    );
  });
});

describe("the checks can fail", () => {
  // What breaks in the design, and the check that must notice.
  test.each([
    ["a pulse the wrong way round", "gate above 2.5 V", "gate below 2.5 V", "fills the tube"],
    ["a capacitor of the next value", "15 nF", "22 nF", "fills the tube"],
    ["a source that leaks", "output 2 Mohm", "output 100 kohm", "straight enough"],
    ["a switch that is too small", "on 5 ohm", "on 90 ohm", "starts from nothing"],
    ["a switch that is far too small", "on 5 ohm", "on 90 ohm", "back in time"],
    ["a guard left out", "diode guard ramp -> plus5", "diode guard gate -> plus5", "guard holds"],
    ["too much current", "1.00 mA", "1.10 mA", "feed bears it"],
    ["a supply that is too high", "plus12 = 12 V", "plus12 = 18 V", "feed stays cool"],
    ["a slow ramp", "1.00 mA", "0.97 mA", "fast enough"],
  ])("%s: %s becomes %s", (_, from, to, check) => {
    const words = new RegExp(
      from
        .split(/ +/)
        .map((w) => w.replace(/[.+*]/g, "\\$&"))
        .join(" +"),
    );
    expect(text("line.ramp")).toMatch(words);
    const design = compile(text("line.ramp").replace(words, to));
    const failed = verifyAll(design).filter((r) => !r.pass);
    expect(failed.map((r) => r.name)).toContain(check);
  });

  test.each([
    ["field_cap = 4.7 uF", "field_cap = 3.9 uF", "field fills the tube"],
    ["on resistance", "on resistance, off 100 kohm", "line is straight"],
    ["switch_on = 5 ohm", "switch_on = 3.3 ohm", "field switch survives"],
    ["switch_on = 5 ohm", "switch_on = 9 ohm", "field starts from nothing"],
    ["switch_on = 5 ohm", "switch_on = 30 ohm", "field is back in time"],
    ["plus5, line_sync, line_ramp", "plus5, field_sync, line_ramp", "lines keep their pace"],
    ["drop 0.6 V", "drop 0.9 V", "line guard holds"],
    ["scaled 0.7", "scaled 0.45", "line still fills"],
    ["15.75 nF", "16.5 nF", "line still wide"],
    ["14.25 nF", "11 nF", "line clear of its guard"],
  ])("%s becomes %s", (from, to, check) => {
    const words = new RegExp(
      from
        .split(/ +/)
        .map((w) => w.replace(/[.+*]/g, "\\$&"))
        .join(" +"),
    );
    expect(text("nestbox.ramp")).toMatch(words);
    const design = compile(text("nestbox.ramp").replace(words, to));
    const failed = verifyAll(design).filter((r) => !r.pass);
    expect(failed.map((r) => r.name)).toContain(check);
  });
});

test("the picture beside the examples is the one drawn now", async () => {
  const run = simulate(compile(text("nestbox.ramp")));
  const drawn = tracePicture(panelGroups(run), { title: run.design.title });
  // Written anew with `npx vitest run tests/examples -u`.
  await expect(drawn).toMatchFileSnapshot(join(folder, "nestbox.svg"));
});

test("the schematic beside the examples is the one drawn now", async () => {
  await expect(draw(compile(text("board.ramp")))).toMatchFileSnapshot(join(folder, "board.svg"));
});
