// Capacitors straight across what is steered and gives way to nothing: C dv/dt flows, of a voltage that follows another.
// Expected: closed forms of the same circuit with the waveform itself in the place of what follows it; and of a peak rectifier:
// it leaves the wave where C v' + v/R is zero, and decays by exp(-t / RC) until it meets it again (any text on rectifiers).
import { expect, it } from "vitest";
import { balance, compile, simulate } from "../../src/index.js";
import { tries } from "../counts.js";
import { Chance } from "../verify/chance.js";

const swing = 17;
const hertz = 50;
const speed = 2 * Math.PI * hertz;
const sine = (t: number) => swing * Math.sin(speed * t);
const source = `signal s = sine -${swing} V to ${swing} V, at ${hertz} Hz`;

it("a capacitor across a source that follows a signal, a divider, a store, another follower", () => {
  const [farads, ohms] = [1e-6, 1e3];
  // Of the store: v = swing (sin(wt - p) cos p + sin p cos p e^(-t/RC)), with tan p = wRC, from no charge at sin 0.
  const lag = Math.atan(speed * ohms * farads);
  const fade = (t: number) => Math.sin(lag) * Math.cos(lag) * Math.exp(-t / (ohms * farads));
  const store = (t: number) => swing * (Math.sin(speed * t - lag) * Math.cos(lag) + fade(t));
  const rate = (of: (t: number) => number, t: number) => (of(t + 1e-6) - of(t - 1e-6)) / 2e-6;
  for (const [lines, expected] of [
    ["voltage m a -> ground 0 V, follows s, gain 3", (t: number) => 3 * sine(t)],
    ["voltage m a -> ground 2 V, follows s, gain -1", (t: number) => 2 - sine(t)],
    [
      "resistor r s -> x 1 kohm\nresistor q x -> ground 3 kohm\nvoltage m a -> ground 0 V, follows x, gain 2",
      (t: number) => 1.5 * sine(t),
    ],
    [
      `resistor r s -> x ${ohms} ohm\ncapacitor d x -> ground ${farads} F\nvoltage m a -> ground 0 V, follows x, gain 3`,
      (t: number) => 3 * store(t),
    ],
    [
      "voltage m x -> ground 0 V, follows s\nvoltage n a -> ground 0 V, follows x, gain 0.5",
      (t: number) => sine(t) / 2,
    ],
  ] as const) {
    const run = simulate(compile(`${source}\n${lines}\ncapacitor c a -> ground 2 uF`), { until: "40 ms" });
    expect([run.status, run.warnings]).toEqual(["complete", []]);
    const [volts, amperes] = [run.trace("a"), run.trace("c.current")];
    for (let t = 1e-3; t < 39e-3; t += 0.77e-3) {
      expect(Math.abs(volts.at(t) - expected(t))).toBeLessThan(1e-6 * 3 * swing);
      expect(Math.abs(amperes.at(t) - 2e-6 * rate(expected, t))).toBeLessThan(
        2e-6 * 2e-6 * 3 * swing * speed,
      );
    }
    expect(balance(run).energy).toBeLessThan(1e-6);
  }
});

it("what follows a source alone, or a store, has a settled start: a capacitor across a sine, a coil in a steered current", () => {
  const [ohms, farads] = [1e3, 1e-6];
  const lag = Math.atan(speed * ohms * farads);
  const led = (t: number) => swing * Math.cos(lag) * Math.sin(speed * t - lag);
  const store = `resistor r s -> x ${ohms} ohm\ncapacitor d x -> ground ${farads} F`;
  for (const [lines, seen, expected] of [
    ["capacitor c s -> ground 1 nF", "c.current", (t: number) => 1e-9 * speed * swing * Math.cos(speed * t)],
    [`${store}\nvoltage m a -> ground 0 V, follows x\ncapacitor c a -> ground 1 nF`, "a", led],
    [
      `${store}\ncurrent m ground -> a 0 A, follows x, gain 1 A/V\ninductor l a -> ground 1 H`,
      "l.current",
      led,
    ],
  ] as const) {
    const run = simulate(compile(`${source}\n${lines}`), { until: "40 ms", start: "settled" });
    expect([run.status, run.reason]).toEqual(["complete", ""]);
    const most = Math.max(...Array.from({ length: 100 }, (_, k) => Math.abs(expected(k * 2e-4))));
    for (let t = 0; t < 40e-3; t += 0.77e-3)
      expect(Math.abs(run.trace(seen).at(t) - expected(t))).toBeLessThan(1e-6 * most);
  }
});

it("one that follows a place which it makes itself by one is told by name", () => {
  const told = (lines: string) =>
    simulate(compile(`${source}\n${lines}\ncapacitor c a -> ground 2 uF`), { until: "40 ms" });
  // a = x + s and x = a: nothing is told apart.
  const loop = told("voltage m a -> x 0 V, follows s\nvoltage n x -> ground 0 V, follows a");
  expect(loop.code).toBe("ill-conditioned");
  expect(loop.reason).toContain("'n'");
});

it("a bridge of ideal diodes on a steered source, straight into its capacitor", () => {
  for (let seed = 1; seed <= tries(25); seed++) {
    const chance = new Chance(seed);
    const [gain, drop] = [0.5 + 2 * chance.share(), chance.happens(0.5) ? 0.8 * chance.share() : 0];
    const [farads, ohms] = [10 ** (-5 + 2 * chance.share()), 10 ** (1 + 2 * chance.share())];
    const diodes = ["a -> p", "b -> p", "n -> a", "n -> b"].map(
      (way, k) => `diode d${k} ${way} drop ${drop} V`,
    );
    const text = [
      source,
      `voltage m a -> b 0 V, follows s, gain ${gain}`,
      ...diodes,
      `capacitor c p -> n ${farads} F`,
      `resistor load p -> n ${ohms} ohm`,
      `resistor earth ${["p", "n", "a", "b"][seed % 4]} -> ground 1 ohm`,
    ].join("\n");
    const run = simulate(compile(text), { until: "40 ms", start: seed % 2 ? "settled" : "rest" });
    expect([run.status, run.warnings]).toEqual(["complete", []]);
    const peak = gain * swing;
    const decay = ohms * farads;
    const wave = (t: number) => peak * Math.abs(Math.sin(speed * t)) - 2 * drop;
    // From the third half wave on nothing is left of the start: it leaves the wave behind its top.
    const leaves = (lo: number, hi: number): number => {
      for (let k = 0; k < 80; k++) {
        const t = (lo + hi) / 2;
        if (decay * peak * speed * Math.cos(speed * t) + wave(t) > 0) lo = t;
        else hi = t;
      }
      return lo;
    };
    const left = leaves(0.25 / hertz, 0.5 / hertz);
    const [p, n] = [run.trace("p"), run.trace("n")];
    for (let k = 0; k < 60; k++) {
      const t = left + (k / 60) * (0.5 / hertz);
      const volts = Math.max(wave(t), wave(left) * Math.exp(-(t - left) / decay));
      const at = t + 1 / hertz;
      expect(Math.abs(p.at(at) - n.at(at) - volts)).toBeLessThan(3e-6 * peak);
    }
  }
});
