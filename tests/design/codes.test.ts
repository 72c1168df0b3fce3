// Diagnostics that no other folder asks for, each at its place, and that every code of the sources is asked for somewhere:
// the recipe for a diagnostic ends with a test.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { compile, type DesignError, inspect, simulate } from "../../src/index.js";
import { root } from "../command/running.js";

const told = (text: string) =>
  inspect(text, { pictures: () => ({ reason: "it is empty" }) }).diagnostics.map(
    ({ code, span }) => `${span.line}:${span.column} ${code}`,
  );
const rc = "supply p = 5 V\nresistor r p -> out 1 kohm\ncapacitor c out -> ground 1 uF\n";

it.each([
  ["levels-order", "switch s out -> ground closed while p above 2 V, open 3 V", "4:24 levels-order"],
  ["times-order", "switch s out -> ground closed from 2 ms to 1 ms", "4:24 times-order"],
  ["no-wave", "resistor s out -> ground sine 0 V to 1 V, at 1 kHz", "4:26 no-wave"],
  ["statement-twice", 'title "a"\ntitle "b"', "5:1 statement-twice"],
  ["unknown-start", "run for 1 ms, from nowhere", "4:20 unknown-start"],
  ["unknown-sync", "signal g = frame sync of 625/50, 0 V to 5 V", "4:12 unknown-sync"],
  ["stray-end", "end", "4:1 stray-end"],
  ["unusable-picture", 'signal g = video of 625/50, picture "bird"', "4:37 unusable-picture"],
])("%s", (_, text, place) => {
  expect(told(`${rc}${text}\n`)).toEqual([place]);
});

it("no-parts", () => {
  expect(told("given a = 1 V\n")).toEqual(["1:1 no-parts"]);
});

it("no-samples", () => {
  // Two ideal voltages meet at once, so that no instant is recorded.
  const stopped = simulate(compile(`${rc}switch s p -> ground closed after 0 s, on 0 ohm\n`), {
    until: "1 ms",
  });
  expect(stopped.recording.count).toBe(0);
  let code: string | undefined;
  try {
    stopped.trace("out");
  } catch (error) {
    code = (error as DesignError).diagnostics[0].code;
  }
  expect(code).toBe("no-samples");
});

it("waveform-too-long", () => {
  // A ring of 5.03 GHz for a millisecond, of some tens of samples a cycle: a stretch of it can be had all the same.
  const text = "capacitor c a -> ground 1 pF, starts 5 V\ninductor l a -> ground 1 nH\n";
  const ring = simulate(compile(text), { until: "1 ms", limits: { bytes: 1e6 } });
  expect(ring.status).toBe("complete");
  let code: string | undefined;
  try {
    ring.trace("a");
  } catch (error) {
    code = (error as DesignError).diagnostics[0].code;
  }
  expect(code).toBe("waveform-too-long");
  // v = 5 V cos(t/sqrt(LC)): an undamped tank.
  const [near] = ring.stretch(["a"], 0, 1e-9);
  for (const t of [0, 0.3e-9, 0.7e-9])
    expect(near.at(t)).toBeCloseTo(5 * Math.cos(t / Math.sqrt(1e-9 * 1e-12)), 5);
});

const texts = (folder: string, ending: RegExp) =>
  readdirSync(join(root, folder), { recursive: true, encoding: "utf8" })
    .filter((name) => ending.test(name))
    .map((name) => readFileSync(join(root, folder, name), "utf8"))
    .join("\n");

it("every code is asked for by a test", () => {
  const say = /\b(?:error|warn|refusal|reportName)\(\s*(?:[\w.]*report,\s*)?"([a-z]+(?:-[a-z]+)+)"/g;
  const codes = new Set([...texts("src", /\.ts$/).matchAll(say)].map(([, code]) => code));
  expect(codes.size).toBeGreaterThan(70);
  const asked = texts("tests", /\.ts$/) + texts("shared", /\.json$/);
  expect([...codes].filter((code) => !asked.includes(code))).toEqual([]);
});
