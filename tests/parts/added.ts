// Words of a caller, made by the recipes of DEVELOPERS.md with nothing but the library's own names: two kinds of part, a
// source and one that is not straight, and a measure.
import {
  amountOf,
  coveredSpan,
  dimension,
  ends,
  type Kind,
  linear,
  type Measure,
  toNumber,
  traceBounds,
} from "../../src/index.js";

/** A cell: a voltage behind a resistance. */
export const cell: Kind = {
  word: "cell",
  summary: "a cell; its tail is the positive pole",
  equations: ["v = V + `inside` · i"],
  value: { dimension: dimension.voltage, range: "positive", wave: true },
  delivers: true,
  properties: [
    {
      word: "inside",
      takes: dimension.resistance,
      range: "not negative",
      summary: "its resistance, 0 ohm unless given",
    },
  ],
  ideal: ({ amounts }) => (amounts.get("inside")?.value.n ? undefined : "voltage"),
  make(part) {
    const { tail, head, value, level } = part;
    const volts = level ?? toNumber(value!);
    const inside = amountOf(part, "inside", 0);
    return linear((into) => into.hold(tail, head, volts, inside));
  },
};

const cold = 0;
const forwards = 1;
const backwards = 2;

/** A lamp: a resistor that is ten times smaller while it is cold, up to a voltage either way. */
export const lamp: Kind = {
  word: "lamp",
  summary: "a lamp, which is ten times smaller while it is cold",
  equations: [
    "cold: v = R/10 · i, while v is within ± `warm`",
    "warm: i = 10 · `warm`/R + (v − `warm`)/R while v is above `warm`, and likewise below −`warm`",
  ],
  value: { dimension: dimension.resistance, range: "positive" },
  properties: [
    {
      word: "warm",
      takes: dimension.voltage,
      range: "positive",
      required: true,
      summary: "the voltage up to which it is cold",
    },
  ],
  make(part) {
    const { tail, head, value } = part;
    const ohms = toNumber(value!);
    const warm = amountOf(part, "warm", 1);
    const across = { a: tail, b: head };
    const more = (9 * warm) / ohms;
    return {
      modes: ["cold", "warm", "warm backwards"],
      stamp(mode, into) {
        into.resistor(tail, head, mode === cold ? ohms / 10 : ohms);
        if (mode !== cold) into.push(tail, head, mode === forwards ? more : -more);
      },
      guards(mode) {
        if (mode === cold)
          return [
            { of: across, side: "above", level: warm, to: forwards },
            { of: across, side: "below", level: -warm, to: backwards },
          ];
        const [side, level] = mode === forwards ? (["below", warm] as const) : (["above", -warm] as const);
        return [{ of: across, side, level, to: cold }];
      },
    };
  },
};

/** How far a trace goes beyond where it comes to rest, of the way from where it began. */
export const overshoot: Measure = {
  words: "overshoot",
  takes: "value",
  summary: "how far a trace goes beyond its last value, as a share of the way there",
  unit: () => "",
  shown: "share",
  take(w) {
    const s = coveredSpan(w);
    if (!s) return Number.NaN;
    const { first, last } = ends(w.trace, s.from, s.to);
    const { low, high } = traceBounds(w.trace, s.from, s.to);
    const beyond = last > first ? high - last : last - low;
    return last === first ? Number.NaN : beyond / Math.abs(last - first);
  },
};

export const words = { kinds: [cell, lamp], measures: [overshoot] };
