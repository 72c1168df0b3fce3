// The verb `live` as a shell has it: what it writes, and how it ends.
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { png } from "../../src/index.js";
import { file, folder, rampwright, sound, wrong } from "../command/running.js";

test("a page is written, whole, with the engine and the text inside", () => {
  const out = join(folder(), "page.html");
  const { status, out: printed, err } = rampwright(["live", file(sound), "--out", out]);
  expect([status, printed]).toEqual([0, ""]);
  expect(err).toMatch(/page\.html: \d\.\d MB, 0 knobs, 0 cases\n$/);
  const page = readFileSync(out, "utf8");
  // The engine is the core and the parser: far more than the page's own words.
  expect(/id="engine">(.*?)<\/script>/s.exec(page)![1].length).toBeGreaterThan(300_000);
  expect(page).not.toMatch(/(?:src|href)="(?!#|data:)/);
  expect(JSON.parse(/id="data">(.*?)<\/script>/s.exec(page)![1]).text).toBe(sound);
});

test("to standard output it goes with a hyphen", () => {
  const { status, out } = rampwright(["live", "-", "--out", "-"], { input: sound });
  expect(status).toBe(0);
  expect(out.startsWith("<!doctype html>")).toBe(true);
});

test("what a design brings from its folder stands in the page", () => {
  const place = folder();
  writeFileSync(join(place, "near.ramp"), "block load joins a\nresistor r a -> ground 1 kohm\nend\n");
  writeFileSync(join(place, "grey.png"), png({ width: 2, height: 1, grey: Uint8Array.of(0, 255) }));
  const design = join(place, "design.ramp");
  writeFileSync(
    design,
    'bring "near.ramp"\nsignal camera = video of 625/50, picture "grey.png"\nuse load as l joins camera\nrun for 1 ms\n',
  );
  const { status, out, err } = rampwright(["live", design, "--out", "-"]);
  expect([status, err.includes("error")]).toEqual([0, false]);
  const { brought } = JSON.parse(/id="data">(.*?)<\/script>/s.exec(out)![1]);
  expect(Object.keys(brought.texts)).toEqual(["near.ramp"]);
  // Black and white in 16 bits: 0 and 65535.
  expect(brought.pictures).toEqual({ "grey.png": { width: 2, height: 1, bytes: btoa("\0\0\xff\xff") } });
});

test("a wrong design, an ending that is none and a missing option end with 2 and write nothing", () => {
  const out = join(folder(), "page.html");
  const bad = rampwright(["live", file(wrong), "--out", out]);
  expect([bad.status, bad.err.includes("wrong-dimension")]).toEqual([2, true]);
  expect(rampwright(["live", file(sound), "--out", out.replace("html", "txt")]).status).toBe(2);
  expect(rampwright(["live", file(sound)]).status).toBe(2);
  expect(rampwright(["live", join(folder(), "none.ramp"), "--out", out]).status).toBe(2);
  expect(existsSync(out)).toBe(false);
});

test("where nothing can be written it ends with 3", () => {
  expect(rampwright(["live", file(sound), "--out", join(folder(), "no", "page.html")]).status).toBe(3);
});
