// What of a run is drawn: what happens is shown where it happens, and the worst period of a check that fails. No outside source.
import { expect, test } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import { panelGroups } from "../../src/report/selection.js";
import { tracePicture } from "../../src/report/svg.js";

const plug = `title "Nest box: a plug"
given pulled = 1 s
given back = 1 s
signal camera = line sync of 625/50, 0 V to 5 V, edges 200 ns
switch pulls camera -> jack closed before pulled, on 1 ohm
switch returns camera -> jack closed after back, on 1 ohm
resistor load jack -> ground 1 kohm
run for 8 ms
case "pulled and put back" pulled is 2 ms, back is 5 ms
check "is there" peak of jack above 4 V
`;

test("what a value brings is shown where it happens, the going and the coming back", () => {
  const design = compile(plug);
  const groups = panelGroups(simulate(design.cases[0], { until: "8 ms" }));
  expect(groups.map(({ title }) => title)).toEqual([
    "pulls opens at 2 ms",
    "returns closes at 5 ms",
    "The whole run",
  ]);
  const [going, coming, whole] = groups;
  // Three lines of 64 us (ITU-R BT.1700) before and after it.
  expect(going.from).toBeCloseTo(2e-3 - 3 * 64e-6, 9);
  expect(coming.to).toBeCloseTo(5e-3 + 3 * 64e-6, 9);
  expect(going.panels[0].marks?.map(({ at }) => at)).toEqual([2e-3, 5e-3]);
  expect(whole.panels[0].marks?.map(({ label }) => label)).toEqual(["", ""]);
  // Nothing happens in the run of the design as drawn.
  expect(panelGroups(simulate(design)).map(({ title }) => title)).toEqual(["The whole run"]);
});

test("of a short run what happens is shown once, in the whole of it, with its name", () => {
  // Three lines (ITU-R BT.1700: 64 us each) before and after are more than half of 600 us, and less of 900 us.
  const titles = (until: string) =>
    panelGroups(simulate(compile(plug.replace("2 ms, back is 5 ms", "300 us")).cases[0], { until }));
  const [whole, ...more] = titles("600 us");
  expect([whole.title, more.length]).toEqual(["The whole run", 0]);
  expect(whole.panels[0].marks).toEqual([{ at: 300e-6, label: "pulls opens" }]);
  expect(titles("900 us").map(({ title }) => title)).toEqual(["pulls opens at 300 µs", "The whole run"]);
});

// The gate's ramp of 1 V/ms is longest in the period that the pulses leave out.
const ramp = `title "Nest box: a pulse is missing"
signal gate = path 0 V at 0 s, 0 V at 20 us, 5 V at 20 us, 5 V at 25 us, 0 V at 25 us, 0 V at 100 us, every 100 us
signal height = path 0 V at 0 s, 1 V at 4 ms, 0 V at 4 ms, 0 V at 6 ms
resistor load height -> ground 1 kohm
run for 6 ms
check "low" peak of height each gate below 0.5 V
`;

test("the worst period of a check that fails has a group of its own", () => {
  const run = simulate(compile(ramp));
  const results = verify(run);
  const groups = panelGroups(run, [], results);
  const worst = groups.at(-1)!;
  expect(worst.title).toMatch(/^Worst of "low", from 3\.9\d* ms$/);
  // The peak stands at 4 ms: in the period from 3.92 ms to 4.02 ms.
  expect(worst.from).toBeLessThan(3.92e-3);
  expect(worst.to).toBeGreaterThan(4.02e-3);
  expect(worst.to - worst.from).toBeLessThan(150e-6);
  expect(worst.panels.map(({ title }) => title)).toEqual(["gate", "height"]);
  expect(tracePicture(groups, { title: "t" })).toContain("Worst of &quot;low&quot;");
  // Of a check that passes there is none.
  const sound = simulate(compile(ramp.replace("below 0.5 V", "below 5 V")));
  expect(panelGroups(sound, [], verify(sound))).toHaveLength(groups.length - 1);
});

test("traces that are asked for stand in every group once", () => {
  const run = simulate(compile(ramp));
  for (const { panels } of panelGroups(run, ["load.current", "height"], verify(run))) {
    expect(panels.filter(({ title }) => title === "height")).toHaveLength(1);
    expect(panels.at(-1)?.title).toBe("load.current");
  }
});
