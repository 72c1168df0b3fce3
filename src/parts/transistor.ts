// A bipolar transistor, piecewise linear. Its base–emitter junction conducts above its drop, through `on` seen from the emitter,
// `on` · (`gain` + 1) seen from the base. Its collector then takes `gain` times the base current, as long as it has `saturation`
// between it and the emitter. With less voltage it takes what comes, and if nothing comes only the junction is left. The arrow is
// the direction of its current: from collector to emitter, of a pnp from emitter to collector. Nothing flows backwards, and there
// is no breakdown. The defaults are those of a small one (0.65 V at a milliamp or so, 26 mV over its current for `on`, a tenth of
// a volt left in saturation): common practice, no source.
import { dimension } from "../base/dimension.js";
import type { Guard, Kind, Stamp } from "./contract.js";
import { amount, amountOf } from "./making.js";

const off = 0;
const active = 1;
const saturated = 2;
const starved = 3;
// Elements that guards watch, in the order of stamping: the junction, the way in, and what comes in beyond the collector's share.
const junction = 0;
const entry = 1;
const lack = 2;

export const transistor: Kind = {
  word: "transistor",
  equations: [
    "with u from base to emitter and v from collector to emitter, of a pnp the other way round; i_B is the base current, i the collector's (`current` of a pnp is the emitter's, i + i_B), and r = `on` · (`gain` + 1)",
    "off: i_B = i = 0, while u is not above `drop`",
    "active: u = `drop` + r · i_B and i = `gain` · i_B, while i_B is not below 0 and v not below `saturation`",
    "saturated: u = `drop` + r · i_B and v = `saturation`, while i is from 0 to `gain` · i_B",
    "starved: u = `drop` + r · i_B and i = 0, while v is not above `saturation`",
    "in all of them i + v/`output` flows",
  ],
  summary:
    "a bipolar transistor; the arrow is the way of its current, from collector to emitter, of a pnp from emitter to collector",
  properties: [
    { word: "base", takes: "place", required: true, summary: "the place of its base" },
    {
      word: "npn",
      takes: "nothing",
      excludes: "pnp",
      summary: "an npn, as it is unless `pnp` stands there",
    },
    { word: "pnp", takes: "nothing", excludes: "npn", summary: "a pnp" },
    amount("gain", dimension.number, "positive", "collector current over base current, 200 unless given"),
    amount(
      "drop",
      dimension.voltage,
      "not negative",
      "voltage from base to emitter from which on it conducts, 0.65 V unless given",
    ),
    amount(
      "on",
      dimension.resistance,
      "positive",
      "further voltage of its junction over the emitter's current, 10 ohm unless given",
    ),
    amount(
      "saturation",
      dimension.voltage,
      "not negative",
      "voltage that it needs from collector to emitter, 0.1 V unless given",
    ),
    amount(
      "output",
      dimension.resistance,
      "positive",
      "resistance from collector to emitter, none unless given",
    ),
  ],
  make(part) {
    const { tail, head, places, flags, inner } = part;
    const base = places.get("base")!;
    const gain = amountOf(part, "gain", 200);
    const drop = amountOf(part, "drop", 0.65);
    const ohms = amountOf(part, "on", 10) * (gain + 1);
    const least = amountOf(part, "saturation", 0.1);
    const output = amountOf(part, "output", Number.POSITIVE_INFINITY);
    // The forward direction of the junction, of an npn or a pnp.
    const pnp = flags.has("pnp");
    const [from, to] = pnp ? [tail, base] : [base, head];
    const way = inner();
    // The place behind the drop. The collector current follows the voltage of the junction's resistance alone, so that it is
    // exactly zero where that carries none.
    const behind = inner();
    const across = { a: tail, b: head };
    const collect = (into: Stamp) => into.push(way, head, 0, { a: behind, b: to, gain: gain / ohms });
    const closes: Guard = { of: { element: junction }, side: "below", level: 0, to: off };
    return {
      modes: ["off", "active", "saturated", "starved"],
      stamp(mode, into) {
        if (mode === off) into.hold(way, head, 0);
        else {
          into.hold(from, behind, drop);
          if (mode !== starved) into.hold(tail, way, least);
          if (mode !== active) into.hold(way, head, 0);
          if (mode !== starved) collect(into);
        }
        into.resistor(behind, to, ohms);
        into.resistor(tail, head, output);
      },
      // As a diode its base is tied to its collector: what goes into the base is no collector current.
      counts: (mode, element) => pnp || mode === off || element !== junction,
      guards(mode) {
        switch (mode) {
          case off:
            return [{ of: { a: from, b: to }, side: "above", level: drop, to: active }];
          case active:
            return [closes, { of: { a: way, b: head }, side: "below", level: 0, to: saturated }];
          case saturated:
            return [
              closes,
              { of: { element: entry }, side: "below", level: 0, to: starved },
              { of: { element: lack }, side: "above", level: 0, to: active },
            ];
          default:
            return [closes, { of: across, side: "above", level: least, to: saturated }];
        }
      },
    };
  },
};
