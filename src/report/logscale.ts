// A logarithmic axis: equal factors are equally far apart. Ticks are at as many round digits times powers of ten as fit. Each
// label has its own prefix, since decades apart share none.
import { logarithm } from "../base/powers.js";
import { engineering } from "../base/quantity.js";
import { type AxisPlace, type AxisRange, roundStep, type Scale, type Tick } from "./scale.js";

/** A logarithmic scale. */
export function ratioScale({ from, to }: AxisRange, unit: string, { start, end, room }: AxisPlace): Scale {
  const base = logarithm(from);
  const perUnit = (end - start) / (logarithm(to) - base);
  const pixel = (v: number) => start + (logarithm(v) - base) * perUnit;
  const values = ticksOf(from, to, room);
  const ticks = values.map((value): Tick => ({ value, label: engineering(value, unit, 6) }));
  return { from, to, ticks, unit, origin: 0, pixel };
}

/** Digits of ticks, the densest set first. */
const digits = [[1, 1.5, 2, 3, 4, 5, 6, 8], [1, 2, 3, 5], [1, 2, 5], [1, 3], [1]] as const;

function ticksOf(from: number, to: number, room: number): number[] {
  const play = 1 + 1e-9;
  const within = (list: readonly number[]): number[] => {
    const found: number[] = [];
    for (let power = -40; power < 40; power++) {
      for (const digit of list) {
        const value = Number(`${digit}e${power}`);
        if (value * play >= from && value <= to * play) found.push(value);
      }
    }
    return found;
  };
  for (const list of digits) {
    const found = within(list);
    if (found.length >= 3 && found.length <= room) return found;
  }
  const decades = within([1]);
  // Many decades: only every n-th of them.
  const each = Math.ceil(decades.length / room);
  if (decades.length > room) return decades.filter((_, i) => i % each === 0);
  const step = roundStep(from, to, Math.min(room, 8));
  const found: number[] = [];
  for (let k = Math.ceil(from / step / play); k * step <= to * play; k++) found.push(k * step);
  return found;
}
