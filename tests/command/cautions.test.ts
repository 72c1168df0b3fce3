// Who is warned: whoever has a tube, or makes what leads to one, in whichever verb; and nobody else.
import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { verbs } from "../../src/command/verbs.js";
import { rampwright, sound } from "./running.js";

const pulses = "signal gate = path 0 V at 0 s, 5 V at 1 us, every 64 us";
/** The ramp of `sound`, and a signal beside it that nothing follows. */
const beside = (signal: string) => sound.replace("run for", `${signal}\nrun for`);

describe("cautions", () => {
  test.each([
    ["line sync", beside("signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns")],
    ["video", beside("signal camera = video of 625/50, bars")],
    ["a shipped sweep", `bring "shipped/sweep"\n${sound}`],
    ["a name", sound.replaceAll("ramp", "line_sweep")],
  ])("%s brings them, in a line and in JSON", (_, text) => {
    const told = rampwright(["check", "-"], { input: text });
    expect(told.err).toMatch(/^CAUTION near a picture tube.*IEC 61965.*\n$/);
    const { cautions } = JSON.parse(rampwright(["check", "-", "--json"], { input: text }).out);
    for (const words of [
      "kilovolts",
      "Implosion",
      "X-radiation",
      "chassis",
      "burns the screen",
      "earth clip",
      "IEC 61010-1",
    ])
      expect(cautions.join(" ")).toContain(words);
  });

  test.each([
    ["a bare ramp", sound],
    ["pulses", beside(pulses)],
  ])("%s brings none", (_, text) => {
    expect(rampwright(["check", "-"], { input: text }).err).toBe("");
    expect(JSON.parse(rampwright(["check", "-", "--json"], { input: text }).out).cautions).toEqual([]);
  });

  const swept = beside("signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns");
  test.each([
    ["run", ["run", "-", "--out", "-"]],
    ["vary", ["vary", "-", "--value", "hold", "--from", "5nF", "--to", "20nF", "--points", "2"]],
  ])("%s tells them as well, on standard error", (_, words) => {
    const { out, err, status } = rampwright(words, { input: swept });
    expect(status).toBe(0);
    expect(err).toContain("CAUTION near a picture tube");
    expect(out).not.toContain("CAUTION");
  });

  // A design that every verb has something to do with, in a folder of its own.
  const file = join(mkdtempSync(join(tmpdir(), "cautions-")), "design.ramp");
  const text = `${swept.replace("10 nF", "10 nF +- 0.1 %").replace(
    "\nrun for",
    `
find hold from 1 nF to 100 nF for "one volt"
reading "peak of ramp" 9 V
run for`,
  )}`;
  writeFileSync(file, text);
  const bag = file.replace("design.ramp", "bag.csv");
  writeFileSync(bag, "line (nF)\n15.1\n14.9\n");
  const seen = file.replace("design.ramp", "seen.csv");
  rampwright(["run", file, "--traces", "ramp", "--out", seen]);
  /** What a verb is asked beside the design. */
  const beyond: Readonly<Record<string, readonly string[]>> = {
    vary: ["--value", "hold", "--from", "5nF", "--to", "20nF", "--points", "2"],
    spread: ["--trials", "2"],
    match: ["--capture", seen, "--of", "ramp", "--delay", "0s"],
    sheet: ["--boards", "1"],
  };

  test("every verb that prints JSON of a design has them in it, and on standard error without", async () => {
    const printing: string[] = [];
    for (const [word, verb] of Object.entries(verbs)) {
      const { json, operand, designs } = await verb();
      if (!json || operand?.name !== "FILE") continue;
      printing.push(word);
      // Measured parts are no design.
      const words = [word, word === "pair" ? bag : file, ...(beyond[word] ?? [])];
      const { out, err } = rampwright([...words, "--json"]);
      expect(JSON.parse(out).cautions, `${word}: ${err}`).toHaveLength(word === "pair" ? 0 : 7);
      const plain = rampwright(words);
      expect(plain.out).not.toContain("CAUTION");
      if (designs) expect(plain.err, word).toContain("CAUTION near a picture tube");
    }
    expect(printing.length).toBeGreaterThan(11);
  });

  test("slices that are put together have them as well", () => {
    const at = (name: string) => file.replace("design.ramp", name);
    const slice = (word: string, k: number) => {
      const out = at(`${word}${k}.json`);
      rampwright([word, file, ...(beyond[word] ?? []), "--slice", `${k}/2`, "--out", out]);
      return out;
    };
    for (const word of ["vary", "spread", "faults"]) {
      const { out, err } = rampwright([word, "--merge", slice(word, 1), slice(word, 2), "--json"]);
      expect(JSON.parse(out).cautions, `${word}: ${err}`).toHaveLength(7);
    }
  });
});
