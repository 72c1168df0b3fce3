// An amplifier: the difference of its inputs times its gain, through one pole, no faster than its slew rate, no
// farther than its rails less what it needs of them, and half way between rails that are too close for that. Used open
// or with real feedback resistors. Its tail is the input that does not invert, its head the output; the output current
// comes from ground, not from the rails.
//
// Inside, an integrator stands for the pole: its capacitor is C = g/ω_t, g = 1 mS, so that nothing but C depends on how
// fast the amplifier is. `want` carries what should flow into it, g (v₊ − v₋) − v/R with R = gain/g (as a voltage, 1 V
// for 1 A), and the charging current is that or, when slewing, ± slew rate times C (W. Jung, Op Amp Applications
// Handbook, ch. 1; the model of one pole with a slew limit is every textbook's). At a limit the integrator is held, so
// that it lets go without delay.
import { combine, frequency, number, resistance, time, voltage } from "../base/dimension.js";
import { amountOf, type Guard, type Kind } from "./contract.js";

const siemens = 1e-3;
// Modes: how the integrator is driven, three for each of three limits.
const linear = 0;
const up = 1;
const down = 2;
const atTop = 3;
const atBottom = 6;
// The rails are too close to leave the output any room: it stands half way between them.
const dead = 9;

export const amplifier: Kind = {
  word: "amplifier",
  summary: "an amplifier between rails; the tail is its input, the head its output",
  delivers: true,
  limited: true,
  properties: [
    { word: "minus", takes: "place", summary: "the inverting input, ground unless given" },
    { word: "high", takes: "place", required: true, summary: "the upper rail" },
    { word: "low", takes: "place", required: true, summary: "the lower rail" },
    {
      word: "gain",
      takes: number,
      range: "positive",
      summary: "gain without feedback, 200 000 unless given",
    },
    {
      word: "bandwidth",
      takes: frequency,
      range: "positive",
      required: true,
      summary: "gain-bandwidth product",
    },
    {
      word: "slew",
      takes: combine(voltage, time, -1),
      range: "positive",
      summary: "slew rate, no limit unless given",
    },
    {
      word: "reach",
      takes: voltage,
      range: "not negative",
      summary: "how far the output stays from its rails, 1.5 V unless given",
    },
    {
      word: "output",
      takes: resistance,
      range: "not negative",
      summary: "output resistance, 100 ohm unless given",
    },
  ],
  make(part) {
    const { tail, head, places, inner } = part;
    const farads = siemens / (2 * Math.PI * amountOf(part, "bandwidth", 1));
    const leak = siemens / amountOf(part, "gain", 200_000);
    const most = amountOf(part, "slew", Number.POSITIVE_INFINITY) * farads;
    const reach = amountOf(part, "reach", 1.5);
    const output = amountOf(part, "output", 100);
    const minus = places.get("minus") ?? 0;
    const [high, low] = [places.get("high")!, places.get("low")!];
    const want = inner();
    const state = inner();
    const wanted = { a: want, b: 0 };
    const rails = { a: high, b: low };
    const starved: Guard = { of: rails, side: "below", level: 2 * reach, to: dead };
    const driveGuards = (drive: number, base: number): Guard[] => {
      if (!Number.isFinite(most)) return [];
      if (drive === linear) {
        return [
          { of: wanted, side: "above", level: most, to: base + up },
          { of: wanted, side: "below", level: -most, to: base + down },
        ];
      }
      return [
        {
          of: wanted,
          side: drive === up ? "below" : "above",
          level: drive === up ? most : -most,
          to: base + linear,
        },
      ];
    };
    return {
      modes: [
        ...["", ", at the top", ", at the bottom"].flatMap((limit) =>
          ["linear", "slewing up", "slewing down"].map((drive) => drive + limit),
        ),
        "without rails",
      ],
      // Slewing is slow, but still on its way to where it should be: no limit of the level.
      limit: (mode) =>
        mode === dead ? "both" : mode >= atBottom ? "lower" : mode >= atTop ? "upper" : undefined,
      stamp(mode, into) {
        into.resistor(want, 0, 1);
        if (mode === dead) {
          // `want` is half way between the rails; the integrator goes there too, as fast as the amplifier is.
          into.push(0, want, 0, { a: high, b: 0, gain: 0.5 });
          into.push(0, want, 0, { a: low, b: 0, gain: 0.5 });
          into.capacitor(state, 0, farads);
          into.push(0, state, 0, { a: want, b: state, gain: siemens });
          into.hold(head, 0, 0, output, { a: want, b: 0, gain: 1 });
          return;
        }
        into.push(0, want, 0, { a: tail, b: minus, gain: siemens });
        into.push(want, 0, 0, { a: state, b: 0, gain: leak });
        into.capacitor(state, 0, farads);
        const drive = mode % 3;
        if (drive === linear) into.push(0, state, 0, { a: want, b: 0, gain: 1 });
        else into.push(0, state, drive === up ? most : -most);
        into.hold(head, 0, 0, output, { a: state, b: 0, gain: 1 });
        // Last, so that its current is element 6: what the limit takes up.
        if (mode >= atBottom) into.hold(low, state, -reach);
        else if (mode >= atTop) into.hold(state, high, -reach);
      },
      guards(mode) {
        if (mode === dead) return [{ ...starved, side: "above", to: linear }];
        const drive = mode % 3;
        const base = mode - drive;
        if (base === linear) {
          return [
            starved,
            ...driveGuards(drive, base),
            { of: { a: state, b: high }, side: "above", level: -reach, to: atTop + drive },
            { of: { a: low, b: state }, side: "above", level: -reach, to: atBottom + drive },
          ];
        }
        return [
          starved,
          ...driveGuards(drive, base),
          { of: { element: 6 }, side: "below", level: 0, to: drive },
        ];
      },
    };
  },
};
