// The way in, by the blocks that ship: the 75 ohm link in all its terminations, hum and noise on it, and the coupled
// input with its bias.
import { describe, expect, it } from "vitest";
import { verify } from "../../src/index.js";
import { lineOf, meanOf, passing, rails, reach, run } from "./looking.js";

const blocks = `bring "shipped/link"\nbring "shipped/input"\n${rails}`;
const entry = (more = "") => `use video_input as entry joins jack, plus5, minus5, coupled${more}\n`;
const link = (more = "") => `use camera_link as cable joins camera, jack${more}\n`;
const off = (value: number, exact: number) => Math.abs(value / exact - 1);

describe("75 ohm from 75 ohm", () => {
  // Voltage divider (any book). The camera sends twice what it means to have across the termination, so its open voltage
  // is 2 V peak to peak where the standards say 1 V (BT.1700 table 1, across 75 ohm).
  const swing = (words: string) => {
    const done = run(`${blocks}signal camera = video of 625/50, white\n${link()}${entry(words)}run for 2 ms`);
    const [jack, sent] = done.draw(["jack", "cable.sent"]).map(reach);
    return { jack: jack.high - jack.low, sent: sent.high - sent.low };
  };
  it("terminated: half the open voltage, the standard's 1 V; the bias takes next to nothing", () => {
    const { jack, sent } = swing("");
    // Besides 75 ohm two times 150 kohm load the jack through the coupling capacitor: 75 ohm ∥ 75 kohm.
    const load = 1 / (1 / 75 + 1 / 75e3);
    expect(Math.abs(sent - 2)).toBeLessThan(1e-12);
    expect(off(jack / sent, load / (75 + load))).toBeLessThan(1e-5);
    expect(Math.abs(jack - 1)).toBeLessThan(1e-3);
  });
  it.each([
    ["terminated", "75 ohm", 1],
    ["doubly terminated: two loads of 75 ohm in parallel leave two thirds", "37.5 ohm", 2 / 3],
    ["not terminated: twice as much", "1 Gohm", 2],
  ])("%s", (_, termination, volts) => {
    // The bias is left out of the account by making it large.
    const { jack, sent } = swing(` with termination ${termination}, bias 1 Gohm`);
    expect(off(jack, volts)).toBeLessThan(1e-6);
    expect(off(jack / sent, volts / 2)).toBeLessThan(1e-6);
  });
  it("a level of the camera is a factor on it", () => {
    const done = run(
      `${blocks}signal camera = video of 625/50, white\n${link(" with level 0.501")}${entry(" with bias 1 Gohm")}run for 2 ms`,
    );
    const { low, high } = reach(done.trace("jack"));
    expect(off(high - low, 0.501)).toBeLessThan(1e-6);
  });
});

describe("the plug", () => {
  const done = run(
    `${blocks}signal camera = video of 625/50, white
     ${link(" with unplugged 2 ms, plugged 3 ms, hum 50 mV, hiss 10 mV")}${entry()}run for 4 ms`,
  );
  const jack = done.trace("jack");
  it("pulled out: nothing at the jack but what the coupling capacitor lets go, and nothing of hum and noise", () => {
    // The jack hangs on 75 ohm; through it flows what the bias carries, at most 5 V/75 kohm · 75 ohm.
    const { low, high } = reach(jack.between(2.001e-3, 2.999e-3));
    expect(Math.max(-low, high)).toBeLessThan(5e-3);
    // That is constant but for the 0.75 s of coupling and bias: 1 ms of 0.75 s of what flows.
    expect(high - low).toBeLessThan(1e-5);
  });
  it("in, before and after: the whole video", () => {
    for (const [from, to] of [
      [1.6e-3, 1.99e-3],
      [3.1e-3, 3.9e-3],
    ] as const) {
      const { low, high } = reach(jack.between(from, to));
      expect(high - low).toBeGreaterThan(0.98);
    }
  });
});

describe("when the plug is in", () => {
  // 1 V behind 75 ohm, doubled as the camera does, into 75 ohm: 1 V where the plug is in, nothing where it is out.
  it.each([
    ["nothing said", "", [1, 1, 1]],
    ["pulled out, and not put in again", " with unplugged 1 ms", [1, 0, 0]],
    ["put in late", " with plugged 1 ms", [0, 1, 1]],
    ["pulled out and put in again", " with unplugged 1 ms, plugged 2 ms", [1, 0, 1]],
    ["put in late and pulled out", " with plugged 1 ms, unplugged 2 ms", [0, 1, 0]],
    ["both at one time", " with unplugged 1 ms, plugged 1 ms", [1, 1, 1]],
    ["in hours", " with plugged 1 ms, unplugged 7200 s", [0, 1, 1]],
  ])("%s", (_, words, volts) => {
    const text = `bring "shipped/link"\nsignal camera = path 1 V at 0 s\n${link(words)}resistor end jack -> ground 75 ohm\n`;
    const jack = run(`${text}run for 3 ms`).trace("jack");
    expect([0.5e-3, 1.5e-3, 2.5e-3].map((t) => jack.at(t))).toEqual(volts);
  });
});

describe("hum and noise on the way", () => {
  // A camera that sends nothing, so that what is there is seen alone; the link halves it, like the video.
  const text = (words: string) =>
    `${blocks}signal camera = path 0 V at 0 s\n${link(` with ${words}`)}${entry(" with bias 1 Gohm")}`;
  it("hum: a sine of the amplitude and frequency asked for, half of it at the jack", () => {
    const done = run(`${text("hum 100 mV, mains 50 Hz")}run for 60 ms`);
    const jack = done.trace("jack");
    const points = jack.resample(1e-5);
    const [low, high] = [Math.min(...points), Math.max(...points)];
    expect(off(high, 0.05)).toBeLessThan(1e-3);
    expect(off(low, -0.05)).toBeLessThan(1e-3);
    const [first, second, third] = passing(jack, 0, "rising").filter((t) => t > 1e-3);
    expect(off(second - first, 20e-3)).toBeLessThan(1e-4);
    expect(third === undefined || off(third - second, 20e-3) < 1e-4).toBe(true);
  });
  it("noise: the root mean square asked for, no mean, and repeated after its length", () => {
    const done = run(
      `${text("hiss 20 mV")}run for 1 ms
      check "size" rms of jack before 500 us is 10 mV +- 0.3 mV
      check "mean" mean of jack before 500 us between -0.5 mV and 0.5 mV`,
    );
    const [size, mean] = verify(done);
    // 10 000 independent levels in 500 us at a spacing of 50 ns: the rms of so many normal ones is within 1/√20000 =
    // 0.7 % (one sigma) of the size, their mean within 1 % of it.
    expect(size).toMatchObject({ pass: true });
    expect(mean).toMatchObject({ pass: true });
    const jack = done.trace("jack");
    for (const t of [10.01e-6, 123.456e-6, 400.2e-6])
      expect(Math.abs(jack.at(t) - jack.at(t + 500e-6))).toBeLessThan(1e-9);
  });
  it("is added to the video", () => {
    const clean = `${blocks}signal camera = video of 625/50, white\n`;
    const ends = `${entry(" with bias 1 Gohm")}run for 4 ms`;
    const without = run(`${clean}${link()}${ends}`).trace("jack");
    const hum = run(`${clean}${link(" with hum 100 mV")}${ends}`).trace("jack");
    for (const t of [1.013e-3, 2.52e-3, 3.99e-3]) {
      expect(Math.abs(hum.at(t) - without.at(t) - 0.05 * Math.sin(100 * Math.PI * t))).toBeLessThan(1e-6);
    }
  });
});

describe("the coupled blank line", () => {
  // A blank line is nothing but its sync: mean −300 mV · 4.7 µs/64 µs = −22.03125 mV in 625 lines (BT.1700 tables 1, 2)
  // and −40 units · 4.70/63.5556 = −2.95804 units in 525 (SMPTE 170M tables 2, § 12). A capacitor takes the mean away,
  // so blanking stands that much above the middle of the rails.
  it.each([
    ["625/50", "0 V to -300 mV, edges 200 ns", 22.03125e-3, 5e-9],
    ["525/59.94", "0 V to -2 V / 7, edges 140 ns", 2.95804 / 140, 5e-6 / 140],
  ] as const)("%s, settled", (system, levels, above, rounding) => {
    const H = lineOf(system);
    const done = run(
      `${blocks}signal jack = line sync of ${system}, ${levels}
       ${entry(" with coupling 1 mF")}run for 1 ms, from settled`,
    );
    const coupled = done.trace("coupled");
    // Any place of blanking will do: 1 mF and 75 kohm sink by 20 nV over a line.
    for (const t of [20e-6, 8 * H + 30e-6]) {
      expect(Math.abs(coupled.at(t) - above)).toBeLessThan(rounding + 20e-9);
    }
    expect(Math.abs(meanOf(coupled.between(H, 11 * H)))).toBeLessThan(20e-9);
  });

  it.each(["625/50", "525/59.94"] as const)(
    "as shipped it sags by the blanking's share of a line, %s",
    (system) => {
      const H = lineOf(system);
      const [tip, wide] = system === "625/50" ? [0.3, 4.7e-6] : [2 / 7, 4.7e-6];
      const done = run(
        `${blocks}signal jack = line sync of ${system}, 0 V to -${tip} V
       ${entry()}run for 1 ms, from settled`,
      );
      const coupled = done.trace("coupled");
      const mean = (tip * wide) / H;
      // Between pulses the blanking falls towards 0 with RC = 10 µF · 75 kohm (Millman & Taub 1965, ch. 2): by
      // mean · (H − 4.7 µs)/0.75 s, and half of that stands above the mean of blanking, half below.
      const sags = (mean * (H - wide)) / 0.75;
      const [first, last] = [coupled.at(5 * H + wide + 1e-9), coupled.at(6 * H - 1e-9)];
      expect(off(first - last, sags)).toBeLessThan(1e-3);
      expect(Math.abs((first + last) / 2 - mean)).toBeLessThan(1e-9);
    },
  );

  it("video from the camera through the link: its mean of a whole frame, black", () => {
    // 610 pulses of 4.7 µs, 20 of 2.35 µs and 10 of 27.3 µs, each 0.3 V deep, in 40 ms (BT.1700 tables 2, 3).
    const share = (610 * 4.7 + 20 * 2.35 + 10 * 27.3) / 40e3;
    const done = run(
      `${blocks}signal camera = video of 625/50, black
       ${link()}${entry(" with coupling 1 mF, bias 1 Gohm")}run for 40 ms, from settled`,
    );
    expect(Math.abs(done.trace("coupled").at(10e-3 + 30e-6) - 0.3 * share)).toBeLessThan(1e-6);
  });

  it("the value 'average' starts it where it would settle", () => {
    const share = (610 * 4.7 + 20 * 2.35 + 10 * 27.3) / 40e3;
    const text = (words: string) =>
      `${blocks}signal camera = video of 625/50, black\n${link()}${entry(words)}`;
    const settled = run(`${text("")}run for 10 ms, from settled`).trace("coupled");
    const begun = run(`${text(` with average -${1000 * 0.3 * share} mV`)}run for 10 ms`).trace("coupled");
    // The capacitor's own ripple over a frame: the broad pulses are 480 µs of 0.23 V more, through 0.75 s.
    expect(Math.abs(settled.at(9e-3) - begun.at(9e-3))).toBeLessThan(0.3e-3);
    const wrong = run(`${text(" with average 76 mV")}run for 10 ms`).trace("coupled");
    expect(Math.abs(settled.at(9e-3) - wrong.at(9e-3))).toBeGreaterThan(50e-3);
  });
});

describe("two equal resistors between ±5 V", () => {
  // Common practice, no source: two equal resistors of 100 kohm between ±5 V hold a coupled line at 0 V. That the mean
  // of the current through a capacitor is nothing in the steady state is any book's.
  it.each(["black", "bars", "white"])("hold a coupled line of %s at 0 V on average", (pattern) => {
    const done = run(
      `${blocks}signal camera = video of 625/50, ${pattern}
       ${link()}${entry(" with bias 100 kohm")}run for 40 ms, from settled`,
    );
    expect(Math.abs(meanOf(done.trace("coupled")))).toBeLessThan(2e-6);
    expect(reach(done.trace("coupled")).high).toBeGreaterThan(20e-3);
  });
  it("unequal ones do not: the mean is their divider's", () => {
    const done = run(
      `${blocks}signal camera = video of 625/50, bars
       ${link()}${entry(" with bias 100 kohm")}run for 40 ms, from settled
       case "one is 120 kohm" entry.upper is 120 kohm
       check "mean" mean of coupled below 0 V`,
      { case: "one is 120 kohm" },
    );
    expect(off(meanOf(done.trace("coupled")), -5 + (10 * 100) / 220)).toBeLessThan(1e-5);
  });
});

describe("a square over a field through the input", () => {
  // 200 tanh(T/4RC) % of half the swing (Millman & Taub 1965, ch. 2); R = 150 kohm ∥ 150 kohm.
  it.each([
    ["10 uF", 10e-6],
    ["100 nF", 100e-9],
  ])("tilts as the coupling of %s says", (words, farads) => {
    const done = run(
      `${blocks}signal jack = pulse 0 V to 700 mV, wide 10 ms, every 20 ms
       ${entry(` with coupling ${words}`)}run for 40 ms, from settled
       check "top" tilt of coupled each jack from 0 s to 10 ms below 100 %
       check "bottom" tilt of coupled each jack from 10 ms to 20 ms below 100 %`,
    );
    const tilt = 2 * Math.tanh(20e-3 / (4 * 75e3 * farads));
    for (const r of verify(done)) expect(off(r.measured, tilt)).toBeLessThan(1e-5);
  });
});
