// Clipping: the measures on traces made by hand, and on amplifiers against closed forms.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { clippings, compile, DesignError, inspect, simulate, verify } from "../../src/index.js";
import { make } from "../waveforms/making.js";
import { off, take } from "./taking.js";

// At a limit from 1 to 2 s and from 4 to 5 s.
const at = make(
  [0, 1, 1, 2, 2, 4, 4, 5, 5, 6],
  [0, 0, 1, 1, 0, 0, 1, 1, 0, 0],
  undefined,
  undefined,
  "at",
  "",
);
const output = make([0, 1, 2, 4, 5, 6], [0, 3.5, 3.25, -3, -3.5, 0]);

describe("on traces made by hand", () => {
  it("the time is that at the limits", () => {
    expect(take("clipping time", at)).toBe(2);
    expect(take("clipping time", at, { from: 1.5, to: 4.25 })).toBe(0.75);
    expect(take("clipping time", at, { from: 2, to: 4 })).toBe(0);
    expect(take("mean", at)).toBeCloseTo(1 / 3, 15);
  });

  it("the times of adjoining spans are that of the whole", () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 6, noNaN: true }), (cut) => {
        const parts = take("clipping time", at, { to: cut }) + take("clipping time", at, { from: cut });
        expect(parts).toBeCloseTo(2, 14);
      }),
    );
  });

  it("the level is the output's where clipping sets in", () => {
    expect(take("clipping level", at, { output })).toBe(3.5);
    expect(take("clipping level", at, { output, from: 2 })).toBe(-3);
    // Clipping already: from the start of the span.
    expect(take("clipping level", at, { output, from: 1.5 })).toBe(3.375);
    expect(take("clipping level", at, { output, from: 1, to: 2 })).toBe(3.5);
  });

  it("and does not occur where nothing clips, or where the output is not known", () => {
    expect(take("clipping level", at, { output, to: 1 })).toBeNaN();
    expect(take("clipping level", at, { output, from: 2, to: 4 })).toBeNaN();
    expect(take("clipping level", at, { output: make([2, 6], [0, 0]) })).toBeNaN();
    expect(() => take("clipping level", at)).toThrow(RangeError);
  });
});

const rails = "supply vp = 5 V\nsupply vm = -5 V\n";
const stage = (more = "", output = "0 ohm") => `${rails}
  signal in = sine -1 V to 1 V, at 1 kHz
  amplifier gain in -> out minus back, high vp, low vm, bandwidth 100 MHz, gain 1e9, reach 1.5 V, output ${output}
  resistor upper out -> back 4 kohm
  resistor lower back -> ground 1 kohm
  ${more}`;
const done = (text: string, until: string) => {
  const run = simulate(compile(text), { until });
  expect(run.reason).toBe("");
  return run;
};

describe("a sine of 1 V, five times, between limits of ±3.5 V", () => {
  // The loop's one pole, τ = 5/(2π · 100 MHz), makes the sine late by atan(ωτ) and smaller by √(1 + (ωτ)²) (gain-
  // bandwidth product: Horowitz & Hill, 3rd ed., § 4.4.2; sine through one pole: any book). So the output meets 3.5 V
  // where 5 sin(ωt − φ)/√(1 + (ωτ)²) = 3.5; the held integrator lets go where the input is back at 3.5 V/5.
  const omega = 2000 * Math.PI;
  const lag = (omega * 5) / (2 * Math.PI * 100e6);
  const begins = (Math.asin(0.7 * Math.sqrt(1 + lag * lag)) + Math.atan(lag)) / omega;
  const ends = (Math.PI - Math.asin(0.7)) / omega;

  it("begins and lasts as the closed form says, at both limits", () => {
    const found = clippings(done(stage(), "3 ms"));
    expect(found.map(({ part, output, limit, times }) => [part, output, limit, times])).toEqual([
      ["gain", "out", "upper", 3],
      ["gain", "out", "lower", 3],
    ]);
    const [upper, lower] = found;
    // The march's tolerance at the crossing: some nV where the output climbs 22 V/ms.
    expect(Math.abs(upper.begins - begins)).toBeLessThan(1e-11);
    expect(Math.abs(lower.begins - begins - 0.5e-3)).toBeLessThan(1e-11);
    for (const { lasts } of found) expect(off(lasts, 3 * (ends - begins))).toBeLessThan(1e-6);
    expect(upper.level).toBeCloseTo(3.5, 9);
    expect(lower.level).toBeCloseTo(-3.5, 9);
    expect(upper.picture).toBeUndefined();
  });

  it("and so do the checks, over a stretch and in each period", () => {
    const results = verify(
      done(
        stage(`
        check "in all" clipping time of gain before 3 ms below 10 us
        check "in each" clipping time of gain each in below 10 us
        check "share" mean of gain.clipping each in below 10 %
        check "level" clipping level of gain each in above 3.5 V
        check "lower level" clipping level of gain each in from 0.4 ms to 0.9 ms below -3.6 V
        check "before" clipping time of gain before 0.1 ms below 1 ns
        check "level before" clipping level of gain before 0.1 ms above 0 V`),
        "4 ms",
      ),
    );
    const by = new Map(results.map((r) => [r.name, r]));
    const period = 2 * (ends - begins);
    expect(off(by.get("in all")!.measured, 3 * period)).toBeLessThan(1e-6);
    expect(off(by.get("in each")!.measured, period)).toBeLessThan(1e-6);
    expect(off(by.get("share")!.measured, period / 1e-3)).toBeLessThan(1e-6);
    expect(by.get("level")).toMatchObject({ unit: "V", what: "clipping level of gain.clipping" });
    expect(by.get("level")!.measured).toBeCloseTo(3.5, 9);
    expect(by.get("lower level")!.measured).toBeCloseTo(-3.5, 9);
    expect(by.get("before")).toMatchObject({ measured: 0, pass: true });
    expect(by.get("level before")).toMatchObject({ measured: Number.NaN, pass: false });
    expect(by.get("level before")!.reason).toContain("does not occur");
  });

  it("behind an output resistance the level is what the load leaves: 3.5 V · 1/(1 + 100 Ω/833.3 Ω)", () => {
    // 1 kohm beside the divider of 5 kohm; voltage divider (any book).
    const found = clippings(done(stage("resistor load out -> ground 1 kohm", "100 ohm"), "1 ms"));
    expect(off(found[0].level, (3.5 * (5000 / 6)) / (5000 / 6 + 100))).toBeLessThan(1e-9);
  });

  it("a sine of 0.69 V does not clip, and neither does one that the slew limit alone bends", () => {
    const small = stage().replace("-1 V to 1 V", "-0.69 V to 0.69 V");
    expect(clippings(done(small, "2 ms"))).toEqual([]);
    // 3.45 V at 1 kHz asks for 21.7 V/ms. With 10 V/ms it becomes a triangle, 2.5 V high after a quarter of a period.
    const slow = small.replace("reach 1.5 V", "reach 1.5 V, slew 10 V/ms");
    const run = done(`${slow}\ncheck "free" clipping time of gain below 1 ns`, "20 ms");
    expect(off(Math.max(...run.trace("out").between(19e-3, 20e-3).value), 2.5)).toBeLessThan(0.01);
    expect(clippings(run)).toEqual([]);
    expect(verify(run)[0]).toMatchObject({ measured: 0, pass: true });
  });
});

describe("rails", () => {
  it("that die leave no room: half way between them, from that instant to the end", () => {
    const text = `${stage()}\ncase "both dead" vp dead at 100 us, vm dead at 100 us
      check "no room" clipping time of gain below 1 us`;
    const dead = compile(text).cases[0];
    const [row, ...more] = clippings(simulate(dead, { until: "1 ms" }));
    expect(more).toEqual([]);
    expect(row).toMatchObject({ limit: "both", begins: 100e-6, times: 1 });
    expect(row.level).toBeCloseTo(0, 12);
    expect(off(row.lasts, 900e-6)).toBeLessThan(1e-12);
  });

  it("too close for a while leave no room for that while, and then the output follows again", () => {
    // 2 V apart where the output needs 3 V, then 10 V apart.
    const run = done(
      stage()
        .replace("-1 V to 1 V", "0.1 V to 0.3 V")
        .replace("supply vp = 5 V", "signal vp = pulse 2 V to 5 V, wide 300 us, first 300 us")
        .replace("supply vm = -5 V", "signal vm = pulse 0 V to -5 V, wide 300 us, first 300 us"),
      "1 ms",
    );
    const found = clippings(run);
    expect(found.map((r) => [r.limit, r.times, r.begins])).toEqual([["both", 2, 0]]);
    expect(found[0].level).toBeCloseTo(1, 12);
    expect(off(found[0].lasts, 700e-6)).toBeLessThan(1e-12);
    const out = run.trace("out");
    for (const t of [100e-6, 299e-6, 601e-6, 900e-6]) expect(out.at(t)).toBeCloseTo(1, 9);
    // Five times 0.2 V + 0.1 V sin ωt, late by the 8 ns of the loop; to the tolerance of a run, 3e-5 unless given.
    for (const t of [350e-6, 450e-6, 599e-6]) {
      const late = Math.atan((2000 * Math.PI * 5) / (2 * Math.PI * 100e6));
      expect(Math.abs(out.at(t) - 1 - 0.5 * Math.sin(2000 * Math.PI * t - late))).toBeLessThan(3e-5);
    }
  });

  it("a part taken out by a case does not clip", () => {
    const text = `${stage("resistor hold out -> ground 1 kohm")}\ncase "none" gain open
      check "gone" clipping time of gain below 1 us`;
    const run = simulate(compile(text).cases[0], { until: "2 ms" });
    expect(clippings(run)).toEqual([]);
    expect(verify(run)[0]).toMatchObject({ measured: 0, pass: true });
  });
});

describe("what is handed on in blocks", () => {
  it("has the trace too, and no rows afterwards", () => {
    let highest = 0;
    const block = ({ values }: { values: readonly Float64Array[] }) => {
      highest = Math.max(highest, ...values[0]);
    };
    const run = simulate(compile(stage()), {
      until: "1 ms",
      stream: { traces: ["gain.clipping"], block },
    });
    expect(highest).toBe(1);
    expect(clippings(run)).toEqual([]);
  });
});

describe("video and its picture level", () => {
  const gain = (reach: string) =>
    `${rails}amplifier gain in -> bright minus tap, high vp, low vm, bandwidth 50 MHz, reach ${reach}, output 0 ohm
    resistor upper bright -> tap 4 kohm
    resistor lower tap -> ground 1 kohm\n`;

  it("of a picture that brightens from frame to frame the first that is too bright is named", () => {
    // 100 % white is 0.7 V (ITU-R BT.1700), five times that 3.5 V: an output that goes to 2.8 V has room for 80 %.
    const run = done(
      `signal in = video of 625/50, fade, frames 4\n${gain("2.2 V")}
       check "clips" clipping time of gain each in.frames below 1 us`,
      "200 ms",
    );
    const [row, ...more] = clippings(run);
    expect(more).toEqual([]);
    expect(row).toMatchObject({ limit: "upper", picture: 1 });
    expect(row.level).toBeCloseTo(2.8, 9);
    // White comes with the first line of picture in the fifth frame: 10.5 µs after 0H of the second half of line 23.
    expect(Math.abs(row.begins - (0.16 + 22.5 * 64e-6 + 10.5e-6))).toBeLessThan(0.3e-6);
    // 575 lines of 52 µs, less what the edges of blanking take.
    expect(Math.abs(row.lasts - 575 * 52e-6)).toBeLessThan(575 * 0.5e-6);
    expect(verify(run)[0]).toMatchObject({ pass: false, period: 0.16 });
  });

  it.each([
    ["80.5 %", []],
    ["81.5 %", [["lower", 0.815]]],
  ])("coupled to the middle of ±5 V, five times, 1.5 V from the rails, an even grey of %s", (level, rows) => {
    // The mean of a frame of 625/50 (ITU-R BT.1700): 575 lines of 52 µs of picture, and 0.3 V below blanking for 610
    // pulses of 4.7 µs, 20 of 2.35 µs and 10 of 27.3 µs, in 40 ms: 0.52325 V · level − 0.0239025 V. A capacitor takes
    // it away, so the tips of sync stand 0.3 V + mean below the middle; five times that passes 3.5 V where the mean
    // passes 0.4 V, which is at a level of 81.01 %.
    const run = done(
      `signal camera = video of 625/50, flat, level ${level}
       capacitor couple camera -> in 100 uF
       resistor high vp -> in 100 kohm
       resistor low in -> vm 100 kohm
       ${gain("1.5 V")}
       run for 40 ms, from settled`,
      "40 ms",
    );
    expect(clippings(run).map((r) => [r.limit, r.picture])).toEqual(rows);
  });
});

describe("what cannot clip", () => {
  const told = (check: string) => {
    const { diagnostics } = inspect(`${stage()}\ncheck "b" ${check}`);
    return diagnostics.map((d) => [d.code, d.message, d.fix?.text]);
  };
  it.each([
    [
      "clipping time of upper below 1 us",
      "'upper' is a resistor: its output has no limits to stand at",
      undefined,
    ],
    [
      "mean of upper.clipping below 1 %",
      "'upper' is a resistor: its output has no limits to stand at",
      undefined,
    ],
    ["clipping time of out below 1 us", "'out' is no part whose output has limits to stand at", "gain"],
    [
      "clipping level of gain.current above 1 V",
      "'gain.current' is no part whose output has limits to stand at",
      "gain",
    ],
    ["clipping time of back below 1 us", "'back' is no part whose output has limits to stand at", undefined],
  ])("%s", (check, message, fix) => {
    expect(told(check)).toEqual([["no-limits", message, fix]]);
    if (fix === undefined) return;
    const target = / of (\S+) /.exec(check)![1];
    expect(told(check.replace(` of ${target} `, ` of ${fix} `))).toEqual([]);
  });

  it("a name that is not there stays unknown, and a limit needs its dimension", () => {
    expect(told("clipping time of grain below 1 us")[0][0]).toBe("unknown-place");
    expect(told("clipping time of gain below 1 V")[0][0]).toBe("wrong-dimension");
    expect(told("clipping level of gain below 1 us")[0][0]).toBe("wrong-dimension");
  });

  it("a trace of it is refused as well, and names list it where it is", () => {
    const run = done(stage(), "1 ms");
    expect(run.names.filter((name) => name.endsWith(".clipping"))).toEqual(["gain.clipping"]);
    expect(run.trace("gain.clipping").unit).toBe("");
    let thrown: unknown;
    try {
      run.trace("upper.clipping");
    } catch (error) {
      thrown = error;
    }
    expect(thrown).toBeInstanceOf(DesignError);
    expect((thrown as DesignError).diagnostics[0].code).toBe("no-limits");
  });
});
