// The parts list of a design: every part of the flattened design once, in the order of the text.
import { unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { engineering } from "../base/quantity.js";
import type { Amount, Design, PartSpec } from "../design/design.js";
import type { Control } from "../parts/contract.js";
import type { Range } from "../parts/range.js";
import { levelRange } from "../signals/wave.js";

/** One part in words. */
interface ListedPart {
  readonly kind: string;
  readonly name: string;
  readonly from: string;
  readonly to: string;
  readonly value: string;
  readonly tolerance: string;
  readonly more: string;
}

/** The rows of the list. */
export function inventory(design: Design): ListedPart[] {
  return design.parts.map((part) => ({
    kind: part.kind.word,
    name: part.name,
    from: part.couples?.[0] ?? design.places[part.tail],
    to: part.couples?.[1] ?? design.places[part.head],
    value: valueText(part),
    tolerance: part.value ? toleranceText(part.value) : "",
    more: moreText(part, design),
  }));
}

function valueText(part: PartSpec): string {
  if (part.value && !part.wave) return amountText(part.value, part.kind.value?.range);
  if (!part.wave) return "";
  const { low, high } = levelRange(part.wave);
  const unit = part.kind.value ? unitOf(part.kind.value.dimension) : "";
  const { shape } = part.wave;
  const period =
    shape.kind === "segments" && shape.period
      ? `, every ${engineering(toNumber(shape.period), "s")}`
      : shape.kind === "sine"
        ? `, at ${engineering(toNumber(shape.frequency), "Hz")}`
        : shape.kind === "packed"
          ? `, every ${engineering(toNumber(shape.unit) * shape.length, "s")}`
          : "";
  return low === high
    ? engineering(low, unit)
    : `${engineering(low, unit)} to ${engineering(high, unit)}${period}`;
}

/** The amount as written, a share in per cent; a computed value with endless digits is rounded as a person would write it. */
function amountText(amount: Amount, range?: Range): string {
  const value = toNumber(amount.value);
  const written = Number(value.toPrecision(5)) === value;
  return engineering(value, range === "share" ? "%" : unitOf(amount.dimension), written ? 5 : 4);
}

/** `± 5 %` if both bounds are equally far, else both. */
function toleranceText(amount: Amount): string {
  const value = toNumber(amount.value);
  const below = toNumber(amount.value.sub(amount.low));
  const above = toNumber(amount.high.sub(amount.value));
  if (below === 0 && above === 0) return "";
  const show = (by: number) =>
    value === 0 ? engineering(by, unitOf(amount.dimension)) : engineering(Math.abs(by / value), "%");
  return Math.abs(below - above) <= 1e-12 * (below + above)
    ? `± ${show(below)}`
    : `−${show(below)} / +${show(above)}`;
}

/** What is stated of a part besides its value: `drop 600 mV`. */
export function statedOf(part: PartSpec): string[] {
  return [...part.amounts].map(([word, amount]) => {
    const tolerance = toleranceText(amount);
    const range = part.kind.properties.find((property) => property.word === word)?.range;
    return `${word} ${amountText(amount, range)}${tolerance === "" ? "" : ` ${tolerance}`}`;
  });
}

function moreText(part: PartSpec, design: Design): string {
  const words: string[] = [];
  if (part.control) words.push(controlText(part.control, design));
  for (const [word, place] of part.places) words.push(`${word} ${design.places[place]}`);
  words.push(...statedOf(part));
  if (part.fault) words.push(part.fault);
  return words.join(", ");
}

function controlText(control: Control, design: Design): string {
  if (control.type === "times") {
    const from = toNumber(control.from);
    const [start, end] = [from, control.to ? toNumber(control.to) : 0].map((t) => engineering(t, "s"));
    if (!control.to) return from > 0 ? `closed after ${start}` : "closed throughout";
    if (!(from < toNumber(control.to))) return "open throughout";
    return from > 0 ? `closed from ${start} to ${end}` : `closed before ${end}`;
  }
  const { place, side, close, open } = control;
  const level = `closed while ${design.places[place]} ${side} ${engineering(toNumber(close), "V")}`;
  return close.equals(open) ? level : `${level}, open ${engineering(toNumber(open), "V")}`;
}
