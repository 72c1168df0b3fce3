// Sweeps behind a stage that follows late, and sweeps that fall, against the closed forms of a current source with output
// resistance (Millman & Taub 1965): v = I R (1 - e^(-t / R C)), sweep error e_s = 1 - e^(-T / R C), displacement error e_s / 8
// and transmission error e_s / 2 where e_s is small; reset through r: t = r C ln (V / level).
import { describe, expect, it } from "vitest";
import { compile, measure, simulate, verify } from "../../src/index.js";
import { sampled } from "../waveforms/making.js";
import { take } from "./taking.js";

const [R, C, T] = [1.5e6, 15e-9, 59.3e-6];
const error = 1 - Math.exp(-T / (R * C));

// A line sweep, upwards or downwards, and a follower behind it; the switch is closed for 4.7 us of 64.
const sweep = (way: "up" | "down", bandwidth: string, more = "") => {
  const sign = way === "up" ? "" : "-";
  const text = `supply plus = 12 V
supply minus = -12 V
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
current feed ${way === "up" ? "plus -> ramp" : "ramp -> minus"} 1 mA, output 1.5 Mohm
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
amplifier buffer ramp -> out minus out, high plus, low minus, bandwidth ${bandwidth}, output 0 ohm
run for 1 ms
check "sweep" sweep error of ramp each gate after 100 us below 1 %
check "sweep behind" sweep error of out each gate after 100 us below 1 %
check "displacement behind" displacement error of out each gate after 100 us below 1 %
check "transmission behind" transmission error of out each gate after 100 us below 1 %
check "reset" reset time of ramp each gate after 100 us below 1 us
check "reset to a level" reset time of ramp through ${sign}0.5 V each gate after 100 us below 1 us
${more}`;
  return new Map(verify(simulate(compile(text), { tolerance: 1e-7 })).map((r) => [r.name, r.measured]));
};

describe.each(["up", "down"] as const)("a sweep %s", (way) => {
  // The source's resistance sees 12 V besides: I R = 1512 V.
  it.each(["10 MHz", "4 MHz", "2 MHz", "400 kHz", "300 kHz"])(
    "behind a follower of %s: the ramp's own errors",
    (bandwidth) => {
      const found = sweep(way, bandwidth);
      expect(Math.abs(found.get("sweep")! / error - 1)).toBeLessThan(1e-4);
      // A follower of one pole lags by tau = 1 / (2 pi f); the slopes are those of that much less of the sweep, tau / T.
      const lag =
        1 / (2 * Math.PI * Number.parseFloat(bandwidth) * (bandwidth.endsWith("MHz") ? 1e6 : 1e3)) / T;
      expect(Math.abs(found.get("sweep behind")! / error - 1)).toBeLessThan(Math.max(3e-3, lag));
      expect(Math.abs(found.get("displacement behind")! / (error / 8) - 1)).toBeLessThan(5e-3);
      expect(Math.abs(found.get("transmission behind")! / (error / 2) - 1)).toBeLessThan(5e-3);
    },
  );

  it("its reset: r C ln (V / level), to 1 % of the swing or to a level", () => {
    const found = sweep(way, "4 MHz");
    const v = 1512 * (1 - Math.exp(-T / (R * C)));
    const rest = 5e-3 * (1 + 12 / 1500);
    const until = (level: number) => 5 * C * Math.log((v - rest) / (level - rest));
    expect(Math.abs(found.get("reset")! / until(rest + 0.01 * (v - rest)) - 1)).toBeLessThan(2e-3);
    expect(Math.abs(found.get("reset to a level")! / until(0.5) - 1)).toBeLessThan(2e-3);
  });
});

describe("an end that breaks away", () => {
  // A sweep of 1 s with e_s = 0.02 whose slope comes up, or goes down, like one pole of time constant tau.
  const x = -Math.log(0.98);
  const late = (tau: number, ending: boolean) => {
    const slope = (t: number) => {
      const u = ending ? 1 - t : t;
      return Math.exp(-x * t) * (1 - Math.exp(-u / tau));
    };
    // Its integral, of both exponentials.
    const rise = (t: number) => {
      const plain = (1 - Math.exp(-x * t)) / x;
      const k = ending ? 1 / tau - x : -1 / tau - x;
      const shift = ending ? -1 / tau : 0;
      return plain - (Math.exp(k * t + shift) - Math.exp(shift)) / k;
    };
    return sampled(rise, slope, 1, 4000);
  };
  it.each([
    ["soft start", 1e-3, false],
    ["soft start", 2e-3, false],
    ["soft start", 5e-3, false],
    ["soft start", 8e-3, false],
    ["soft start", 12e-3, false],
    ["rounded top", 1e-3, true],
    ["rounded top", 2e-3, true],
  ])("%s of %f of the sweep: not the sweep's", (_, tau, ending) => {
    // By tau the sweep is shorter, and as much less bent.
    expect(Math.abs(take("sweep error", late(tau, ending)) / 0.02 - 1)).toBeLessThan(Math.max(2e-3, tau));
    expect(Math.abs(take("transmission error", late(tau, ending)) / 0.01 - 1)).toBeLessThan(2e-2);
    expect(Math.abs(take("displacement error", late(tau, ending)) / 0.0025 - 1)).toBeLessThan(2e-2);
  });

  it.each([0.5, 0.8, 0.9, 0.95, 0.965])(
    "a ramp that stands still from %f of its time on is bent, whatever it was",
    (stop) => {
      const held = sampled(
        (t) => Math.min(t, stop) + 1e-3 * Math.max(0, t - stop),
        (t) => (t < stop ? 1 : 1e-3),
        1,
        2000,
      );
      expect(take("sweep error", held)).toBeGreaterThan(0.95);
    },
  );

  it.each([0.035, 0.06, 0.1])(
    "a ramp that is slower up to %f of its time is bent, whatever it was",
    (until) => {
      const slower = sampled(
        (t) => 0.6 * Math.min(t, until) + Math.max(0, t - until),
        (t) => (t < until ? 0.6 : 1),
        1,
        2000,
      );
      expect(take("sweep error", slower)).toBeCloseTo(2 / 3, 2);
    },
  );

  it("a slope that changes smoothly and much is taken at the very ends", () => {
    const bent = sampled(
      (t) => t + 4 * t ** 3,
      (t) => 1 + 12 * t * t,
      1,
      200,
    );
    expect(take("sweep error", bent)).toBeCloseTo(12, 9);
  });
});

describe("reset upwards is told from what merely falls", () => {
  const pieces = (points: readonly (readonly [number, number])[]) =>
    sampled(
      (t) => {
        const i = points.findIndex(([end]) => end >= t);
        const [[t0, v0], [t1, v1]] = [points[Math.max(0, i - 1)], points[Math.max(1, i)]];
        return v0 + ((v1 - v0) * (t - t0)) / (t1 - t0);
      },
      undefined,
      1,
      1000,
    );
  it.each<[string, readonly (readonly [number, number])[], number]>([
    // Down from 5 to 0 in 0.1, then a rising sweep: 99 % of the way.
    [
      "a rising sweep",
      [
        [0, 5],
        [0.1, 0],
        [1, 5],
      ],
      0.099,
    ],
    [
      "a falling sweep",
      [
        [0, -5],
        [0.1, 0],
        [1, -5],
      ],
      0.099,
    ],
    [
      "a falling sweep above zero",
      [
        [0, 1],
        [0.1, 6],
        [1, 1],
      ],
      0.099,
    ],
    [
      "a decay alone",
      [
        [0, 5],
        [0.5, 0],
        [1, 0],
      ],
      0.495,
    ],
    [
      "a rise from its floor",
      [
        [0, 0],
        [0.1, 0],
        [1, 5],
      ],
      0,
    ],
  ])("%s", (_, points, time) => {
    expect(take("reset time", pieces(points))).toBeCloseTo(time, 6);
  });
});

describe("the reset of a sweep from the start of the run on, rising or falling alike", () => {
  const sweeps = ["up", "down"] as const;
  const phrases = [
    "reset time of ramp",
    "reset time of ramp each gate",
    "reset time of ramp after 64 us",
    "reset time of ramp after 30 us",
    "reset time of ramp before 128 us",
    "reset time of ramp from 64 us to 128 us",
  ];
  const run = (way: (typeof sweeps)[number]) =>
    simulate(
      compile(`supply rail = ${way === "up" ? 12 : -12} V
signal gate = pulse 0 V to 5 V, wide 4.7 us, every 64 us
current feed ${way === "up" ? "rail -> ramp" : "ramp -> rail"} 1 mA
capacitor hold ramp -> ground 15 nF
switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
run for 640 us`),
    );
  // 1 mA in 15 nF for 59.3 us, less the 5 mV that it leaves in the closed switch; to 1 % of the swing, with r C = 75 ns.
  const [rest, top] = [5e-3, 5e-3 + 59.3e-6 / 15e-6];
  const reset = 75e-9 * Math.log((top - rest) / (0.01 * (top - rest)));
  it.each(phrases)("%s", (phrase) => {
    const found = sweeps.map((way) => measure(run(way), phrase));
    // A run starts where it has just been reset, and a period that is asked for begins at the top.
    const due = phrase.includes("after 30 us") ? 34e-6 + reset : /each|64 us/.test(phrase) ? reset : 0;
    for (const { value } of found) expect(Math.abs(value - due)).toBeLessThanOrEqual(1e-4 * due);
  });
});
