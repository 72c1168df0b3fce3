// Which periods a check counts: whole ones, and not the first where a steady start that nobody asked for would decide.
// Ramps against V = I t / C (Millman & Taub 1965); periods and pulses of 525 lines: SMPTE 170M-2004.
import { describe, expect, it } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import { noteText } from "../../src/report/verdicts.js";

const results = (text: string) => new Map(verify(simulate(compile(text))).map((r) => [r.name, r]));

// 0.94 mA into 4.7 uF, let go behind the field sync and stopped by a guard at 5.6 V and 10 ohm: before the first field
// sync of 525 lines, three lines in, a steady start finds the ramp on its guard.
const field = (run: string, gate = "field sync of 525/59.94, 0 V to 5 V") => `
supply plus12 = 12 V
supply plus5 = 5 V
signal gate = ${gate}
current feed plus12 -> ramp 0.94 mA
capacitor hold ramp -> ground 4.7 uF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
diode guard ramp -> plus5 drop 0.6 V, on 10 ohm
run for 100 ms${run}
check "fills" peak of ramp each gate is 3.3 V +- 3 %
check "back" reset time of ramp each gate below 130 us
check "gentle" peak current of reset each gate below 0.7 A`;

// Field period 1001/60 ms less 2.5 lines and a broad pulse of 27.0778 us: t of V = I t / C.
const period = 1001 / 60e3;
const pulse = 2.5 * (572 / 9) * 1e-6 + 27.0778e-6;
const held = 5.6 + 10 * 0.94e-3;

describe("a steady start", () => {
  it("decides no verdict: the ramp on its guard before the first sync is left out, and said", () => {
    const all = results(field(""));
    const { measured, pass, periods, left } = all.get("fills")!;
    const peak = ((period - pulse) * 0.94e-3) / 4.7e-6;
    // What the pulse leaves of the ramp before after eight time constants of 5 ohm and 4.7 uF, and the current's 4.7 mV.
    const residue = 4.7e-3 + (peak - 4.7e-3) * Math.exp(-pulse / 23.5e-6);
    expect(Math.abs(measured / (peak + residue) - 1)).toBeLessThan(1e-5);
    expect([pass, periods]).toEqual([true, 4]);
    expect(Math.abs(left!.measured / held - 1)).toBeLessThan(1e-6);
    expect(Math.abs(left!.period / (3 * (572 / 9) * 1e-6) - 1)).toBeLessThan(1e-12);
    expect(noteText(all.get("fills")!)).toBe(
      "worst of 4 periods, from 16.874 ms; left out: the first, where the start still shows, with 5.609 V from 190.67 µs",
    );
    // 99 % of the way takes as long from any height.
    expect(all.get("back")).toMatchObject({ pass: true });
    // Ohm's law on 5 ohm: 1.1 A of the guard's voltage, and 0.66 A of the ramp's.
    expect(Math.abs(all.get("gentle")!.left!.measured / (held / 5) - 1)).toBeLessThan(1e-3);
    expect(all.get("gentle")).toMatchObject({ pass: true });
  });

  it("counts where nothing is left of it, and where it is better than what comes later", () => {
    const { pass, periods, left } = results(
      field("", "field sync of 625/50, 0 V to 5 V").replace("3.3 V", "3.97 V"),
    ).get("fills")!;
    expect([pass, periods, left]).toEqual([true, 5, undefined]);
  });

  it.each<[string, string, string]>([
    ["from rest was asked for", ", from rest", ""],
    ["from settled has no first", ", from settled", ""],
    ["the check says from when on", "", " after 100 us"],
  ])("nothing is left out where %s", (_, run, after) => {
    const text = field(run).replace("each gate is", `each gate${after} is`);
    const fills = results(text).get("fills")!;
    expect([fills.periods, fills.left]).toEqual([5, undefined]);
    // Asked for from 100 us on, the guard decides, and the verdict says that this was the first.
    expect([fills.pass, fills.first]).toEqual(after === "" ? [true, undefined] : [false, true]);
    if (after !== "") expect(noteText(fills)).toBe("worst of 5 periods, the first, from 190.67 µs");
  });

  it("nothing is left out where the run was started otherwise than the design says", () => {
    const design = compile(field(""));
    const run = simulate(design, { start: "rest" });
    expect([design.run.start, run.start]).toEqual(["steady", "rest"]);
    expect(simulate(design).start).toBe("steady");
    const fills = verify(run).find(({ name }) => name === "fills")!;
    expect([fills.periods, fills.left]).toEqual([5, undefined]);
  });

  it("nothing is left out where the signal itself starts in the run: the camera was not there", () => {
    const late = results(field("", "field sync of 525/59.94, 0 V to 5 V, starts 10 ms"));
    expect(late.get("fills")).toMatchObject({ pass: false, first: true, periods: 4 });
  });

  it("the only period there is counts", () => {
    const only = results(field("").replace("100 ms", "20 ms")).get("fills")!;
    expect([only.periods, only.pass, only.left]).toEqual([1, false, undefined]);
    expect(noteText(only)).toBe("the only period, from 190.7 µs");
  });

  it("a first period in which a thing does not occur is left out likewise", () => {
    // The gate's edge at time zero is half over, too low to close the switch: no ramp passes 1 V in the first line.
    const text = `supply p = 12 V
signal gate = line sync of 625/50, 0 V to 3.5 V, edges 200 ns
current feed p -> ramp 1 mA
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
diode guard ramp -> p drop 0.6 V
run for 1 ms
check "passes" crossing of ramp rising through 1 V each gate is 19.7 us +- 1 %
check "never" crossing of ramp rising through 9 V each gate is 19.7 us +- 1 %`;
    const all = results(text);
    expect(all.get("passes")).toMatchObject({ pass: true });
    expect(all.get("never")).toMatchObject({ pass: false, periods: 15 });
  });
});
