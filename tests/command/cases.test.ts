// Cases side by side: with any number of threads the same verdicts, words and files, in the order of the text.
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { work } from "../../src/command/allruns.js";
import { compile } from "../../src/index.js";
import { full } from "../counts.js";
import { folder, rampwright, root, sound } from "./running.js";

/** Cases of very different length, so that a later one ends first; one stops, one clips its supply, one fails. */
const design = `title "Nest box, side by side"
bring "holding.ramp"
given closing = 1 s
given edge = 0 V
signal gate = line sync of 625/50, 0 V to 5 V
supply plus12 = 12 V
current feed plus12 -> ramp 1 mA, headroom 0.9 V
use holding as box joins ramp
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
switch bridge plus12 -> ground closed after closing, on 0 ohm
voltage middle half -> ground 2 V
tube screen gate -> ground across ramp, down half, left edge, right 5 V, top 0 V, bottom 4 V, full 5 V
run for 20 ms
check "fills" peak of ramp each gate between 3 V and 5 V
case "short" gate stops at 200 us
run for 400 us
check "waits" peak of ramp after 300 us above 11 V
case "shorted" closing is 300 us
run for 400 us
check "never seen" peak of ramp after 100 us below 20 V
case "empty" feed is 0.5 mA
run for 300 us
check "too slow" peak of ramp each gate between 3 V and 5 V
case "last" feed is 1.1 mA
run for 300 us
check "faster" peak of ramp each gate between 3 V and 5 V
`;

const brought = `block holding joins ramp
  capacitor hold ramp -> ground 15 nF
end
`;

function everything(workers: string): { ended: object; files: [string, string][] } {
  const here = folder();
  writeFileSync(join(here, "holding.ramp"), brought);
  writeFileSync(join(here, "box.ramp"), design);
  const words = ["check", "box.ramp", "--workers", workers];
  const plain = rampwright([...words, "--pictures", "shown"], { cwd: here });
  const json = rampwright([...words, "--json"], { cwd: here });
  const page = rampwright(["report", "box.ramp", "--out", "page.html", "--workers", workers], { cwd: here });
  const shown = join(here, "shown");
  const files = readdirSync(shown).map((name): [string, string] => [
    name,
    readFileSync(join(shown, name)).toString("base64"),
  ]);
  files.push(["page.html", readFileSync(join(here, "page.html"), "utf8")]);
  return { ended: { plain, json, page }, files: files.sort() };
}

describe("with several workers", () => {
  test("all is the same to the byte, in the order of the text, and ends as the worst run does", () => {
    const alone = everything("1");
    expect(alone.files.map(([name]) => name)).toHaveLength(11);
    expect(alone.ended).toMatchObject({ plain: { status: 3 }, json: { status: 3 }, page: { status: 3 } });
    const { err } = (alone.ended as { plain: { err: string } }).plain;
    const order = ["box.svg", "box-short.svg", "stopped at 300", "box-empty.svg", "box-last.svg"];
    const places = order.map((word) => err.indexOf(word));
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(Math.min(...places)).toBeGreaterThan(0);
    for (const workers of full ? ["2", "8"] : ["2"]) expect(everything(workers)).toEqual(alone);
  });

  test.each(["0", "-1", "1.5", "many", "257"])("%s of them are refused", (workers) => {
    for (const words of [
      ["check", "-"],
      ["report", "-", "--out", join(folder(), "page.html")],
    ]) {
      const { status, err } = rampwright([...words, "--workers", workers], { input: sound });
      expect({ status, err }).toEqual({
        status: 2,
        err: "rampwright: --workers: a whole number from 1 to 256\n",
      });
    }
  });

  test("what a run refuses is told after what came before it, with one as with two", () => {
    // A screen of no width.
    const text = design.replace('case "shorted" closing is 300 us', 'case "shorted" edge is 5 V');
    const told = ["1", "2"].map((workers) => {
      const here = folder();
      writeFileSync(join(here, "holding.ramp"), brought);
      writeFileSync(join(here, "box.ramp"), text);
      const ended = rampwright(["check", "box.ramp", "--pictures", "shown", "--workers", workers], {
        cwd: here,
      });
      return { ...ended, files: readdirSync(join(here, "shown")).sort() };
    });
    expect(told[0]).toEqual(told[1]);
    expect(told[0].status).toBe(2);
    expect(told[0].files).toEqual(["box-screen.png", "box-short-screen.png", "box-short.svg", "box.svg"]);
    expect(told[0].err).toMatch(/box-short-screen\.png\n(.*\n)*rampwright: left: both sides of the screen/);
  });
});

describe("how much work a design is", () => {
  const text = (length: string, signal: string) =>
    `signal gate = ${signal}\nresistor load gate -> ground 1 kohm\nrun for ${length}\n` +
    `check "high" peak of gate below 9 V\ncase "again" load is 2 kohm\ncheck "high too" peak of gate below 9 V\n`;
  // Two runs of two parts; four corners a pulse with edges, two a period of a sine; one for each run itself.
  test.each([
    ["1 ms", "pulse 0 V to 5 V, wide 10 us, every 100 us, edges 1 us", 2 * 2 * (1 + 40)],
    ["1 s", "pulse 0 V to 5 V, wide 10 us, every 100 us, edges 1 us", 2 * 2 * (1 + 40_000)],
    ["1 s", "sine 0 V to 1 V, at 50 Hz", 2 * 2 * (1 + 100)],
  ])("%s of %s", (length, signal, corners) => {
    expect(work(compile(text(length, signal)), { simulate: {} })).toBeCloseTo(corners, 6);
  });

  test("two sweeps are little, a board with video is much", () => {
    const of = (file: string) => {
      const resolve = (path: string) => readFileSync(join(root, "examples", path), "utf8");
      return work(compile(readFileSync(join(root, "examples", file), "utf8"), { resolve }), { simulate: {} });
    };
    expect(of("nestbox.ramp")).toBeLessThan(2e6);
    expect(of("board.ramp")).toBeGreaterThan(2e6);
  });
});
