// What parts with a logic output share: the words for its two levels, its resistance and its current limit.
// With `rail`, a high output is fed from that rail: the rail supplies its current, and a dead rail leaves it low. A low
// output is fed from ground; a level that is no rail is a source inside the part.
import { dimension } from "../base/dimension.js";
import type { Fraction } from "../base/fraction.js";
import type { Device, Dwell, Guard, PropertyWord, Resolved } from "./contract.js";
import { amount, amountOf } from "./making.js";

/** Words of any output: its resistance and its current limit. */
export const outputWords: readonly PropertyWord[] = [
  amount("output", dimension.resistance, "not negative", "output resistance, 100 ohm unless given"),
  amount("limit", dimension.current, "positive", "largest output current either way, no limit unless given"),
];

export const logicWords: readonly PropertyWord[] = [
  amount("low", dimension.voltage, "any", "low output level, 0 V unless given"),
  amount("high", dimension.voltage, "any", "high output level, 5 V unless given"),
  { word: "rail", takes: "place", summary: "the rail that is its high level, in place of `high`" },
  ...outputWords,
];

/** Words of a part that compares its inputs with a threshold, and whose output may be late. */
export const slicingWords: readonly PropertyWord[] = [
  amount("hysteresis", dimension.voltage, "not negative", "width around the threshold, 0 V unless given"),
  amount("delay", dimension.time, "not negative", "how late the output is, 0 s unless given"),
  ...logicWords,
];

export const outputEquation =
  "high: v(head) = `high` or v(`rail`), low: `low`, less `output` · i while i is within ± `limit`, else i = ± `limit`";

/** A mode of a part with a logic output, leaving aside the output's current limit. */
export interface LogicMode {
  readonly name: string;
  /** Whether the output is high. */
  readonly high: boolean;
  /** What ends it; `to` counts modes without the limit. */
  readonly guards: readonly Guard[];
  /** How long it lasts, where it ends by itself. */
  readonly dwell?: Dwell;
}

/** A guard that watches a control. */
export function act(
  of: { readonly a: number; readonly b: number },
  side: Guard["side"],
  level: number,
  to: number,
): Guard {
  return { of, side, level, to, control: true };
}

/** True for a time that is given and greater than zero. */
export const takesTime = (delay: Fraction | undefined): delay is Fraction =>
  delay !== undefined && delay.n > 0n;

// How the output stands in a mode: free as it was entered, free again, or at its current limit either way.
const again = 1;
const giving = 2;
const taking = 3;

/** A device of such modes. With a limit, each of them exists four times: entered, free again, and at the limit either way. */
export function logic(part: Resolved, modes: readonly LogicMode[]): Device {
  const { head, places } = part;
  const [low, high] = [amountOf(part, "low", 0), amountOf(part, "high", 5)];
  const ohms = amountOf(part, "output", 100);
  const limit = amountOf(part, "limit", Number.POSITIVE_INFINITY);
  const rail = places.get("rail");
  const bounded = Number.isFinite(limit);
  const count = modes.length;
  // The place that feeds the output, and its level above that place.
  const hangs = (up: boolean) =>
    up && rail !== undefined ? { on: rail, level: 0 } : { on: 0, level: up ? high : low };
  const names = bounded ? ["", "", ", at its current limit", ", sinking at its current limit"] : [""];
  return {
    modes: names.flatMap((limited) => modes.map(({ name }) => name + limited)),
    stamp(mode, into) {
      const { on, level } = hangs(modes[mode % count].high);
      const stands = Math.floor(mode / count);
      if (stands === giving) into.push(on, head, limit);
      else if (stands === taking) into.push(head, on, limit);
      else if (level === 0) into.resistor(head, on, ohms);
      else into.hold(head, on, level, ohms);
    },
    guards(mode) {
      const base = mode % count;
      const { high: up, guards } = modes[base];
      if (!bounded) return guards;
      const { on, level } = hangs(up);
      const to = (stands: number) => base + stands * count;
      const across = { a: head, b: on };
      switch (Math.floor(mode / count)) {
        case giving:
          return [...guards, { of: across, side: "above", level: level - limit * ohms, to: to(again) }];
        case taking:
          return [...guards, { of: across, side: "below", level: level + limit * ohms, to: to(again) }];
        default:
          return [
            ...guards,
            { of: { element: 0 }, side: "below", level: -limit, to: to(giving) },
            { of: { element: 0 }, side: "above", level: limit, to: to(taking) },
          ];
      }
    },
    dwell(mode) {
      const { dwell } = modes[mode % count];
      // Reaching the current limit, or leaving it, does not restart the time.
      return dwell && mode >= count ? { ...dwell, keeps: true } : dwell;
    },
  };
}
