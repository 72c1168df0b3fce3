// An amplifier: gain times the difference of its inputs, through one pole, limited by its slew rate and by its rails less
// `reach`; it stands half way between rails that are too close for that. Used open or with real feedback resistors. Its tail
// is the non-inverting input, its head the output. Current that it delivers comes from the upper rail, current that it takes
// goes into the lower one, and its limit holds for both.
//
// Inside, an integrator makes the pole: its capacitor is C = g/ω_t, g some 1 nS, so that only C depends on how fast the
// amplifier is. The voltage of `want` is the current that should flow into it, g (v₊ − v₋) − v/R with R = gain/g (1 V for
// 1 A). The charging current is that or, when slewing, ± slew rate times C (W. Jung, Op Amp Applications Handbook, ch. 1; the
// model of one pole with a slew limit is every textbook's). At a limit the integrator is held, so that it recovers without
// delay.
import { combine, dimension } from "../base/dimension.js";
import type { Device, Guard, Kind, LimitSide, Place, PropertyWord, Resolved, Stamp } from "./contract.js";
import { outputWords } from "./logic.js";
import { amount, amountOf } from "./making.js";

// So small that a moving rail does not feel the capacitor held at it; a power of two, so that it adds no rounding.
const siemens = 2 ** -30;
// Ohms between its rails, so that one that nothing feeds takes the other's voltage instead of being undetermined.
const insulation = 1e12;
// A mode is three choices at once: how the integrator is driven (and where it is held), which rail the output current
// flows through, and where the input stands in its range. The drive: three ways for each of three limits of the level.
const linear = 0;
const up = 1;
const down = 2;
const atTop = 3;
const atBottom = 6;
// The rails are too close to leave the output any room: it stands half way between them.
const dead = 9;
const drives = 10;
// The output.
const sourcing = 0;
const sinking = 1;
const most = 2; // delivers all it can
const least = 3; // takes up all it can
const outputs = 4;
// The input.
const within = 0;
const over = 1;
const under = 2;
// Elements that guards watch, in the order of stamping: the output, and what holds the integrator at a limit.
const delivered = 5;
const held = 6;

const driveNames = [
  ...["", ", at the top", ", at the bottom"].flatMap((limit) =>
    ["linear", "slewing up", "slewing down"].map((drive) => drive + limit),
  ),
  "without rails",
];
const outputNames = ["", ", sinking", ", at its current limit", ", sinking at its current limit"];
const inputNames = ["", ", input too high", ", input too low"];

const properties: readonly PropertyWord[] = [
  { word: "minus", takes: "place", summary: "the inverting input, ground unless given" },
  { word: "high", takes: "place", required: true, summary: "the upper rail" },
  { word: "low", takes: "place", required: true, summary: "the lower rail" },
  amount("gain", dimension.number, "positive", "gain without feedback, 200 000 unless given"),
  {
    word: "bandwidth",
    takes: dimension.frequency,
    range: "positive",
    required: true,
    summary: "gain-bandwidth product",
  },
  {
    word: "slew",
    takes: combine(dimension.voltage, dimension.time, -1),
    range: "positive",
    summary: "slew rate, no limit unless given",
  },
  amount(
    "reach",
    dimension.voltage,
    "not negative",
    "how far the output stays from its rails, 1.5 V unless given",
  ),
  ...outputWords,
  amount("offset", dimension.voltage, "any", "voltage added to that between the inputs, 0 V unless given"),
  amount(
    "bias",
    dimension.current,
    "any",
    "current that flows into each input and on to a rail, 0 A unless given",
  ),
  amount(
    "headroom",
    dimension.voltage,
    "any",
    "how far below the upper rail the input's range ends; beyond it counts as that end",
  ),
  amount("footroom", dimension.voltage, "any", "how far above the lower rail the input's range begins"),
];

export const amplifier: Kind = {
  word: "amplifier",
  equations: [
    "inside, s follows ds/dt = ω · (v₊ − v₋ + `offset`) − ω · s/`gain` with ω = 2π · `bandwidth`, within ± `slew`; a v₊ beyond the input range counts as its end",
    "s stays from `low` + `reach` to `high` − `reach`, without memory of what would lead beyond; where that leaves no room it goes half way between the rails",
    "v(head) = s − `output` · i while i is within ± `limit`, else i = ± `limit` until v(head) is that near to s; i comes from `high` or goes into `low`",
  ],
  summary: "an amplifier between rails; the tail is its input, the head its output",
  drives: true,
  limited: true,
  properties,
  make: (part) => new Amplifier(part),
};

/** A mode as its three choices. */
const split = (mode: number) => ({
  drive: mode % drives,
  output: Math.floor(mode / drives) % outputs,
  input: Math.floor(mode / (drives * outputs)),
});
type Choices = ReturnType<typeof split>;
const joined = ({ drive, output, input }: Choices) => drive + drives * (output + outputs * input);

class Amplifier implements Device {
  readonly modes: readonly string[];
  private readonly tail: Place;
  private readonly head: Place;
  private readonly minus: Place;
  private readonly high: Place;
  private readonly low: Place;
  /** Places inside: see the opening. */
  private readonly want: Place;
  private readonly state: Place;
  private readonly farads: number;
  private readonly leak: number;
  private readonly slew: number;
  private readonly reach: number;
  private readonly ohms: number;
  private readonly most: number;
  private readonly offset: number;
  private readonly bias: number;
  private readonly headroom: number;
  private readonly footroom: number;

  constructor(part: Resolved) {
    const { tail, head, places, inner } = part;
    const amount = (word: string, otherwise: number) => amountOf(part, word, otherwise);
    [this.tail, this.head, this.minus] = [tail, head, places.get("minus") ?? 0];
    [this.high, this.low] = [places.get("high")!, places.get("low")!];
    [this.want, this.state] = [inner(), inner()];
    this.farads = siemens / (2 * Math.PI * amount("bandwidth", 1));
    this.leak = siemens / amount("gain", 200_000);
    this.slew = amount("slew", Number.POSITIVE_INFINITY) * this.farads;
    this.reach = amount("reach", 1.5);
    this.ohms = amount("output", 100);
    this.most = amount("limit", Number.POSITIVE_INFINITY);
    this.offset = amount("offset", 0);
    this.bias = amount("bias", 0);
    this.headroom = amount("headroom", Number.NEGATIVE_INFINITY);
    this.footroom = amount("footroom", Number.NEGATIVE_INFINITY);
    const inputs = Number.isFinite(this.headroom) || Number.isFinite(this.footroom) ? 3 : 1;
    this.modes = inputNames
      .slice(0, inputs)
      .flatMap((input) => outputNames.flatMap((output) => driveNames.map((d) => d + output + input)));
  }

  // Slewing is no limit of the level: the output is still on its way to where it should be.
  limit(mode: number): LimitSide | undefined {
    const { drive, output } = split(mode);
    if (drive === dead) return "both";
    if (output === most || (drive >= atTop && drive < atBottom)) return "upper";
    return output === least || drive >= atBottom ? "lower" : undefined;
  }

  // A follower's input is tied to its output, and so the current into it.
  counts(_: number, element: number): boolean {
    return element === delivered;
  }

  slews(mode: number): boolean {
    const { drive } = split(mode);
    return drive === up || drive === down;
  }

  stamp(mode: number, into: Stamp): void {
    const { want, high, low, tail, minus, bias } = this;
    const now = split(mode);
    into.resistor(want, 0, 1);
    if (now.drive === dead) this.without(now, into);
    else this.drive(now, into);
    into.resistor(high, low, insulation);
    if (bias === 0) return;
    for (const input of [tail, minus]) {
      if (bias > 0) into.push(input, low, bias);
      else into.push(high, input, -bias);
    }
  }

  guards(mode: number): Guard[] {
    const now = split(mode);
    return [...this.driveGuards(now), ...this.outputGuards(now), ...this.inputGuards(now)];
  }

  /** Without room: `want` is half way between the rails, and the integrator follows it as fast as the amplifier can. */
  private without({ output }: Choices, into: Stamp): void {
    const { want, state, high, low, farads } = this;
    into.push(0, want, 0, { a: high, b: 0, gain: 0.5 });
    into.push(0, want, 0, { a: low, b: 0, gain: 0.5 });
    into.capacitor(state, 0, farads);
    into.push(0, state, 0, { a: want, b: state, gain: siemens });
    this.deliver(output, want, into);
  }

  private drive({ drive, output, input }: Choices, into: Stamp): void {
    const { want, state, high, low, tail, minus, farads, leak, slew, reach, offset } = this;
    // An input beyond its range counts as the end of the range.
    const [plus, end] =
      input === over ? [high, -this.headroom] : input === under ? [low, this.footroom] : [tail, 0];
    into.push(0, want, siemens * (end + offset), { a: plus, b: minus, gain: siemens });
    into.push(want, 0, 0, { a: state, b: 0, gain: leak });
    into.capacitor(state, 0, farads);
    const pace = drive % 3;
    const steer = pace === linear ? { a: want, b: 0, gain: 1 } : undefined;
    const level = pace === linear ? 0 : pace === up ? slew : -slew;
    into.push(0, state, level, steer);
    this.deliver(output, state, into);
    // At a limit the integrator is held beside the rail, which sees nothing of it.
    if (drive >= atBottom) into.hold(0, state, -reach, 0, { a: 0, b: low, gain: 1 });
    else if (drive >= atTop) into.hold(state, 0, -reach, 0, { a: high, b: 0, gain: 1 });
  }

  private deliver(output: number, from: Place, into: Stamp): void {
    const { head, high, low } = this;
    if (output === most) into.push(high, head, this.most);
    else if (output === least) into.push(head, low, this.most);
    else {
      const rail = output === sourcing ? high : low;
      into.hold(head, rail, 0, this.ohms, { a: from, b: rail, gain: 1 });
    }
  }

  private driveGuards(mode: Choices): Guard[] {
    const { want, state, high, low, slew, reach } = this;
    const to = (drive: number) => joined({ ...mode, drive });
    const rails = { a: high, b: low };
    if (mode.drive === dead) return [{ of: rails, side: "above", level: 2 * reach, to: to(linear) }];
    const drive = mode.drive % 3;
    const base = mode.drive - drive;
    const wanted = { a: want, b: 0 };
    const found: Guard[] = [{ of: rails, side: "below", level: 2 * reach, to: to(dead) }];
    if (Number.isFinite(slew) && drive === linear) {
      found.push({ of: wanted, side: "above", level: slew, to: to(base + up) });
      found.push({ of: wanted, side: "below", level: -slew, to: to(base + down) });
    }
    if (drive === up) found.push({ of: wanted, side: "below", level: slew, to: to(base + linear) });
    if (drive === down) found.push({ of: wanted, side: "above", level: -slew, to: to(base + linear) });
    if (base === linear) {
      found.push({ of: { a: state, b: high }, side: "above", level: -reach, to: to(atTop + drive) });
      found.push({ of: { a: low, b: state }, side: "above", level: -reach, to: to(atBottom + drive) });
      // The current that flows into the hold at the limit.
    } else found.push({ of: { element: held }, side: "below", level: 0, to: to(drive) });
    return found;
  }

  private outputGuards(mode: Choices): readonly Guard[] {
    const { head, high, low, ohms, most: limit } = this;
    const to = (output: number) => joined({ ...mode, output });
    // The current through the output, towards the rail; and the voltage that the output should have less what it has.
    const through = { element: delivered };
    const lacking = { a: mode.drive === dead ? this.want : this.state, b: head };
    const limits: readonly Guard[] = Number.isFinite(limit)
      ? [
          { of: through, side: "below", level: -limit, to: to(most) },
          { of: through, side: "above", level: limit, to: to(least) },
        ]
      : [];
    switch (mode.output) {
      case sourcing:
        return [{ of: through, side: "above", level: 0, to: to(sinking), alike: [high, low] }, ...limits];
      case sinking:
        return [{ of: through, side: "below", level: 0, to: to(sourcing), alike: [high, low] }, ...limits];
      case most:
        return [{ of: lacking, side: "below", level: ohms * limit, to: to(sourcing) }];
      default:
        return [{ of: lacking, side: "above", level: -ohms * limit, to: to(sinking) }];
    }
  }

  private inputGuards(mode: Choices): Guard[] {
    const { tail, high, low, headroom, footroom } = this;
    const to = (input: number) => joined({ ...mode, input });
    const fromTop = { a: tail, b: high };
    const fromBottom = { a: tail, b: low };
    const found: Guard[] = [];
    if (mode.input === over) found.push({ of: fromTop, side: "below", level: -headroom, to: to(within) });
    if (mode.input === under) found.push({ of: fromBottom, side: "above", level: footroom, to: to(within) });
    if (mode.input === within && Number.isFinite(headroom))
      found.push({ of: fromTop, side: "above", level: -headroom, to: to(over) });
    if (mode.input === within && Number.isFinite(footroom))
      found.push({ of: fromBottom, side: "below", level: footroom, to: to(under) });
    return found;
  }
}
