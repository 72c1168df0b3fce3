// What the engine does with a text, without a browser.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { compile, raster, simulate, verify } from "../../src/index.js";
import { LiveRuns } from "../../src/live/liveruns.js";
import type { Reply, Turn } from "../../src/live/messages.js";
import { packed, unpacked } from "../../src/live/packedbrought.js";
import { scanned } from "../../src/live/scanning.js";
import { measuredText, noteText } from "../../src/report/verdicts.js";

const nothing = { texts: {}, pictures: {}, captures: {} };
const line = readFileSync("examples/line.ramp", "utf8");
const turn: Turn = { turn: 1, values: {}, case: "", part: "all" };

function runsOf(text: string, rest = async () => {}): LiveRuns {
  const made = new LiveRuns(nothing, rest);
  made.read({ edition: 1, text, name: "design" });
  return made;
}

async function told(text: string, asked: Partial<Turn>): Promise<Reply[]> {
  const replies: Reply[] = [];
  await runsOf(text).run({ ...turn, ...asked }, { aborted: false }, (reply) => replies.push(reply));
  return replies;
}

test("the verdicts that `verify` gives come first, then the waveforms", async () => {
  const replies = await told(line, {});
  expect(replies.map(({ type }) => type)).toEqual(["verdicts", "waves"]);
  const [found] = replies;
  const expected = verify(simulate(compile(line)));
  expect(
    found.type === "verdicts" &&
      found.verdicts.map(({ name, pass, measured, note }) => [name, pass, measured, note]),
  ).toEqual(expected.map((r) => [r.name, r.pass, measuredText(r, r.measured), noteText(r)]));
});

test("a turned value takes the ramp along: its height is I t / C (Millman & Taub 1965)", async () => {
  const height = async (timing: number) => {
    const [, waves] = await told(line, { values: { timing } });
    const panel =
      waves.type === "waves" ? waves.groups[0].panels.find(({ trace }) => trace.name === "ramp") : undefined;
    return Math.max(...(panel?.trace.value ?? []));
  };
  // The switch's 5 ohm and the feed's 2 Mohm take less than a part in a hundred.
  expect((await height(20e-9)) / (await height(15e-9))).toBeCloseTo(15 / 20, 2);
});

test("a value that a part does not allow is refused as a diagnostic", async () => {
  const [refused] = await told(line, { values: { timing: -1e-9 } });
  expect(refused).toMatchObject({
    type: "refused",
    turn: 1,
    diagnostics: [{ code: "out-of-range", severity: "error" }],
  });
});

test("a run that is stopped tells nothing any more", async () => {
  const signal = { aborted: false };
  const replies: Reply[] = [];
  let rests = 0;
  const stopped = runsOf(line, async () => {
    // The first rest comes before the run, the second behind its verdicts.
    if (++rests === 2) signal.aborted = true;
  });
  await stopped.run(turn, signal, (reply) => replies.push(reply));
  expect(replies.map(({ type }) => type)).toEqual(["verdicts"]);
});

test("a text with a mistake gives its diagnostics and no design; a sound one what the page needs", () => {
  const made = new LiveRuns(nothing, async () => {});
  const bad = made.read({ edition: 3, text: line.replace("capacitor", "capacitr"), name: "line" });
  expect(bad).toMatchObject({
    type: "text",
    edition: 3,
    diagnostics: [{ code: "unknown-statement", fix: { text: "capacitor" } }],
  });
  expect(bad.type === "text" && bad.design).toBeUndefined();
  const good = made.read({ edition: 4, text: line, name: "line" });
  expect(good).toMatchObject({
    edition: 4,
    design: { title: "Nest-box monitor, line sweep", tube: true, staged: false },
  });
});

test("samples and drawing are those of what is shown", async () => {
  const made = runsOf(line);
  await made.run(turn, { aborted: false }, () => {});
  expect(made.keep("svg", 0)).toMatch(/^<svg .*<\/svg>\n$/s);
  const [head, first] = made.keep("csv", 0)!.split("\r\n");
  expect(head).toBe("time (s),gate (V),ramp (V)");
  expect(first.split(",")).toHaveLength(3);
  expect(runsOf(line).keep("csv", 0)).toBeUndefined();
});

test("a picture in stretches is the picture, and a quarter of its lines shows the same field", () => {
  const run = simulate(compile(readFileSync("examples/board.ramp", "utf8")), { until: "40 ms" });
  const whole = last(scanned(run, { tube: "screen", width: 256, height: 192, every: 1 }));
  const { grey } = raster(run, { width: 256, height: 192 });
  // Stretches are sketched one by one, so that a pixel may be one grey off.
  expect(Math.max(...grey.map((g, i) => Math.abs(g - whole.grey[i])))).toBeLessThanOrEqual(1);
  const quarter = last(scanned(run, { tube: "screen", width: 64, height: 48, every: 4, from: 0, to: 0.02 }));
  const mean = (all: Uint8Array) => all.reduce((sum, g) => sum + g, 0) / all.length;
  expect(mean(quarter.grey)).toBeGreaterThan(0.5 * mean(whole.grey));
  expect(mean(quarter.grey)).toBeLessThan(2 * mean(whole.grey));
});

function last<T>(work: Generator<undefined, T>): T {
  for (;;) {
    const step = work.next();
    if (step.done) return step.value;
  }
}

test("what a design brings comes back as it went in", () => {
  const data = Float64Array.from({ length: 6 }, (_, i) => Math.round((i / 5) * 65535) / 65535);
  const capture = {
    name: "scope.csv",
    time: Float64Array.of(0, 1e-6, 1 / 3),
    channels: [{ name: "CH1", unit: "V", value: Float64Array.of(0.1, Number.NaN, -5), resolution: 0.1 }],
    holes: [{ from: 1e-6, to: 1 / 3 }],
  };
  const { resolve, pictures, captures } = unpacked(
    JSON.parse(
      JSON.stringify(
        packed({
          texts: new Map([
            ["near.ramp", "block x joins a\nend\n"],
            ["gone.ramp", undefined],
          ]),
          pictures: new Map([
            ["test.png", { width: 3, height: 2, data }],
            ["bytes.png", { width: 2, height: 1, data: Uint8Array.of(0, 255) }],
            ["bad.png", { reason: "it is no PNG file" }],
          ]),
          captures: new Map([[" scope.csv", capture]]),
        }),
      ),
    ),
  );
  expect([resolve("near.ramp"), resolve("gone.ramp"), resolve("constructor")]).toEqual([
    "block x joins a\nend\n",
    undefined,
    undefined,
  ]);
  expect(pictures("test.png")).toEqual({ width: 3, height: 2, data });
  expect(pictures("bytes.png")).toEqual({ width: 2, height: 1, data: Float64Array.of(0, 1) });
  expect(captures("scope.csv", undefined)).toEqual(capture);
  expect(pictures("bad.png")).toEqual({ reason: "it is no PNG file" });
});
