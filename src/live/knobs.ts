// Which values of a design can be turned, and how far. Takes a design; gives its named values and what a hand turns
// (potentiometers) as knobs. A knob's range is the one in which the text seeks the value, else the one its part allows, else
// half to twice the value, extended to the next preferred values (IEC 60063, E3).
import { unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { preferred } from "../base/series.js";
import { suited } from "../base/spacing.js";
import type { Amount, Design } from "../design/design.js";
import { type SettableValue, settableValues } from "../design/revalue.js";
import type { Knob, LiveCase } from "./messages.js";

/** The knobs of a design: its own values first, then those inside its blocks. */
export function knobsOf(design: Design): Knob[] {
  const turned = new Set(
    design.parts.flatMap(({ name, kind }) => (kind.turns === undefined ? [] : [`${name}.${kind.turns}`])),
  );
  const found: Knob[] = [];
  for (const value of settableValues(design).values()) {
    const { name, amount } = value;
    const given = design.givens.has(name);
    // A value that a block gets under another name is turned by its first name.
    if (!(given && amount.follows === undefined) && !turned.has(name)) continue;
    found.push(knob(value, design, given && name.includes(".")));
  }
  return [...found.filter((one) => !one.inside), ...found.filter((one) => one.inside)];
}

function knob({ name, amount, range }: SettableValue, design: Design, inside: boolean): Knob {
  const share = range === "share";
  const sought = design.finds.flatMap(({ unknowns }) => unknowns).find((one) => one.name === name);
  const about = {
    name,
    dimension: amount.dimension,
    unit: share ? "%" : unitOf(amount.dimension),
    value: toNumber(amount.value),
    inside,
  };
  if (sought) {
    const log = suited(sought.from, sought.to) === "log";
    return { ...about, from: toNumber(sought.from), to: toNumber(sought.to), log };
  }
  return share ? { ...about, from: 0, to: 1, log: false } : { ...about, ...usualWay(amount) };
}

/** From half the value to twice the value, extended to the next values of E3 (IEC 60063). */
function usualWay({ value, low, high }: Amount): { from?: number; to?: number; log: boolean } {
  const v = toNumber(value);
  if (v === 0) {
    const [from, to] = [toNumber(low), toNumber(high)];
    return from < to ? { from, to, log: false } : { log: false };
  }
  const size = Math.abs(v);
  const [near, far] = [preferred(size / 2, "E3", "below"), preferred(size * 2, "E3", "above")];
  return v > 0 ? { from: near, to: far, log: true } : { from: -far, to: -near, log: false };
}

/** The design as drawn and its cases, with the knobs that each case sets. */
export function casesOf(design: Design, knobs: readonly Knob[]): LiveCase[] {
  const drawn = settableValues(design);
  return [design, ...design.cases].map((one) => {
    const here = one === design ? drawn : settableValues(one);
    const sets = knobs.flatMap(({ name }) => {
      const [own, usual] = [here.get(name)?.amount.value, drawn.get(name)?.amount.value];
      return own && usual && !own.equals(usual) ? [[name, toNumber(own)] as const] : [];
    });
    return { name: one.caseName, checks: one.checks.length, sets: Object.fromEntries(sets) };
  });
}

/** Position of a value in a knob's range, from 0 to 1. */
export function placeOn({ from, to, log }: Knob, value: number): number {
  if (from === undefined || to === undefined) return 0;
  const share = log ? Math.log(value / from) / Math.log(to / from) : (value - from) / (to - from);
  return Number.isFinite(share) ? Math.min(1, Math.max(0, share)) : 0;
}

/** The value at a position in the range, to four figures; the ends exactly. */
export function valueOn({ from = 0, to = 0, log }: Knob, place: number): number {
  if (place <= 0) return from;
  if (place >= 1) return to;
  const value = log ? from * (to / from) ** place : from + (to - from) * place;
  return Number(value.toPrecision(log ? 4 : 6));
}
