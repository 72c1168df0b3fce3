// The straight ones of the sixty kinds; what they are held to stands in sixty.test.ts.
import { after, charge, second, sine, sineLag, step, w1k } from "./responses.js";
import type { Known } from "./sixtykinds.js";

const { PI, atan2, cos, exp, hypot, sin, sqrt } = Math;

export const linear: readonly Known[] = [
  {
    kind: "divider",
    text: "signal s = path 0 V at 0 s, 5 V at 1 ms\nresistor a s -> o 3 kohm\nresistor b o -> ground 2 kohm",
    until: 1e-3,
    trace: "o",
    swing: 2,
    form: (t) => 2e3 * t,
  },
  {
    kind: "bridge of resistors",
    text: `${sine}\nresistor a s -> l 1 kohm\nresistor b l -> ground 2 kohm\nresistor c s -> r 2 kohm\nresistor d r -> ground 1 kohm\nresistor e l -> r 3 kohm`,
    until: 1e-3,
    trace: "e.current",
    swing: 1e-3,
    form: (t) => (5 * sin(w1k * t) * (2 / 3 - 1 / 3)) / (3000 + 2000 / 3 + 2000 / 3),
  },
  {
    kind: "charging",
    text: `${step}\nresistor r s -> o 1 kohm\ncapacitor c o -> ground 10 nF`,
    until: 1e-4,
    trace: "o",
    swing: 5,
    form: after(charge(1e-5)),
  },
  {
    kind: "discharging",
    text: "capacitor c o -> ground 10 nF, starts 5 V\nresistor r o -> ground 1 kohm",
    until: 1e-4,
    trace: "o",
    swing: 5,
    form: (t) => 5 * exp(-t / 1e-5),
    start: "rest",
  },
  {
    kind: "high-pass",
    text: `${step}\ncapacitor c s -> o 10 nF\nresistor r o -> ground 1 kohm`,
    until: 1e-4,
    trace: "o",
    swing: 5,
    form: after((t) => 5 * exp(-t / 1e-5)),
  },
  {
    kind: "coil charging",
    text: `${step}\ninductor l s -> o 10 mH\nresistor r o -> ground 1 kohm`,
    until: 1e-4,
    trace: "o",
    swing: 5,
    form: after(charge(1e-5)),
  },
  {
    kind: "coil discharging",
    text: "inductor l o -> ground 10 mH, starts 5 mA\nresistor r o -> ground 1 kohm",
    until: 1e-4,
    trace: "l.current",
    swing: 5e-3,
    form: (t) => 5e-3 * exp(-t / 1e-5),
    start: "rest",
  },
  {
    kind: "capacitive divider",
    text: `${step}\ncapacitor a s -> o 3 nF\ncapacitor b o -> ground 2 nF\nresistor r o -> ground 1 kohm`,
    until: 5e-5,
    trace: "o",
    swing: 3,
    form: after((t) => 3 * exp(-t / 5e-6)),
  },
  {
    kind: "compensated divider",
    text: `${step}\nresistor a s -> o 9 kohm\ncapacitor ca s -> o 1 nF\nresistor b o -> ground 1 kohm\ncapacitor cb o -> ground 9 nF`,
    until: 1e-4,
    trace: "o",
    swing: 0.5,
    form: after(() => 0.5),
  },
  {
    kind: "two rates apart",
    text: `${step}\nresistor a s -> m 1 kohm\ncapacitor ca m -> ground 10 nF\namplifier u m -> n minus n, high v, low w, bandwidth 1 THz, gain 1000000000\nsupply v = 9 V\nsupply w = -9 V\nresistor b n -> o 1 kohm\ncapacitor cb o -> ground 40 nF`,
    until: 3e-4,
    trace: "o",
    swing: 5,
    form: after((t) => 5 * (1 - (4 * exp(-t / 4e-5) - exp(-t / 1e-5)) / 3)),
  },
  {
    kind: "underdamped",
    text: `${step}\nresistor r s -> a 100 ohm\ninductor l a -> o 1 mH\ncapacitor c o -> ground 10 nF`,
    until: 1e-4,
    trace: "o",
    swing: 9,
    form: after(second(100 / 2e-3, 1 / sqrt(1e-11), 5)),
  },
  {
    kind: "critically damped",
    text: `${step}\nresistor r s -> a 2 kohm\ninductor l a -> o 10 mH\ncapacitor c o -> ground 10 nF`,
    until: 1e-4,
    trace: "o",
    swing: 5,
    form: after(second(1e5, 1e5, 5)),
  },
  {
    kind: "overdamped",
    text: `${step}\nresistor r s -> a 5 kohm\ninductor l a -> o 10 mH\ncapacitor c o -> ground 10 nF`,
    until: 3e-4,
    trace: "o",
    swing: 5,
    form: after(second(2.5e5, 1e5, 5)),
  },
  {
    kind: "lossless ring",
    text: "inductor l o -> ground 1 mH\ncapacitor c o -> ground 10 nF, starts 5 V",
    until: 2e-4,
    trace: "o",
    swing: 10,
    form: (t) => 5 * cos(t / sqrt(1e-11)),
    start: "rest",
  },
  {
    kind: "parallel ring",
    text: "inductor l o -> ground 1 mH\ncapacitor c o -> ground 10 nF, starts 5 V\nresistor r o -> ground 2 kohm",
    until: 2e-4,
    trace: "o",
    swing: 10,
    form: (t) => {
      const [a, w] = [1 / (2 * 2e3 * 1e-8), 1 / sqrt(1e-11)];
      const d = sqrt(w * w - a * a);
      return 5 * exp(-a * t) * (cos(d * t) - (a / d) * sin(d * t));
    },
    start: "rest",
  },
  {
    kind: "beat of two rings",
    text: "inductor la a -> ground 1 mH\ncapacitor ca a -> ground 10 nF, starts 5 V\ninductor lb b -> ground 1 mH\ncapacitor cb b -> ground 10 nF\ncapacitor m a -> b 1 nF, starts 5 V",
    until: 4e-4,
    trace: "a",
    swing: 10,
    form: (t) => 2.5 * (cos(t / sqrt(1e-3 * 10e-9)) + cos(t / sqrt(1e-3 * 12e-9))),
    start: "rest",
  },
  {
    kind: "sine into a low-pass",
    text: `${sine}\nresistor r s -> o 1 kohm\ncapacitor c o -> ground 100 nF`,
    until: 2e-3,
    trace: "o",
    swing: 10,
    form: sineLag(5, w1k, 1e-4),
    start: "rest",
  },
  {
    kind: "sine, settled",
    text: `${sine}\nresistor r s -> o 1 kohm\ncapacitor c o -> ground 100 nF`,
    until: 2e-3,
    trace: "o",
    swing: 10,
    form: (t) => (5 / hypot(1, w1k * 1e-4)) * sin(w1k * t - atan2(w1k * 1e-4, 1)),
    start: "settled",
  },
  {
    kind: "resonance, settled",
    text: `signal s = sine -5 V to 5 V, at 10 kHz\ninductor l s -> a 10 mH\ncapacitor c a -> o 20 nF\nresistor r o -> ground 200 ohm`,
    until: 2e-4,
    trace: "o",
    swing: 10,
    form: (t) => {
      const w = 2e4 * PI;
      const x = w * 10e-3 - 1 / (w * 20e-9);
      return ((5 * 200) / hypot(200, x)) * sin(w * t - atan2(x, 200));
    },
    start: "settled",
  },
  {
    kind: "ramp into a low-pass",
    text: "signal s = path 0 V at 0 s, 5 V at 100 us\nresistor r s -> o 1 kohm\ncapacitor c o -> ground 10 nF",
    until: 1e-4,
    trace: "o",
    swing: 5,
    form: (t) => 5e4 * (t + 1e-5 * Math.expm1(-t / 1e-5)),
  },
  {
    kind: "ramp into a high-pass",
    text: "signal s = path 0 V at 0 s, 5 V at 100 us\ncapacitor c s -> o 10 nF\nresistor r o -> ground 1 kohm",
    until: 1e-4,
    trace: "o",
    swing: 0.5,
    form: (t) => -0.5 * Math.expm1(-t / 1e-5),
  },
  {
    kind: "square wave, settled",
    text: "signal s = pulse 0 V to 5 V, wide 50 us, every 100 us\nresistor r s -> o 1 kohm\ncapacitor c o -> ground 50 nF",
    until: 1e-4,
    trace: "o",
    swing: 5,
    form: (t) => {
      const low = 5 / (1 + exp(1));
      return t < 50e-6 ? 5 + (low - 5) * exp(-t / 5e-5) : (5 - low) * exp(-(t - 50e-6) / 5e-5);
    },
    start: "settled",
  },
  {
    kind: "ladder of two",
    text: `${step}\nresistor a s -> m 1 kohm\ncapacitor ca m -> ground 10 nF\nresistor b m -> o 1 kohm\ncapacitor cb o -> ground 10 nF`,
    until: 2e-4,
    trace: "o",
    swing: 5,
    form: after((t) => {
      const [p, q] = [((3 - sqrt(5)) / 2) * 1e5, ((3 + sqrt(5)) / 2) * 1e5];
      return 5 * (1 - (q * exp(-p * t) - p * exp(-q * t)) / (q - p));
    }),
  },
  {
    kind: "lead-lag",
    text: `${step}\nresistor a s -> o 9 kohm\nresistor b o -> x 1 kohm\ncapacitor c x -> ground 1 nF`,
    until: 1e-4,
    trace: "o",
    swing: 5,
    form: after((t) => 5 - 4.5 * exp(-t / 1e-5)),
  },
  {
    kind: "twin of sources",
    text: `${sine}\nsignal q = sine -3 V to 3 V, at 2 kHz\nresistor a s -> o 1 kohm\nresistor b q -> o 2 kohm\nresistor c o -> ground 2 kohm`,
    until: 1e-3,
    trace: "o",
    swing: 8,
    form: (t) => (5 * sin(w1k * t) + (3 / 2) * sin(2 * w1k * t)) / 2,
  },
  {
    kind: "coupled coils, short",
    text: `${step}\nresistor r s -> a 1 kohm\ninductor one a -> ground 10 mH\ninductor two b -> ground 10 mH\ncoupling k one -> two 60 %\nresistor short b -> ground 1 uohm`,
    until: 5e-5,
    trace: "a",
    swing: 5,
    form: after((t) => 5 * exp((-t * 1e3) / (10e-3 * (1 - 0.36)))),
  },
  {
    kind: "coupled coils, open",
    text: `${step}\nresistor r s -> a 1 kohm\ninductor one a -> ground 10 mH\ninductor two b -> ground 40 mH\ncoupling k one -> two 50 %\nresistor open b -> ground 10 Gohm`,
    until: 5e-5,
    trace: "b",
    swing: 5,
    // Poles of s² (L₁L₂ − M²) + s (R₁L₂ + R₂L₁) + R₁R₂; M = k √(L₁L₂) = 10 mH. The quicker one, 3 ps, lowers the peak by 4.6e-6.
    form: after((t) => {
      const [a, b, c] = [10e-3 * 40e-3 - 10e-3 ** 2, 1e3 * 40e-3 + 10e9 * 10e-3, 1e3 * 10e9];
      const q = (b + sqrt(b * b - 4 * a * c)) / (2 * a);
      const p = c / (a * q);
      return ((5 * 10e-3 * 10e9) / (a * (q - p))) * (exp(-p * t) - exp(-q * t));
    }),
  },
  {
    kind: "steered current",
    text: `${sine}\ncurrent g ground -> o 0 A, follows s, gain 2 mA/V\nresistor r o -> ground 500 ohm`,
    until: 1e-3,
    trace: "o",
    swing: 10,
    form: (t) => 5 * sin(w1k * t),
  },
  {
    kind: "gyrated coil",
    text: `${step}\nresistor r s -> o 1 kohm\ncurrent f o -> ground 0 A, follows x, gain 1 mA/V\ncurrent b ground -> x 0 A, follows o, gain 1 mA/V\ncapacitor c x -> ground 10 nF`,
    until: 1e-4,
    trace: "o",
    swing: 5,
    form: after((t) => 5 * exp(-t / 1e-5)),
  },
  {
    kind: "potentiometer with a load",
    text: `${sine}\npotentiometer p s -> ground 10 kohm, tap o, at 30 %\nresistor r o -> ground 7 kohm`,
    until: 1e-3,
    trace: "o",
    swing: 6,
    form: (t) => ((5 * 3.5) / 6.5) * sin(w1k * t),
  },
  {
    kind: "divider of coils",
    text: `${step}\ninductor a s -> o 3 mH\ninductor b o -> ground 2 mH`,
    until: 5e-5,
    trace: "o",
    swing: 2,
    form: after(() => 2),
    start: "rest",
  },
];
