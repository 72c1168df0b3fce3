// Currents at rest beside which the voltages are large: each is right to 1e-4, or the run says that it is not. They are Ohm's law.
import { expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

const ohms = ["1 uohm", "1 mohm", "1 ohm", "1 kohm", "1 Gohm", "1 Tohm"];
const size: Readonly<Record<string, number>> = {
  "1 uohm": 1e-6,
  "1 mohm": 1e-3,
  "1 ohm": 1,
  "1 kohm": 1e3,
  "1 Gohm": 1e9,
  "1 Tohm": 1e12,
};
const pairs = ohms.flatMap((feed) => ohms.map((leak) => [feed, leak] as const));

/** Whether a current is right, or its part is named. */
function known(text: string, part: string, exact: number): { right: boolean; told: boolean } {
  const run = simulate(compile(`${text}\nrun for 1 ms`));
  expect(run.reason).toBe("");
  const right = Math.abs(run.trace(`${part}.current`).value[0] / exact - 1) < 1e-4;
  return { right, told: run.warnings.some((w) => w.includes(`'${part}'`) && w.includes("at rest")) };
}

it.each(pairs)("%s into a capacitor that %s drains", (feed, leak) => {
  for (const volts of [5, 3.3, 7.77, 12]) {
    const text = `supply p = ${volts} V\nresistor feed p -> a ${feed}\ncapacitor c a -> ground 1 uF\nresistor leak a -> ground ${leak}`;
    const { right, told } = known(text, "feed", volts / (size[feed] + size[leak]));
    expect([volts, right || told]).toEqual([volts, true]);
    // Where ten digits and more are left nothing is said.
    if (size[leak] / size[feed] < 1e9) expect([right, told]).toEqual([true, false]);
  }
});

it.each(pairs)("%s between two capacitors, behind 1 ohm, %s drains the second", (link, leak) => {
  for (const volts of [5, 3.3, 7.77]) {
    const text = `supply p = ${volts} V\nresistor feed p -> a 1 ohm\ncapacitor c a -> ground 1 uF\nresistor link a -> b ${link}
capacitor d b -> ground 2 uF\nresistor leak b -> ground ${leak}`;
    const { right, told } = known(text, "link", volts / (1 + size[link] + size[leak]));
    expect([volts, right || told]).toEqual([volts, true]);
  }
});

it.each(pairs)(
  "%s to a capacitor that is not drained, beside one that %s drains: nothing flows, and nothing is said",
  (feed, leak) => {
    const run = simulate(
      compile(`supply p = 5 V\nresistor feed p -> a ${feed}\ncapacitor c a -> ground 1 uF
resistor other p -> b 1 kohm\ncapacitor d b -> ground 1 uF\nresistor leak b -> ground ${leak}\nrun for 1 ms`),
    );
    expect(run.warnings.filter((w) => w.includes("'feed'"))).toEqual([]);
  },
);

it("a capacitor that charges from rest is not asked: its current has a swing", () => {
  const text = `supply p = 5 V\nresistor feed p -> a 1 mohm\ncapacitor c a -> ground 1 uF\nresistor leak a -> ground 1 Tohm
run for 1 ms, from rest`;
  expect(simulate(compile(text)).warnings).toEqual([]);
});
